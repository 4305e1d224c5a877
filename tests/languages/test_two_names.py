"""One book that names its food in two languages: each reader reads as if it were written in theirs alone."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from html import unescape
from pathlib import Path
from random import Random

import pytest
from click.testing import CliRunner
from conftest import kitchen_file
from languages import catalogue
from languages.conftest import UNTIL, until_half_past_four
from languages.other_letters import WORD
from languages.test_on_screen import english_only, on_screen, walked
from languages.two_names import QUAY as BOOK
from languages.two_names import in_both
from screens import until

from prepboard import demo
from prepboard.boards.app.app import BoardApp
from prepboard.boards.pars.as_text import texts as pars_texts
from prepboard.boards.station.as_text import texts as station_texts
from prepboard.boards.station.as_text import wall_texts
from prepboard.boards.station.board import StationScreen
from prepboard.boards.timeline.rows import texts as timeline_texts
from prepboard.boards.widgets.letters import matches, starts
from prepboard.book.amounts import Amount
from prepboard.book.names import every
from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts, read_with_warnings
from prepboard.book.saying import say_amount
from prepboard.cli import cli
from prepboard.clock import FixedClock
from prepboard.commands.show.lists import FROM_THE_BOARD
from prepboard.demo_book import demo_texts, demo_words
from prepboard.demo_story import SOUS
from prepboard.paper import as_text
from prepboard.plan.board import plan
from prepboard.plan.planner import Planner
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.food.unknown import made
from prepboard.store.actions.loading import load_texts
from prepboard.store.file.who import Refused, Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.happened import done_since
from prepboard.store.past.log import log_rows
from prepboard.store.past.record import record
from prepboard.texts import speak, speaking

KEPT = "⟦"
"""Begins what nobody may read: a text as the file keeps it."""


def afternoon(made_demo: Path, folder: Path, book: dict[str, str]) -> Path:
    """The demo's kitchen under this book, and what happened there until half past four."""
    path = Path(shutil.copy(made_demo, folder / "kitchen.db"))
    file = KitchenFile.open(path, FixedClock(demo.NOW), random=Random(1))
    load_texts(file, SOUS, read_texts(book), book)
    until_half_past_four(file)
    file.close()
    return path


