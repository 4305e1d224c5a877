"""What is due stands above all else and rings; in service the board turns over; timers in two presses."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

from boards.at_a_station import JUS
from msgspec.structs import replace

from prepboard.boards.questions.minutes import AskMinutes
from prepboard.boards.rows import station_view
from prepboard.boards.rows.due_rows import due, due_rows, rung, timer_key
from prepboard.boards.rows.lists import RowCache
from prepboard.boards.rows.station_view import due_section, sections, service_ends
from prepboard.plan.board import Board
from prepboard.plan.given.state import Timer
from prepboard.store.actions.food.making import start
from prepboard.store.file.who import Who

SAUCE = ("sauce",)
Boards = Callable[..., Board]


def named(board: Board, *, whole: bool = False) -> dict[str, list[str]]:
    return {one.name: [row.key for row in one.rows] for one in sections(board, SAUCE, RowCache(), whole=whole)}


def test_what_is_due_stands_above_and_not_below_as_well(board: Boards, moment: Any) -> None:
    shown = board()
    soon = replace(shown.under_way[0], next_at=shown.now - timedelta(minutes=22), overdue_minutes=22)
    late = replace(shown, under_way=(soon, *shown.under_way[1:]))
    (row,) = due_section(late, SAUCE).rows
    assert row.key == f"run {soon.run}"
    assert row.words.startswith("overdue 22 min: ")
    assert row.key not in named(late)["under-way"]


def test_the_bell_rings_at_once_and_after_5_and_15_minutes(board: Boards) -> None:
    shown = board()
    run = replace(shown.under_way[0], next_at=shown.now)
    for minutes, times in ((0, 1), (4, 1), (5, 2), (15, 3), (90, 3)):
        later = replace(shown, now=shown.now + timedelta(minutes=minutes), under_way=(run,))
        assert [rung(later, one) for one in due(later, SAUCE)] == [times]


def in_service(board: Boards, parts: SimpleNamespace, moment: Any) -> Board:
    shown = board()
    running = parts.sitting("dinner", date(2026, 10, 31), 92, moment("18:00"), moment("22:30"), running=True)
    low = tuple(
        replace(one, low=one.dish == "celeriac", runs_out_at=moment("20:10") if one.dish == "celeriac" else None)
        for one in shown.left
    )
    now = moment("19:00")
    return replace(shown, now=now, sittings=(running, *shown.sittings[1:]), given_left=low)


def test_in_service_what_begins_after_it_and_what_lasts_beyond_tonight_is_folded(
    board: Boards, parts: SimpleNamespace, moment: Any
) -> None:
    shown = in_service(board, parts, moment)
    later = tuple(replace(line, begins=moment("22:40")) for line in shown.make[:1])
    tonight = replace(shown, make=(*shown.make[1:], *later))
    short, whole = named(tonight), named(tonight, whole=True)
    assert str(later[0].line) not in short["to-make"]
    assert str(later[0].line) in whole["to-make"]
    section = sections(tonight, SAUCE, RowCache())[0]
    assert any("after service, from 22:40: v" in said for said in section.aside)
    assert len(short["goes-off"]) < len(whole["goes-off"])


def test_in_service_the_dishes_with_limits_lead(board: Boards, parts: SimpleNamespace, moment: Any) -> None:
    assert named(in_service(board, parts, moment))["left"][0] == "celeriac"


def test_a_timer_that_rang_is_due_and_one_that_runs_is_under_way(board: Boards) -> None:
    shown = board()
    rang = Timer(1, "sauce", shown.now - timedelta(minutes=1), "LM", "Lamb jus")
    runs = Timer(2, "sauce", shown.now + timedelta(minutes=4), "LM", "")
    elsewhere = Timer(3, "pastry", shown.now, "LM", "")
    timed = replace(shown, state=replace(shown.state, timers=(rang, runs, elsewhere)))
    assert [(row.what, row.words) for row in due_rows(timed, SAUCE) if row.key == timer_key(rang)] == [
        ("Lamb jus", "timer: rang")
    ]
    assert timer_key(runs) in named(timed)["under-way"]
    assert timer_key(elsewhere) not in {key for keys in named(timed).values() for key in keys}


async def test_a_timer_is_set_in_two_presses_and_stopped_in_one(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("y")
        await it.on(AskMinutes)
        await it.choose("4")
        await it.until(it.pilot, lambda: bool(it.file.read().timers))
        (timer,) = it.file.read().timers
        assert timer.ends - it.file.clock.now() == timedelta(minutes=10)
        await it.until(it.pilot, lambda: it.names("under-way") == ["Timer"])
        await it.go_to("under-way", "Timer")
        await it.press("s")
        await it.until(it.pilot, lambda: not it.file.read().timers)


async def test_s_goes_on_with_what_is_due_first(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        start(it.file, Who("LM", "sauce"), "jus", 1, at=it.file.clock.now() - timedelta(minutes=40))
        await it.until(it.pilot, lambda: it.names("due") == [JUS])
        assert it.board.query_one("#due-section").display
        await it.press("s")
        await it.until(it.pilot, lambda: [run.step for run in it.file.read().runs] == [1])
        assert len(it.file.read().runs) == 1, "and nothing new was started"
        await it.until(it.pilot, lambda: not it.board.query_one("#due-section").display)


def test_the_board_of_a_bench_that_the_book_has_lost_says_so(board: Boards) -> None:
    (make, *_rest) = sections(board(make=()), ("raw-bar",), RowCache())
    assert "has no" in make.empty
    assert make.empty.endswith("any more; q closes this board.")


def test_at_last_plates_the_bench_turns_back_to_what_is_to_make(board: Boards, parts: SimpleNamespace, moment: Any):
    """A service that runs on after its written end expects nobody: its bench folds nothing that begins later."""
    serving = in_service(board, parts, moment)
    over = replace(serving, sittings=tuple(replace(one, last_plates=True) for one in serving.sittings))
    assert service_ends(serving) is not None
    assert service_ends(over) is None


POT = """
[stations.sauce]
name = "Sauce"
cooks = 2

