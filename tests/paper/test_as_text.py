"""Pages: time left, words right, empty sections in sentences, and the basis of what is called good."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from types import SimpleNamespace

import pytest
from msgspec.structs import replace

from prepboard.boards.rows.lists import urgency
from prepboard.paper import as_text, text_pages
from prepboard.paper.lists.recipe import sheet
from prepboard.paper.text.only import only, only_closing
from prepboard.paper.text.plain import wide
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.plan.shown.lines import DishSales, Note, WaitsFor

LISTS = ("make", "underway", "expiring", "left", "pars", "pull", "work")


def page(what: str, board: Board, width: int = 100) -> list[str]:
    return as_text.page(what, board, "Sauce", width).split("\n")


def test_the_page_to_make(board: Board) -> None:
    assert page("make", board) == [
        " SAUCE                     Sat 31 Oct  14:22                     Dinner 18:00, 92 covers, in 3 h 38",
        "",
        " TO MAKE",
        "  14:22  Lamb jus  1.2 l  ready 12 min late  Dinner, Rye crisp",
        "         100 ml spare: nothing planned needs it",
        "",
        " Dates by the kitchen's book, held to Rule book A; clock of this machine.",
    ]


@pytest.mark.parametrize(("hours", "said"), [(4, "in 4 h"), (8, "tonight"), (19, "tomorrow"), (51, "in 2 days")])
def test_what_begins_hours_from_now_says_so_on_paper_as_on_a_board(hours: int, said: str, board: Board) -> None:
    """Not "in 18 h 50", which nobody adds up."""
    (line,) = board.make
    begins = board.now + timedelta(hours=hours)
    later = replace(line, begins=begins, ready_by=begins + timedelta(days=1), ready_at=begins, notes=())
    head = page("make", replace(board, make=(later,)))[3]
    assert f"  {said}  " in head
    assert urgency(Voice.of(board), begins) == (said, "plain")


def test_a_late_line_says_on_paper_too_what_it_waits_for(board: Board) -> None:
    (line,) = board.make
    at = line.ready_by
    waiting = replace(board, make=(replace(line, waits_for=WaitsFor("hours", line.station, at)),))
    said = " ".join(page("make", waiting)).split()
    assert "waits for Sauce: nobody there to" in " ".join(said)


def test_what_is_too_late_for_all_that_it_is_for_says_its_moment_once(board: Board) -> None:
    (line,) = board.make
    ready = line.ready_by + timedelta(hours=9)
    notes = (Note("too late", {"at": ready}), Note("late by", {"minutes": 540, "at": ready}))
    (said,) = (
        row for row in page("make", replace(board, make=(replace(line, notes=notes),))) if "what it is for" in row
    )
    shown = "\n".join(page("make", replace(board, make=(replace(line, notes=notes),))))
    assert shown.count(said.partition(",")[0].strip()) == 1


@pytest.mark.parametrize(
    ("what", "line"),
    [
        ("underway", "  14:40  Rye crisp  24  JP  Q4R  Cool"),
        ("expiring", "  to midnight  Lamb jus  1.1 l  K7F  use first"),
        ("left", "  24  Pressed lamb  lasts to about 20:40 (lamb jus)"),
        ("pars", "  Lamb jus  1.5 l  mix, guess, 95 in 100 sure  on hand 300 ml  short 1.2 l  make 1.2 l"),
        ("pull", "  Sun 08:00  Lamb bones  2.5 kg  from the freezer  for Lamb jus"),
        ("work", "  18:00  Sauce  4 h 10 of work  3 h 38 of hands  needs 32 min of help"),
    ],
)
def test_a_line_of_each_list(what: str, line: str, board: Board) -> None:
    assert line in page(what, board)


def test_a_step_that_is_overdue_says_so_and_since_when(board: Board) -> None:
    (run,) = board.under_way
    now = board.now.replace(second=0, microsecond=0)
    since = now - timedelta(minutes=10)
    late = replace(run, next_at=now, may_go_on_from=since, go_on_by=since, overdue_minutes=10)
    (said,) = (line for line in page("underway", replace(board, under_way=(late,))) if "Rye crisp" in line)
    assert said == "  14:12  Rye crisp  24  JP  Q4R  overdue 10 min: Cool"


def test_pieces_that_nobody_counted_are_said_in_whole_ones_and_halves_are_kept(board: Board) -> None:
    voice = Voice.of(board)
    assert [voice.there("crisp", pieces) for pieces in (37_900_000, 6_500_000, 12_000_000)] == [
        "37",
        "6½",
        "12",
    ]
    assert voice.there("crisp", 10_100_000, lacks=True) == "11", "of what lacks the next whole one"
    assert voice.about("crisp", 6_500_001) == "7"
    assert voice.there("lamb-jus", 1_234_567_890) == voice.amount("lamb-jus", 1_234_567_890)


def test_a_dish_that_is_86_says_what_it_lacks_and_all_that_nobody_counts(board: Board) -> None:
    gone = tuple(replace(dish, plates_left=0, eighty_six=True, basis="expected") for dish in board.left)
    title, *rows = page("left", replace(board, given_left=gone))[2:-2]
    assert title == " LEFT FOR DINNER, expected, not counted"
    assert rows == ["  0  Pressed lamb  86, no lamb jus"]


@pytest.mark.parametrize("what", LISTS)
def test_no_line_is_wider_than_the_terminal(what: str, board: Board) -> None:
    for width in (24, 44, 80, 160):
        assert max(wide(line) for line in page(what, board, width)) <= width


@pytest.mark.parametrize("what", LISTS)
def test_an_empty_list_is_a_sentence(what: str, board: Board) -> None:
    empty = replace(board, sittings=(), make=(), under_way=(), expiring=(), given_left=(), pars=(), pull=(), work=())
    body = page(what, empty)[2:-2]
    assert body[-1].startswith("  ")
    assert body[-1].endswith(".")


def test_a_clock_set_by_hand_is_said(board: Board) -> None:
    by_hand = replace(board, state=replace(board.state, clock_set_by_hand=True))
    assert page("make", by_hand)[-1] == " Dates by the kitchen's book, held to Rule book A; clock set by hand."


def test_while_a_service_runs_its_end_is_said(board: Board) -> None:
    running = replace(board, now=board.now + timedelta(hours=5), sittings=(replace(board.sittings[0], running=True),))
    assert "Dinner until 22:30, 92 covers" in page("make", running)[0]


def test_a_name_with_escape_codes_is_drawn_as_text(board: Board, batch: Batch) -> None:
    bad = replace(batch, prep="", called="\x1b[2Jbrine [bold]")
    lines = page("expiring", replace(board, expiring=(replace(board.expiring[0], batch=bad),)))
    assert any("brine [bold]" in line for line in lines)
    assert not any("\x1b" in line for line in lines)


def test_a_station_sees_its_own_lines(board: Board, batch: Batch) -> None:
    pastry = only(board, ["pastry"])
    assert (pastry.make, pastry.expiring, pastry.left, pastry.pars, pastry.pull, pastry.work) == ((),) * 6
    assert only(board, ["sauce"]).under_way == ()
    assert len(only(board, ["sauce"]).left) == 1
    lists = Closing((), (), (CarryOver(batch, True),), board.make, board.pull)
    assert only_closing(lists, board.state.book, ["pastry"]) == Closing((), (), (), (), ())
    assert only_closing(lists, board.state.book, ["sauce"]) == lists


def test_the_close_on_paper(board: Board, batch: Batch) -> None:
    parting = Parting(batch, "past-use-by", Note("make again by", {"at": board.now}), None)
    close = Closing((parting,), (), (CarryOver(batch, True),), (), ())
    text = text_pages.closing(close, board, "Sauce", 90).split("\n")
    assert [line for line in text if line.isupper()] == [
        " DISCARD",
        " DECIDE",
        " CARRY OVER",
        " START TONIGHT",
        " PULL",
    ]
    assert "  Lamb jus  1.1 l  K7F  make again by 14:22" in text
    assert "  Nothing to decide." in text
    assert "  Lamb jus  1.1 l  K7F  good to midnight, use first" in text


def test_a_recipe_on_paper(board: Board) -> None:
    book = board.state.book
    scaled = sheet(book, book.preps["lamb-jus"], Fraction(3, 2))
    text = text_pages.recipe(scaled, Voice.of(board), "Lamb jus", 100).split("\n")
    assert " 1½ recipes: Lamb jus 1.5 l, Lamb fat 300 g" in text
    assert "    3 kg  Lamb bones   3.75 kg as bought  step 1" in text
    assert "  150 ml  Wine                            if there" in text
    assert "  1  Roast the bones  18 min hands-on, waits 1 h, Deck oven, at 200 °C" in text
    assert "  2  Reduce           Pastry, 20 min hands-on, waits 30 min to 1 h 30" in text
    assert " Allergens: celery, sulphites." in text
    assert " Keeps: chilled 4 days." in text


def test_the_log_on_paper(board: Board) -> None:
    row = SimpleNamespace(
        at=board.now, by="LM", station="sauce", did="made", batch="K7F", prep="lamb-jus", dish="", before="",
        after="1.2 l", why="",
    )  # fmt: skip
    text = text_pages.log([row], Voice.of(board), "Sauce", 100).split("\n")
    assert "  14:22  LM, Sauce, made, Lamb jus K7F, 1.2 l" in text


def with_history(board: Board, **more: object) -> Board:
    sales = DishSales("lamb", "measured", 40, 57, 60, True, 22.4, 61)
    par = replace(board.pars[0], source="history", stage="measured", dishes=(sales,), **more)
    return replace(board, pars=(par,))


def test_pars_from_history_say_how_often_they_were_kept_and_ask_when_they_no_longer_are(board: Board) -> None:
    text = " ".join(" ".join(page("pars", with_history(board))).split())
    assert "history, measured, 95 in 100 sure" in text
    assert "measured covered 57 of the last 60" in text
    assert "its last services were off by more than chance. Has something changed?" in text
    assert "History foresees no shift, holiday or weather." in text


def test_what_is_there_beyond_a_par_is_said_on_its_line_so_that_it_adds_up(board: Board) -> None:
    """1.5 l are asked for; 1.9 l on hand and 200 ml under way are 600 ml more."""
    par = replace(board.pars[0], on_hand=1_900_000_000, under_way=200_000_000, short=0)
    assert par.over == 600_000_000
    text = " ".join(" ".join(page("pars", replace(board, pars=(par,)))).split())
    assert "Lamb jus 1.5 l mix, guess, 95 in 100 sure on hand 1.9 l under way 200 ml 600 ml over" in text


def test_a_special_day_shows_no_promise_and_the_year_before(board: Board) -> None:
    text = " ".join(" ".join(page("pars", with_history(board, special=True, chance=None))).split())
    assert "history, measured, no promise on hand" in text
    assert "Plates a year before: " in text
    assert " 61." in text