@pytest.fixture(scope="module")
def in_one(made_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """By language, under a book that is written in it alone."""
    folder = tmp_path_factory.mktemp
    return {one: afternoon(made_demo, folder(one), demo_texts(one)) for one in ("en", "es")}


@pytest.fixture(scope="module")
def in_two(made_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Under a book that has every name in both."""
    return afternoon(made_demo, tmp_path_factory.mktemp("both"), in_both())


def pages(path: Path, width: int = 100) -> dict[str, str]:
    """All lists and boards as they are printed now."""
    file = KitchenFile.open(path, FixedClock(demo.later(UNTIL)))
    try:
        board = plan(file.read(), file.clock.now())
        stations = tuple(board.state.book.stations)
        shown = {what: as_text.page(what, board, "", width) for what in FROM_THE_BOARD}
        shown["wall"], shown["pars board"] = wall_texts(board, width), pars_texts(board, width, "mr")
        shown["timeline"] = timeline_texts(board, stations, width)
        return shown | {one: station_texts(board, (one,), width, "mr") for one in stations}
    finally:
        file.close()


TYPED = re.compile(
    "|".join(
        (
            "(?i:The Lock House|La Casa de la Esclusa)",
            "Breasts stay out|Nine at 19:30",
            "Las pechugas fuera|Nueve a las 19:30",
        )
    )
)
"""What somebody typed, and the kitchen's own name: they stay as they are in whatever language a kitchen has."""


def read(shown: str) -> list[str]:
    return [line for line in shown.splitlines() if not TYPED.search(line)]


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_list_and_board_reads_as_if_the_book_were_in_that_language_alone(
    language: str, in_one: dict[str, Path], in_two: Path
) -> None:
    with speaking(language):
        both, one = pages(in_two), pages(in_one[language])
    assert {what: read(shown) for what, shown in both.items()} == {what: read(shown) for what, shown in one.items()}
    assert sum(len(read(shown)) for shown in both.values()) > 300


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_was_done_reads_as_if_the_book_were_in_that_language_alone(
    language: str, in_one: dict[str, Path], in_two: Path
) -> None:
    """The file keeps every name that there was then: whoever opens the log later reads it in theirs."""
    with speaking(language):
        told = [_past(path) for path in (in_two, in_one[language])]
    assert told[0] == told[1]
    assert len(told[0]) > 400
    assert KEPT not in str(told)


def _past(path: Path) -> list[object]:
    file = KitchenFile.open(path)
    try:
        rows = log_rows(file)
        told = [*rows, *(one.text for one in done_since(file, 0)), *record(file, since=rows[0].at).lines]
    finally:
        file.close()
    return [one for one in told if not TYPED.search(str(one)) and "'loaded'" not in str(one)]


@pytest.mark.parametrize("width", [44, 100])
async def test_a_board_in_spanish_and_what_it_opens_have_no_name_in_english(width: int, in_two: Path) -> None:
    file = KitchenFile.open(in_two, FixedClock(demo.later(UNTIL)))
    file.makes_planner = Planner
    speak("es")
    try:
        seen = await walked(StationScreen(file, ("sauce",), "mr"), ("enter", "d", "c", "w", "question_mark"), width)
    finally:
        speak("en")
        file.close()
    words = {key: {word.lower() for line in read(text) for word in WORD.findall(line)} for key, text in seen.items()}
    assert all(len(found) > 10 for found in words.values())
    english = in_english_only()
    assert {key: found & english for key, found in words.items() if found & english} == {}
    assert KEPT not in str(seen)


BEFORE = {"cool", "box", "chill", "cure", "dry", "rinse", "salt", "racks", "uncovered", "churn", "wash", "roll"}
"""Words of steps that were begun before the book had Spanish ones: they are done as they were begun."""
OF_ONE_LANGUAGE = {"trout", "lake", "zander", "dairy", "farm", "hill", "lock", "house"}
"""Species, suppliers and the kitchen, which a book names in one."""


@pytest.mark.parametrize("width", [44, 80])
def test_labels_recipes_and_pages_to_print_have_no_english_word_on_them(
    width: int, in_two: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PREPBOARD_NOW", demo.later(UNTIL).isoformat())
    monkeypatch.setenv("COLUMNS", str(width))
    file = KitchenFile.open(in_two)
    state = file.read()
    file.close()
    # Every fourth recipe on narrow rows, some of the others on wide ones, and labels of some preps: all are made alike.
    wanted = [["show", "recipe", prep] for prep in list(state.book.preps)[:: 4 if width == 44 else 9]]
    labelled = {batch.prep: batch.code for batch in state.batches if width == 44}
    wanted += [["label", code] for code in list(labelled.values())[::5]]
    texts = {" ".join(words): printed(in_two, *words) for words in wanted}
    html = [["show", what, "--html"] for what in ("make", "allergens", "closing")]
    html += [["label", state.batches[0].code, "--html"], ["label", state.batches[1].code, "--svg"]]
    pages = {" ".join(words): re.sub(r"(?s)<style.*?</style>|<[^>]+>", " ", printed(in_two, *words)) for words in html}
    assert all(len(shown) > 60 for shown in (texts | pages).values())
    too_wide = {what: line for what, shown in texts.items() for line in shown.splitlines() if len(line) > width}
    assert {what: line for what, line in too_wide.items() if not what.startswith("label")} == {}
    mine = in_english_only() - BEFORE - OF_ONE_LANGUAGE
    found = {what: {word.lower() for word in WORD.findall(shown)} & mine for what, shown in (texts | pages).items()}
    assert {what: words for what, words in found.items() if words} == {}
    assert KEPT not in str(texts | pages)


def printed(path: Path, *words: str) -> str:
    given = ["--file", str(path), "--by", "mr", "--language", "es", *words]
    result = CliRunner().invoke(cli, given, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return unescape(result.output)


@cache
def in_english_only() -> frozenset[str]:
    """The words of our texts and of the demo's book that no Spanish one has; those of typed notes are nobody's."""
    said = demo_words("es")
    names, spanish = ({word.lower() for text in of for word in WORD.findall(text)} for of in (said, said.values()))
    typed = {"breasts", "stay", "out", "low", "drawer", "leaks", "nine", "two", "them", "without", "nuts"}
    return (english_only() | frozenset(names)) - spanish - typed - texts_in_spanish()


def texts_in_spanish() -> frozenset[str]:
    said = catalogue.known("es").entries.values()
    return frozenset(word.lower() for one in said for text in one.said for word in WORD.findall(text))


SOUS_OF_BOTH = Who("mr", "sauce")


@pytest.fixture
def quay(tmp_path: Path) -> Iterator[KitchenFile]:
    file = kitchen_file(tmp_path, demo.NOW, SOUS_OF_BOTH, kitchen=BOOK)
    file.makes_planner = Planner
    yield file
    file.close()


@pytest.mark.parametrize(
    ("language", "name", "one", "several", "soup"),
    [
        ("en", "Lamb jus", "1 sauce bottle (500 ml)", "3 sauce bottles (1.5 l)", "2 soup jugs (2 l)"),
        ("es", "Jugo de cordero", "1 biberón (500 ml)", "3 biberones (1,5 l)", "2 jarras de sopa (2 l)"),
        ("es-MX", "Jugo de cordero", "1 biberón (500 ml)", "3 biberones (1,5 l)", "2 jarras de sopa (2 l)"),
        ("de", "Lamb jus", "1 sauce bottle (500 ml)", "3 sauce bottles (1.5 l)", "2 soup jugs (2 l)"),
    ],
)
def test_names_and_containers_are_said_in_the_readers_language_else_plainly(
    language: str, name: str, one: str, several: str, soup: str
) -> None:
    """A language that is spoken in several countries has what it is a kind of; the plural is the book's own, else the
    language's rule makes it."""
    book = read_texts({"kitchen.toml": BOOK})
    jus = book.preps["jus"].measure
    with speaking(language):
        assert book.preps["jus"].name == name
        assert [say_amount(jus, much * 10**6) for much in (500, 1500)] == [one, several]
        assert say_amount(book.preps["soup"].measure, 2 * 10**9) == soup
    for typed in ("sauce bottle", "sauce bottles", "biberón", "biberones"):
        assert jus.millionths(Amount(Fraction(2), typed)) == 10**9


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("name = {}", "expected a text for each language"),
        ('name = { spanish = "Jugo" }', "expected the code of a language, like es, not 'spanish'"),
        ('name = { en = "Jus", es = 3 }', "es: expected a text in quotes"),
        ('name = { en = "Jus", es = "" }', "es: is empty"),
        ('name = "Jus"\nheld_in = { jug = "1 l" }\nplural = { jog = "jugs" }', "no container is called 'jog'"),
        ('name = "Jus"\nplural.es = "jarras"', "say of which container"),
    ],
)
def test_what_is_wrong_with_a_text_by_language_is_said(written: str, said: str) -> None:
    with pytest.raises(Faults, match=re.escape(said)):
        read_texts({"kitchen.toml": f'[preps.jus]\nmakes = "1 l"\nkeeps = "1 day"\n{written}'})


def test_two_of_one_name_in_any_language_are_warned_of(tmp_path: Path) -> None:
    other = (
        '[preps.juice]\nname = { en = "Juice", es = "Jugo de cordero" }\nmakes = "1 l"\nkeeps = "1 day"\npar = "1 l"'
    )
    (tmp_path / "a.toml").write_text(BOOK + other, encoding="utf-8")
    warned = read_with_warnings(tmp_path)[2]
    assert [fault.key for fault in warned if "has the name of 'jus' too" in fault.said] == ["preps.juice.name"]


def asked(file: KitchenFile, *words: str) -> str:
    given, now = ["--file", str(file.path), "--by", "mr", *words], {"PREPBOARD_NOW": demo.NOW.isoformat()}
    return CliRunner().invoke(cli, given, env=now, catch_exceptions=False).output


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_command_finds_a_prep_by_either_name_and_an_amount_by_either_container(
    language: str, quay: KitchenFile
) -> None:
    for typed in ("lamb", "jugo", "JUGO DE CORDERO", "jus"):
        assert '"prep": "jus"' in asked(quay, "--language", language, "show", "recipe", typed, "--json")
    made_of = asked(quay, "--language", language, "done", "cordero", "2", "biberones")
    assert ("2 sauce bottles (1 l)" if language == "en" else "2 biberones (1 l)") in made_of
    assert ("Lamb jus" if language == "en" else "Jugo de cordero") in made_of


def test_for_programs_the_plain_name_stands_whoever_asks(quay: KitchenFile) -> None:
    for what in (["make", "--json"], ["stock", "--csv"], ["recipe", "jus", "--json"], ["pars", "--csv"]):
        english, spanish = (asked(quay, "--language", one, "show", *what) for one in ("en", "es"))
        assert "Jugo" not in spanish
        assert "Reducir" not in spanish
        assert KEPT not in spanish
        assert spanish == english or what[0] == "make", "why a line is late is a sentence"


def test_what_the_book_has_is_nothing_unknown_in_any_language(quay: KitchenFile) -> None:
    with pytest.raises(Refused, match="is in the book"):
        made(quay, SOUS_OF_BOTH, "jugo de cordero", Amount(Fraction(1), "l"))


def test_letters_that_are_typed_on_a_board_are_of_any_language() -> None:
    book = read_texts({"kitchen.toml": BOOK})
    with speaking("es"):
        shown = book.preps["jus"].name
    assert every(book.preps["jus"].called) == ("Lamb jus", "Jugo de cordero")
    assert starts("jug", shown)
    assert starts("lam", shown)
    assert matches("amb", shown)
    assert not starts("soup", shown)


def test_a_new_book_that_calls_it_otherwise_is_found_by_that_too() -> None:
    """A board stays open while the book changes: nobody closes it for a new word."""
    for spanish in ("Jugo de cordero", "Salsa de asado"):
        book = read_texts({"kitchen.toml": BOOK.replace("Jugo de cordero", spanish)})
        with speaking("en"):
            assert book.preps["jus"].name == "Lamb jus"
    assert starts("salsa", "Lamb jus")


def test_a_pack_is_open_and_a_recipe_is_kept_in_the_readers_words(quay: KitchenFile) -> None:
    """Not as a key opens, and not by the book's own word for a storage."""
    open_goods(quay, SOUS_OF_BOTH, "cream", lot="A7")
    assert " abierto " in asked(quay, "--language", "es", "show", "expiring")
    assert "Se conserva: en frío 3 días" in asked(quay, "--language", "es", "show", "recipe", "jus")
    asked(quay, "done", "soup")
    assert " hecho, Soup" in asked(quay, "--language", "es", "show", "log")


@pytest.mark.parametrize("size", [(44, 30), (100, 30)])
async def test_names_of_packs_too_follow_whoever_signs_in(quay: KitchenFile, size: tuple[int, int]) -> None:
    with speaking("es"):
        open_goods(quay, SOUS_OF_BOTH, "cream", lot="A7")
    board = StationScreen(quay, ("sauce",), "mr")
    app = BoardApp(board)
    try:
        async with app.run_test(size=size) as pilot:
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
    for english, spanish in (("Lamb jus", "Jugo de cordero"), ("Cream, lot A7", "Nata, lote A7"), ("SAUCE", "SALSAS")):
        assert [english in text for text in seen] == [True, False, True], english
        assert [spanish in text for text in seen] == [False, True, False], spanish
