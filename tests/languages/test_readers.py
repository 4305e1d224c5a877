"""Each reader in their own language, on one file at once."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from conftest import kitchen_file
from languages import catalogue
from languages.test_on_screen import on_screen
from screens import until

from prepboard.boards.app.app import BoardApp
from prepboard.boards.station.board import StationScreen
from prepboard.book.languages import language_of
from prepboard.book.reading.reader import read_texts
from prepboard.clock import FixedClock
from prepboard.plan.planner import Planner
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import _, decimal, grouped, languages, some, speak, speaking, spoken, typed

BOOK = """
name = "Quay"
language = "en"

[stations.sauce]
name = "Sauce"
language = "es"

[stations.fish]
name = "Fish"

[people.mr]
name = "Maren"
role = "sous"

[people.ab]
name = "Anouk"
language = "es"

[preps.jus]
name = "Jus"
makes = "1.5 l"
station = "sauce"
keeps = "3 days"
steps = [{ do = "Reduce", hands_on = "10 min" }]
"""


@pytest.mark.parametrize(
    ("asked", "by", "stations", "language"),
    [
        ("", "", (), "en"),
        ("", "", ("sauce",), "es"),
        ("", "", ("sauce", "fish"), "en"),
        ("", "AB", ("fish",), "es"),
        ("", "mr", ("sauce",), "es"),
        ("en", "ab", ("sauce",), "en"),
        ("es", "", (), "es"),
    ],
)
def test_a_reader_reads_what_they_asked_for_else_their_own_else_their_benchs(
    asked: str, by: str, stations: tuple[str, ...], language: str
) -> None:
    assert language_of(read_texts({"kitchen.toml": BOOK}), asked, by, stations) == language


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    at = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
    file = kitchen_file(tmp_path_factory.mktemp("readers"), at, Who("mr", "sauce"), kitchen=BOOK)
    file.close()
    return file.path


def started(path: Path, *words: str, **environment: str) -> subprocess.Popen[str]:
    """A prepboard of its own on the file."""
    command = [sys.executable, "-m", "prepboard", "--file", str(path), *words]
    here = {**os.environ, "PREPBOARD_NOW": "2026-10-31T14:30:00+00:00", "PYTHONIOENCODING": "utf-8", **environment}
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=here)


def test_two_stations_read_one_file_in_two_languages_at_once(path: Path) -> None:
    done = started(path, "--by", "ab", "made", "broth", "1.5l", "--keeps", "2d").communicate()[0]
    boards = [started(path, "station", "sauce"), started(path, "station", "fish"), started(path, "show", "log")]
    sauce, fish, log = (board.communicate()[0] for board in boards)
    assert "POR HACER" in sauce
    assert "TO MAKE" not in sauce
    assert "TO MAKE" in fish
    assert "LOG" in log, done
    assert "POR HACER" in started(path, "station", "fish", PREPBOARD_LANGUAGE="es").communicate()[0]


def test_the_command_line_speaks_what_it_is_asked_for_before_it_knows_a_book(path: Path) -> None:
    assert "Opciones:" in started(path, "--language", "es", "station", "--help").communicate()[0]
    assert "no hay textos en" not in started(path, "--language", "tlh", "wall").communicate()[0]
    assert "there are no texts in 'tlh'" in started(path, "--language", "tlh", "wall").communicate()[0]


def test_plurals_and_decimals_are_the_languages_own() -> None:
    before = spoken()
    try:
        speak("es-MX")
        assert spoken() == "es-MX"
        assert some("{n} plate", "{n} plates", 1) == "1 ración"
        assert some("{n} plate", "{n} plates", 2) == "2 raciones"
        assert (decimal("1.25"), decimal("12")) == ("1,25", "12")
        assert grouped(12_345) == "12 345", "a comma would make a dozen of it"
        assert _("Thursday") == "jueves"
        assert [typed(text) for text in ("1,5 kg", "63,5", "12; 300", "a, b")] == ["1.5 kg", "63.5", "12; 300", "a, b"]
        with speaking("en"):
            assert _("Thursday") == "Thursday"
        assert _("Thursday") == "jueves"
        speak("xx")
        assert (spoken(), decimal("1.25")) == ("en", "1.25")
        assert typed("1,5 kg") == "1,5 kg", "in English a comma is refused in words, since it could be thousands"
    finally:
        speak(before)
    written = sorted(path.stem for path in catalogue.FOLDER.glob("*.po"))
    assert "es" in written
    assert languages() == ("en", *written)


def test_a_device_has_a_language_of_its_own() -> None:
    websockets = pytest.importorskip("websockets")
    assert websockets
    from prepboard.boards.web.child import Wanted
    from prepboard.boards.web.devices import Device
    from prepboard.boards.web.words import filled_in

    assert Device("tablet", "wall", language="es").language == "es"
    assert json.loads('{"language": "es"}')["language"] == Wanted("k.db", "wall", language="es").language
    assert (filled_in(b"$keyboard", "es"), filled_in(b"$keyboard", "en")) == (b"teclado", b"keyboard")


@pytest.mark.parametrize("asked", ["", "en"])
async def test_an_open_board_speaks_the_language_of_whoever_stands_at_it(path: Path, asked: str) -> None:
    """And goes back to its bench's for whoever has none; what was asked for stays."""
    file = KitchenFile.open(path, FixedClock(datetime(2026, 10, 31, 14, 30, tzinfo=UTC)))
    file.makes_planner = Planner
    board = StationScreen(file, ("fish",), "mr")
    board.asked_language = asked
    app = BoardApp(board)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda: "TO MAKE" in on_screen(app))
            seen = [on_screen(app)]
            for initials in ("ab", "mr"):
                await pilot.press("i")
                await until(pilot, lambda: app.screen is not board)
                await pilot.press(*initials, "enter")
                await until(pilot, lambda: app.screen is board)
                await pilot.pause()
                seen.append(on_screen(app))
    finally:
        speak("en")
        file.close()
    assert ["TO MAKE" in text for text in seen] == [True, bool(asked), True]
    assert ["POR HACER" in text for text in seen] == [False, not asked, False]
    assert ["hecho" in text.strip().splitlines()[-1] for text in seen] == [False, not asked, False]
