"""From a board to what a station reads: which lines, in which words, and what is marked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from types import SimpleNamespace
from typing import Any

from msgspec.structs import replace
from rich.cells import cell_len

from prepboard.boards.rows import lists as rows
from prepboard.boards.rows.left_rows import left_over, short_names
from prepboard.boards.rows.station_view import out_lines, title_lines, view
from prepboard.boards.rows.work_words import work_ahead, work_in_brief
from prepboard.boards.station.as_text import texts
from prepboard.boards.widgets.row import Row, draw, measure
from prepboard.plan.board import Board
from prepboard.plan.given.state import Placed
from prepboard.plan.shown.lines import Expiring, MakeLine, Serves, StationWork

Boards = Callable[..., Board]
Make = Callable[..., MakeLine]
Moment = Callable[..., datetime]
SAUCE = ("sauce",)
MILLION = 1_000_000


def by_what(found: tuple[Row, ...]) -> dict[str, Row]:
    return {row.what: row for row in found}


def test_the_most_urgent_line_is_the_first(board: Boards) -> None:
    assert [(row.when, row.what) for row in rows.to_make(board(), SAUCE)] == [
        ("14:22", "Onion soubise"),
        ("14:40", "Lamb jus"),
        ("15:05", "Chive oil"),
        ("22:15", "Cured trout"),
    ]


def test_a_line_says_how_urgent_it_is_in_words(board: Boards, make: Make, moment: Moment) -> None:
    found = by_what(rows.to_make(board(), SAUCE))
    assert (found["Onion soubise"].words, found["Onion soubise"].tone) == ("ready 12 min late", "late")
    assert (found["Lamb jus"].words, found["Lamb jus"].tone) == ("in 18 min", "plain")
    assert found["Cured trout"].words == "tonight"
    (now,) = rows.to_make(board(make=(make("jus", MILLION, moment("14:22")),)), SAUCE)
    assert (now.words, now.tone) == ("start now", "strong")
    (tomorrow,) = rows.to_make(board(make=(make("jus", MILLION, moment("9:30", 32)),)), SAUCE)
    assert (tomorrow.when, tomorrow.words) == ("Sun 09:30", "tomorrow")
    (night,) = rows.to_make(board(make=(make("jus", MILLION, moment("1:45", 32)),)), SAUCE)
    assert (night.when, night.words) == ("01:45", "tonight"), "after midnight the evening goes on"
    (later,) = rows.to_make(board(make=(make("jus", MILLION, moment("8:00", 33)),)), SAUCE)
    assert (later.when, later.words) == ("Mon 08:00", "in 2 days")


def test_words_agree_with_the_clock_that_is_shown(board: Boards, parts: SimpleNamespace) -> None:
    """At 14:22:50 the clock says 14:22, so 14:40 is in 18 minutes, not in 17."""
    later = board(now=parts.now + timedelta(seconds=50))
    assert by_what(rows.to_make(later, SAUCE))["Lamb jus"].words == "in 18 min"


def test_a_line_says_what_it_is_for(board: Boards, make: Make, moment: Moment) -> None:
    found = by_what(rows.to_make(board(), SAUCE))
    assert found["Chive oil"].extra == "dinner, Sun lunch"
    serves = (Serves(None, "jus", date(2026, 10, 31), MILLION),)
    (stock,) = rows.to_make(board(make=(make("stock", MILLION, moment("14:40"), serves=serves),)), SAUCE)
    assert stock.extra == "for Lamb jus"


def test_a_station_sees_its_own_lines_and_two_benches_in_one_see_both(board: Boards) -> None:
    assert [row.what for row in rows.to_make(board(), ("pastry",))] == ["Custard"]
    assert len(rows.to_make(board(), ("sauce", "pastry"))) == 5


def test_what_is_before_a_bench_counts_only_what_comes_before_service(board: Boards) -> None:
    """The trout starts at 22:15, after the dinner: it is in the list but not in the count."""
    assert work_ahead(board(), SAUCE) == ("3 to start", "2 h 10 of work", "3 h 38 of hands before service")


def test_work_that_does_not_fit_is_said_early(board: Boards, moment: Moment) -> None:
    over = board(work=(StationWork("sauce", moment("18:00"), 100, 140),))
    assert work_ahead(over, SAUCE)[:2] == ("3 to start", "needs 40 min of help")


def test_once_service_runs_the_work_that_is_left_is_behind(board: Boards, moment: Moment) -> None:
    late = board(now=moment("19:00"), work=(StationWork("sauce", moment("19:00"), 0, 67),))
    assert work_ahead(late, SAUCE) == ("3 to start", "1 h 07 behind")
    assert work_in_brief(late, SAUCE) == ""
    none = board(now=moment("19:00"), work=(StationWork("sauce", moment("19:00"), 0, 0),))
    assert work_ahead(none, SAUCE) == ("3 to start",)


def test_under_way_says_what_to_do_next_and_when(board: Boards, parts: SimpleNamespace, moment: Moment) -> None:
    first, second = rows.under_way(board(), SAUCE)
    assert (first.when, first.words, first.extra) == ("15:40", "out of the deck oven", "LM")
    assert (second.when, second.words, second.extra) == ("16:10", "strain", "JP")
    waits = (
        parts.run("R1", "jus", MILLION, "LM", "strain", moment("14:02")),
        parts.run("R2", "stock", MILLION, "LM", "", moment("14:22")),
    )
    late, due = rows.under_way(board(under_way=waits), SAUCE)
    assert (late.words, late.tone) == ("since 14:02: strain", "strong")
    assert (due.words, due.tone) == ("now: mark it done", "strong")


def test_what_goes_off_says_when_its_code_and_what_to_use_first(board: Boards) -> None:
    crisp, parsnip, soubise = rows.goes_off(board(), SAUCE)
    assert (crisp.when, crisp.words) == ("22:00", "M2R")
    assert (parsnip.when, parsnip.words, parsnip.tone) == ("tonight", "K7F  use first", "strong")
    assert (soubise.when, soubise.words, soubise.tone) == ("Sun", "Q9T  use first", "plain")


def test_food_past_its_use_by_is_never_shown_as_good(board: Boards, parts: SimpleNamespace, moment: Moment) -> None:
    """A batch is good up to, not at, its use-by; the word discard stands beside its colour."""
    ended = Expiring(parts.batch("B4K", "soubise", MILLION, moment("14:22")), True)
    held = Expiring(parts.batch("P2M", "soubise", MILLION, moment("20:00"), blocked="cooled too slowly"), False)
    first, second = rows.goes_off(board(expiring=(ended, held)), SAUCE)
    assert (first.when, first.words, first.tone) == ("discard", "B4K  expired 14:22", "discard")
    assert (second.when, second.words, second.tone) == ("blocked", "P2M  do not use: cooled too slowly", "discard")
    for width in (24, 44, 60, 80, 120):
        said = texts(board(expiring=(ended, held)), SAUCE, width)
        assert "discard" in said
        assert "blocked" in said


def test_what_is_86_or_low_elsewhere_stands_below_a_benchs_own_dishes(board: Boards, moment: Moment) -> None:
    lamb, celeriac, duck, custard = board().left
    low = replace(custard, low=True, runs_out_at=moment("20:10"), ends_first="custard")
    shown = left_over(board(given_left=(low, lamb, celeriac, duck)), SAUCE)
    assert [row.key for row in shown] == ["lamb", "celeriac", "duck", "custard-dish"]
    assert shown[-1].words.startswith("lasts to about 20:10 (")
    assert shown[-1].tone == "strong"
    plenty = left_over(board(given_left=(custard, lamb)), SAUCE)
    assert [row.key for row in plenty] == ["lamb"], "what another bench has enough of is no matter here"


def test_a_dish_is_named_up_to_its_first_comma_where_no_other_begins_like_it(
    board_of: Callable[..., Boards], parts: SimpleNamespace
) -> None:
    names = {"lamb": "Lamb, peas and mint", "celeriac": "Trout, cured", "duck": "Trout, smoked"}
    left = tuple(parts.left(dish, 3, None, 1, "jus") for dish in names)
    shown = short_names(board_of(**names)(given_left=left))
    assert shown == {"lamb": "Lamb", "celeriac": "Trout, cured", "duck": "Trout, smoked"}


def out_text(board: Board, width: int) -> list[str]:
    return ["".join(text for text, _tone in line) for line in out_lines(board, width)]


def test_what_is_86_and_low_stands_on_one_line_with_the_names_that_have_room(board: Boards) -> None:
    lamb, celeriac, duck, custard = board().left
    gone = tuple(replace(one, eighty_six=True) for one in (lamb, celeriac, duck))
    both = board(given_left=(*gone, replace(custard, low=True)))
    name = rows.voice_of(both).name("custard-dish")
    assert out_text(both, 120)[0].strip() == f"86: Pressed lamb shoulder, Celeriac and hazelnut, Duck leg; low: {name}"
    assert out_text(both, 60)[0].strip() == f"86: Pressed lamb shoulder and 2 more; low: {name}"
    assert [cell_len(line) for width in (24, 44, 60, 120) for line in out_text(both, width)] == [24, 44, 60, 120]
    assert out_text(board(given_left=(lamb, celeriac)), 80) == []


def test_left_says_which_prep_ends_first_and_when(board: Boards) -> None:
    lamb, celeriac, duck = left_over(board(), SAUCE)
    assert (lamb.amount, lamb.words) == ("34", "lasts to about 20:40 (lamb jus)")
    assert (celeriac.amount, celeriac.words) == ("61", "")
    assert (duck.amount, duck.words, duck.tone) == ("0", "86, taken off", "strong")


def test_86_is_on_every_board_during_service_and_not_yet_before(
    board: Boards, parts: SimpleNamespace, moment: Moment
) -> None:
    """Before the doors open a dish whose prep is still to be made is not made yet; 86 is on every board."""
    not_yet = (parts.left("lamb", 0, "jus", 40, "jus", not_yet=True),)
    (before,) = left_over(board(given_left=not_yet), SAUCE)
    assert (before.words, before.tone) == ("not made yet", "plain")
    assert left_over(board(given_left=not_yet), ("pastry",)) == ()
    left = (parts.left("lamb", 0, "jus", 40, "jus", eighty_six=True),)
    running = (parts.sitting("dinner", parts.day, 92, moment("14:00"), moment("22:30"), running=True),)
    (during,) = left_over(board(given_left=left, sittings=running), ("pastry",))
    assert (during.words, during.tone) == ("86, no lamb jus", "strong")


def test_only_late_and_discard_have_a_colour(board: Boards) -> None:
    sections = view(board(), ("sauce", "pastry")).sections
    for row in (row for section in sections for row in section.rows):
        assert ("late" in row.words) == (row.tone == "late")
        assert (row.when in ("discard", "blocked")) == (row.tone == "discard")


def test_an_empty_section_says_so_in_a_sentence(board: Boards) -> None:
    empty = view(board(make=(), under_way=(), expiring=(), given_left=(), sittings=()), SAUCE)
    assert all(not section.rows and section.empty.endswith(".") for section in empty.sections)
    assert empty.title.service == "no service is near"


def test_the_title_says_whose_board_when_and_what_comes_next(
    board: Boards, parts: SimpleNamespace, moment: Moment
) -> None:
    title = view(board(), ("sauce", "pastry"), "LM").title
    assert title.whose == "SAUCE + PASTRY"
    assert title.when == "Sat 31 Oct  14:22"
    assert title.service == "dinner 18:00, 92 covers, in 3 h 38"
    running = (parts.sitting("dinner", parts.day, 92, moment("14:00"), moment("22:30"), running=True),)
    assert view(board(sittings=running), SAUCE).title.service == "dinner until 22:30, 92 covers"


def test_a_clock_that_was_set_by_hand_is_said(board: Boards) -> None:
    assert view(board(), SAUCE, clock_by_hand=True).title.when == "Sat 31 Oct  14:22, clock set by hand"


def test_the_title_takes_a_second_line_where_one_is_too_short(board: Boards) -> None:
    title = view(board(), SAUCE, "LM").title
    assert len(title_lines(title, "", 80)) == 1
    first, second = ("".join(text for text, _tone in line) for line in title_lines(title, "", 44))
    assert first.split() == ["SAUCE", "Sat", "31", "Oct", "14:22", "LM"]
    assert second.strip() == "dinner 18:00, 92 covers, in 3 h 38"


def test_the_text_says_what_the_screen_says(board: Boards) -> None:
    """Every word of every row is in the plain-text twin, and no line is wider than asked."""
    said: Any = texts(board(), SAUCE, 120, "LM")
    for section in view(board(), SAUCE, "LM").sections:
        assert section.heading in said
        for row in section.rows:
            assert row.what in said
            assert row.words in said
            assert row.extra in said
    for width in (30, 44, 80, 120):
        assert max(map(len, texts(board(), SAUCE, width).splitlines())) <= width


def test_names_are_plain_text_in_the_text_too(board_of: Callable[..., Boards]) -> None:
    said = texts(board_of(jus="\x1b[31m[red]jus[/red]\x07")(), SAUCE, 100)
    assert "[red]jus[/red]" in said
    assert said.replace("\n", "").isprintable()


def test_a_wide_row_says_its_steps_and_when_where_there_is_room_to_spare(board: Callable[..., Board]) -> None:
    shown = board()
    at = [shown.now + timedelta(minutes=minutes) for minutes in (0, 20)]
    placed = [Placed(step, begins, begins, begins) for step, begins in enumerate(at)]
    first, second = (step.do.partition(",")[0] for step in shown.state.book.preps["jus"].steps[:2])
    when = rows.voice_of(shown).time(at[1])
    assert rows.steps_ahead(shown, "jus", placed, begins=True) == f"{first}   {when} {second}"
    row = Row("a", what="Soubise", words="now", more="Sweat   14:40 Cover")
    (wide, narrow) = ("".join(text for text, _tone in draw(row, measure([row]), width)) for width in (160, 40))
    assert "Sweat   14:40 Cover" in wide
    assert "Sweat" not in narrow