[equipment.oven]
name = "Oven"

[preps.roots]
name = "Roots"
station = "sauce"
keeps = "2 days"
makes = "2 kg"
par = "2 kg"
steps = [
  { do = "Roast", hands_on = "10 min", wait = "45 min", equipment = "oven", at = "190 C" },
  { do = "Spread", hands_on = "5 min" },
]

[preps.stock]
name = "Stock"
station = "sauce"
keeps = "2 days"
makes = "2 l"
par = "2 l"
steps = [
  { do = "Simmer", hands_on = "10 min", wait = "30 min", wait_up_to = "3 h" },
  { do = "Strain", hands_on = "10 min" },
]
"""


def test_on_a_clock_with_seconds_a_step_that_nobody_goes_on_with_stays_due(kitchen: Any) -> None:
    """A plan of 13:30:07 begins at 13:31 what it places anew. Roots are to come out at 12:55 and are overdue since; the
    stock, done at 12:40, can wait: it is due since then."""
    small = kitchen(POT)
    roots = small.under_way("roots", started="2026-10-31 12:00")
    stock = small.under_way("stock", started="2026-10-31 12:00")
    for now in ("2026-10-31 13:30:07", "2026-10-31 13:30:59", "2026-10-31 13:30"):
        found = {one.what.run: one.since.strftime("%H:%M") for one in due(small.plan(now), SAUCE)}
        assert found == {roots.code: "12:55", stock.code: "12:40"}, now
    rows = {row.what: (row.when, row.words) for row in due_section(small.plan("2026-10-31 13:30:07"), SAUCE).rows}
    assert rows["Roots"] == ("12:55", "overdue 35 min: Spread")
    assert rows["Stock"][0] == "12:40"
    assert rows["Stock"][1] == "Strain: can go on since 12:40, by 15:10"


def test_a_last_step_that_is_over_is_only_to_be_marked(kitchen: Any) -> None:
    """Nothing goes on after it."""
    small = kitchen(POT.replace('  { do = "Strain", hands_on = "10 min" },\n', ""))
    small.under_way("stock", started="2026-10-31 12:00")
    (row,) = due_section(small.plan("2026-10-31 13:30"), SAUCE).rows
    assert (row.when, row.words) == ("12:40", "since 12:40: mark it done")


async def test_what_is_due_is_looked_for_once_for_its_list_and_those_below(
    desk: Callable[..., Any], monkeypatch
) -> None:
    asked: list[Board] = []
    async with desk() as it:
        monkeypatch.setattr(station_view, "due_rows", lambda *given: asked.append(given[0]) or due_rows(*given))
        it.board.show(it.board.board)
        assert asked == [it.board.board]
