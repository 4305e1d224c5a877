"""Boards on the screen, their pages and their questions, in Spanish and in other letters: what is left in English is
what people typed."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from languages import catalogue
from languages.conftest import UNTIL
from languages.other_letters import WORD, Recording, left_over
from languages.pseudo import speaking
from rich.cells import cell_len
from screens import draw_when_come_to, quick_hands

from prepboard import demo, texts
from prepboard.boards.app.app import BoardApp
from prepboard.boards.closing.board import ClosingScreen
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.pars.as_text import texts as pars_texts
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.pars.rows import pars
from prepboard.boards.station.as_text import texts as station_texts
from prepboard.boards.station.as_text import wall_texts
from prepboard.boards.station.board import StationScreen
from prepboard.boards.wall.board import WallScreen
from prepboard.boards.widgets.columns import NAME_FIRST, fit_columns
from prepboard.book.reading.reader import read_texts
from prepboard.clock import FixedClock
from prepboard.commands.show.lists import FROM_THE_BOARD
from prepboard.demo_book import demo_texts, demo_words
from prepboard.demo_story import SOUS
from prepboard.paper import as_text
from prepboard.plan.board import plan
from prepboard.plan.planner import Planner
from prepboard.store.actions.loading import load_texts
from prepboard.store.kitchen_file import KitchenFile

BOARDS: dict[str, tuple[Callable[[KitchenFile], BoardScreen], tuple[str, ...]]] = {
    "station": (lambda file: StationScreen(file, ("sauce",), "mr"), ("question_mark", "n")),
    "pars": (lambda file: ParsScreen(file, "", "mr"), ("full_stop", "v")),
    "closing": (lambda file: ClosingScreen(file, (), "mr"), ("minus", "dollar_sign")),
    "wall": (lambda file: WallScreen(file), ("question_mark",)),
}
"""What opens a page or asks something on each of them, and is left again with esc. All keys of all boards are walked by
tests/benchmarks/other_letters.py."""

KEYS = frozenset({"esc", "tab", "enter", "space", "ctrl"})


@pytest.fixture(scope="module")
def in_spanish(in_english: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's afternoon with its book in Spanish; what was typed and what is under way stays as it was."""
    path = Path(shutil.copy(in_english, tmp_path_factory.mktemp("spanish") / "kitchen.db"))
    file = KitchenFile.open(path, FixedClock(demo.later(UNTIL)))
    words = demo_texts("es")
    load_texts(file, SOUS, read_texts(words), words)
    file.close()
    return path


@pytest.fixture
def file(in_spanish: Path) -> Iterator[KitchenFile]:
    opened = KitchenFile.open(in_spanish, FixedClock(demo.later(UNTIL)))
    opened.makes_planner = Planner
    yield opened
    opened.close()


def on_screen(app: BoardApp) -> str:
    """All the text of the screen in sight."""
    lines = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in line) for line in lines)


async def walked(board: BoardScreen, keys: tuple[str, ...], width: int) -> dict[str, str]:
    """What stands on the screen at first, and after each key."""
    app, seen = BoardApp(board), dict[str, str]()
    with pytest.MonkeyPatch.context() as patched:
        quick_hands(patched)
        draw_when_come_to(patched)
        async with app.run_test(size=(width, 40)) as pilot:
            while not on_screen(app).strip() or board.board is None:
                await pilot.pause(0.02)
            seen[""] = on_screen(app)
            for key in keys:
                await pilot.press(key)
                await pilot.pause()
                seen[key] = on_screen(app)
                for _press in range(40):
                    if app.screen is not board:
                        await pilot.press("escape")
                        await pilot.pause()
                assert app.screen is board, f"esc leads back from what {key} opened"
    return seen


@pytest.mark.parametrize("name", BOARDS)
async def test_a_board_and_what_it_opens_say_nothing_that_is_not_a_text(
    name: str, file: KitchenFile, of_the_book: frozenset[str]
) -> None:
    make, keys = BOARDS[name]
    spanish = frozenset(word.lower() for text in demo_words("es").values() for word in WORD.findall(text))
    said = Recording()
    with speaking(said):
        seen = await walked(make(file), keys, 120)
    assert len(set(seen.values())) > len(keys) / 2, "something is opened"
    found = {key: left_over(text, of_the_book | spanish | KEYS) for key, text in seen.items()}
    assert {key: words for key, words in found.items() if words} == {}
    assert said.unknown - {"palette"} == set()


@pytest.mark.parametrize("width", [44, 80])
def test_boards_and_lists_in_spanish_have_no_english_word_on_them(
    width: int, file: KitchenFile, of_the_book: frozenset[str]
) -> None:
    before = texts.spoken()
    texts.speak("es")
    try:
        board = plan(file.read(), file.clock.now())
        shown = {what: as_text.page(what, board, "", width) for what in FROM_THE_BOARD}
        shown["wall"] = wall_texts(board, width)
        shown["pars board"] = pars_texts(board, width, "mr")
        shown["station"] = station_texts(board, ("sauce", "pastry"), width, "mr")
    finally:
        texts.speak(before)
    assert not re.search(r"haz (basta|tarde|nada)", shown["pars board"]), "what is not made is not said to be"
    english = english_only() - of_the_book
    found = {what: set(WORD.findall(text.lower())) & english for what, text in shown.items()}
    assert {what: words for what, words in found.items() if words} == {}


@cache
def english_only() -> frozenset[str]:
    """The words of our texts that no Spanish one has, in whole or as the beginning of one that was cut."""
    po = catalogue.known("es").entries.values()
    ours = {word.lower() for one in po if "click" not in one.where for word in WORD.findall(one.text)}
    theirs = {word.lower() for one in po for text in one.said for word in WORD.findall(text)}
    names = {word.lower() for text in demo_words("es").values() for word in WORD.findall(text)}
    beginnings = {one[:length] for one in theirs for length in range(1, len(one) + 1)}
    return frozenset(ours - names - beginnings)


def test_names_have_their_room_at_120_columns_in_spanish(file: KitchenFile) -> None:
    """No heading takes it from them: what is longer than a name's first measure may be cut, nothing else."""
    now = plan(file.read(), file.clock.now())
    with texts.speaking("es"):
        for sitting in {(line.service, line.day) for line in now.pars if line.service}:
            columns, rows = pars(now, now, {}, sitting)
            name, *_others = fit_columns(columns, rows, 119).widths
            longest = max(cell_len(row.what) for row in rows)
            assert name >= min(longest, NAME_FIRST), sitting
