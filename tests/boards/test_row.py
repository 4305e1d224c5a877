"""How a row is drawn: exact widths, literal text, and what gives way first."""

from __future__ import annotations

import pytest
from rich.cells import cell_len

from prepboard.boards.widgets import row as row_module
from prepboard.boards.widgets.row import Row, aligned, clean, draw, draw_folded, fit, headed, measure

JUS = Row("jus", "14:40", "Lamb jus", "1.2 l", "in 18 min", "dinner")
OIL = Row("oil", "15:05", "Chive oil", "500 ml", "in 43 min", "dinner, Sun lunch")

UNKIND = {
    "markup": "[red]x[/red]",
    "textual markup": "[@click=app.quit]tap me[/]",
    "an escape code": "\x1b[31mred\x1b[0m",
    "a title change": "\x1b]0;gone\x07jus",
    "a bell and a backspace": "ju\x07s\x08\x08",
    "two lines": "lamb\njus\r\n",
    "an emoji": "🦆🔥 duck",
    "a picture made of several": "👨‍👩‍👧 family meal",
    "Hebrew": "רוטב כבש",
    "Hebrew turned around": "\u202eסבכ\u202c jus",
    "Chinese": "羊肉汁",
    "accents that are marks": "pure\u0301e",
    "300 letters": "lamb " * 60,
    "nothing": "",
}
unkind = pytest.mark.parametrize("name", UNKIND.values(), ids=UNKIND.keys())
WIDTHS = (10, 20, 44, 60, 80, 120, 200)


def text_of(pieces: list[tuple[str, str]]) -> str:
    return "".join(text for text, _tone in pieces)


@unkind
def test_a_row_fills_its_width_exactly_whatever_the_name(name: str) -> None:
    """Never a cell more or less: a wide sign or a long name pushes nothing out of its column."""
    row = Row("key", "14:40", name, "1.2 l", "in 18 min", name, "late")
    need = measure([row, OIL])
    for width in WIDTHS:
        filled = [cell_len(text_of(pieces)) for pieces in (draw(row, need, width), *draw_folded(row, need, width))]
        assert filled == [width] * len(filled)


@unkind
def test_a_name_is_text_and_nothing_else(name: str) -> None:
    """No control character, no direction mark and no selector reaches the screen; what is left stands as it is."""
    drawn = text_of(draw(Row("key", what=name), measure([Row("key", what=name)]), 80))
    assert drawn.isprintable()
    assert not set(drawn) & set("\u202e\u202c\u200d\ufe0f\x1b")


def test_markup_stands_as_it_was_written() -> None:
    row = Row("key", what="[red]x[/red]")
    assert text_of(draw(row, measure([row]), 80)).strip() == "[red]x[/red]"


def test_an_escape_code_goes_and_its_text_stays() -> None:
    assert clean("\x1b[31mred\x1b[0m sauce") == "red sauce"


@pytest.mark.parametrize(
    ("text", "cells", "fitted"), [("soubise", 4, "sou…"), ("jus", 5, "jus  "), ("羊肉汁", 4, "羊 …")]
)
def test_what_is_too_long_ends_with_an_ellipsis(text: str, cells: int, fitted: str) -> None:
    """A sign of two cells that would be cut in half leaves a blank."""
    assert fit(text, cells) == fitted


def test_numbers_stand_right_aligned_with_their_units_below_one_another() -> None:
    need = measure([JUS, OIL])
    first, second = (text_of(draw(row, need, 80)) for row in (JUS, OIL))
    assert first.index("1.2") + 3 == second.index("500") + 3
    assert first.index(" l ") == second.index(" ml")


def test_columns_of_two_lists_stand_below_one_another() -> None:
    long = Row("shoulder", "15:40", "Lamb shoulder, braised overnight", "3.2 kg", "out of the deck oven")
    need = aligned(measure([JUS]), measure([long]))
    drawn = text_of(draw(JUS, need, 120)), text_of(draw(long, aligned(measure([long]), measure([JUS])), 120))
    assert drawn[0].index("1.2") == drawn[1].index("3.2")


def test_of_a_list_that_became_longer_only_the_new_row_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tuple(Row(str(place), "14:00", f"Soup {place}", "1 l") for place in range(9, 12))
    measure(rows[:2])
    asked: list[str] = []
    monkeypatch.setattr(row_module, "clean", lambda text: asked.append(text) or clean(text))
    assert measure(rows).what == len("Soup 11")
    assert [text for text in asked if "Soup" in text] == ["Soup 11"]


def test_what_a_run_is_for_gives_way_before_its_name_and_its_urgency() -> None:
    serves = "dinner, Sun lunch, Mon dinner"
    long = Row("key", "14:40", "Asparagus hollandaise", "2 sauce bottle (1 l)", "late 25 min", serves)
    drawn = text_of(draw(long, measure([long]), 55))
    assert "Asparagus hollandaise" in drawn
    assert "  1 l  " in drawn
    assert "late 25 min" in drawn
    assert "Mon dinner" not in drawn


def test_a_container_said_in_brief_leaves_its_room_to_what_the_run_is_for() -> None:
    bottles = Row(
        "sorrel", "14:10", "Sorrel sauce, creamed", "2 sauce bottle (1 l)", "late 32 min", "Dinner, Sun Lunch"
    )
    assert text_of(draw(bottles, measure([bottles]), 70)).rstrip().endswith("1 l  late 32 min  Dinner, Sun Lunch")


def test_a_sentence_across_the_columns_makes_none_of_them_wider() -> None:
    folded = Row("key", what="not for Dinner: Cured trout, White beans and 3 more", words="no Cured trout", across=True)
    assert measure([JUS, folded]) == measure([JUS])
    line = text_of(draw(folded, measure([JUS, folded]), 80))
    assert line.rstrip() == "   not for Dinner: Cured trout, White beans and 3 more  no Cured trout"
    for width in (44, 60, 80):
        short = text_of(draw(folded, measure([JUS]), width))
        assert len(short) == width
        assert "not for Dinner: C" in short
        assert "no Cur" in short


def test_a_narrow_row_has_time_and_prep_above_amount_and_urgency() -> None:
    first, second = map(text_of, draw_folded(JUS, measure([JUS, OIL]), 44))
    assert first.split() == ["14:40", "Lamb", "jus"]
    assert second.rstrip() == "          1.2 l   in 18 min   dinner"


def test_a_heading_drops_what_it_has_no_room_for() -> None:
    aside = ("6 to start", "2 h 10 of work", "3 h 38 of hands before service")
    assert text_of(headed("TO MAKE", aside, 80)).endswith("3 h 38 of hands before service ")
    assert text_of(headed("TO MAKE", aside, 44)).rstrip().endswith("2 h 10 of work")
    assert text_of(headed("TO MAKE", aside, 12)).strip() == "TO MAKE"


def test_a_last_column_of_which_nothing_could_be_read_leaves_its_room_to_the_words() -> None:
    """ "G…" tells nobody which bench it is, and "bin…" is no "bin it"."""
    boxes = [
        Row("x6h", "Walk-in, cold", "White asparagus, peeled", "700 ml", "X6H  expired Fri: bin it", "Garde manger"),
        Row("a7q", "", "Fish fumet", "850 ml", "A7Q  to midnight", "Sauce"),
    ]
    first, second = (text_of(draw(box, measure(boxes), 77)).rstrip() for box in boxes)
    assert first.endswith("X6H  expired Fri: bin it")
    assert second.endswith("A7Q  to midnight")
    assert text_of(draw(boxes[0], measure(boxes), 120)).rstrip().endswith("Garde manger")
