"""What a line says of its moments: begins, ready, late, if started now, under way, overdue; each comes true."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, time, timedelta
from fractions import Fraction
from functools import cache, partial
from random import Random
from zoneinfo import ZoneInfo

import pytest
from conftest import Kitchen
from msgspec.structs import replace

from prepboard.book.book import Station, Weekly
from prepboard.book.days import Days
from prepboard.plan import memory
from prepboard.plan.board import Board, plan
from prepboard.plan.given.state import Run, State
from prepboard.plan.runs.hours import Hours
from prepboard.plan.solver.in_turn import InTurn
from prepboard.plan.solver.schedule import Schedule

MINUTE = timedelta(minutes=1)

BOOK = """
[stations.a]
name = "A"
cooks = 1
hours = "06:00-22:00"
[equipment.c]
name = "Chiller"
[services.lunch]
on = "2026-10-31"
starts = "12:00"
ends = "14:00"
covers = 20
counts = { d = 10, e = 10 }
[dishes.d]
name = "D"
services = ["lunch"]
plate = { p = "100 g" }
[dishes.e]
name = "E"
services = ["lunch"]
plate = { q = "100 g" }
[preps.p]
name = "P"
keeps = "3 days"
station = "a"
makes = "1 kg"
steps = [
    { do = "Boil", hands_on = "10 min", wait = "10 min", wait_up_to = "30 min" },
    { do = "Chill", hands_on = "5 min", wait = "60 min", wait_up_to = "4 h", equipment = "c" },
    { do = "Bottle", hands_on = "10 min" },
]
[preps.q]
name = "Q"
keeps = "3 days"
station = "a"
makes = "1 kg"
steps = [
    { do = "Boil", hands_on = "10 min", wait = "10 min", wait_up_to = "30 min" },
    { do = "Chill", hands_on = "5 min", wait = "60 min", wait_up_to = "4 h", equipment = "c" },
    { do = "Bottle", hands_on = "10 min" },
]
"""


@cache
def planned(now: str) -> Board:
    """That kitchen's board at a moment, for all who look at it then."""
    return Kitchen(BOOK).plan(now)


def kept(board: Board) -> State:
    return replace(board.state, placements=board.placing.placements, placed_for=board.placing.digest)


def started(board: Board, prep: str, now) -> State:
    """The state once somebody presses start on a prep's line at a moment."""
    line = next(line for line in board.make if line.prep == prep)
    recipe = board.state.book.preps[prep]
    run = Run("R1", line.line, recipe, line.size, dict(line.outputs), now, 0, now, frozenset(), "LM", recipe.station)
    return replace(kept(board), runs=(run,), lines_run={(prep, line.line.need): 1})


@pytest.mark.parametrize("prep", ["p", "q"])
@pytest.mark.parametrize("keeping", [True, False])
def test_if_started_now_is_what_start_gives(moment, prep, keeping):
    """One place in the chiller: the one placed behind the other is ready as early as the first if it begins now."""
    now = moment("2026-10-31 09:00")
    board = planned("2026-10-31 09:00")
    promised = next(line.ready_if_started_now for line in board.make if line.prep == prep)
    assert promised == moment("2026-10-31 10:35")
    state = started(board, prep, now)
    if not keeping:
        state = replace(state, placements={}, placed_for="")
    (run,) = plan(state, now).under_way
    assert run.ready_at == promised


def test_a_line_begun_when_it_was_placed_lies_where_it_was_placed():
    board = planned("2026-10-31 08:00")
    line = board.make[0]
    (run,) = plan(started(board, line.prep, line.begins), line.begins).under_way
    assert [step.begins for step in run.steps] == [step.begins for step in line.steps]
    assert run.ready_at == line.ready_at


def test_a_step_that_is_due_stays_due_then_and_may_wait_as_long_as_it_may(moment):
    board = planned("2026-10-31 09:00")
    now = moment("2026-10-31 09:00")
    state = kept(plan(started(board, "p", now), now))
    for minutes in (25, 35, 47):
        later = plan(state, now + minutes * MINUTE)
        (run,) = later.under_way
        assert run.next_at == moment("2026-10-31 09:20")
        assert (run.may_go_on_from, run.go_on_by) == (moment("2026-10-31 09:20"), moment("2026-10-31 09:40"))
        assert run.overdue_minutes == max(0, minutes - 40)
        # What nobody went on with slips, and what hangs on it.
        assert run.ready_at == now + (minutes + 75) * MINUTE


def test_every_line_that_is_late_says_so_and_has_no_start_by(moment):
    for line in planned("2026-10-31 10:50").make:
        assert line.ready_at > line.ready_by
        assert line.late_minutes == (line.ready_at - line.ready_by) // MINUTE
        assert line.start_by is None
        assert line.begins >= moment("2026-10-31 10:50")


def test_a_line_that_nobody_pressed_begins_now_and_says_when_it_was_due(moment):
    board = planned("2026-10-31 08:00")
    first = board.make[0]
    later = plan(kept(board), first.begins + 7 * MINUTE)
    line = next(line for line in later.make if line.line == first.line)
    assert line.due_at == first.begins
    assert line.begins == first.begins + 7 * MINUTE
    # It stays so when something else is kept meanwhile.
    again = plan(kept(later), first.begins + 9 * MINUTE)
    assert next(line.due_at for line in again.make if line.line == first.line) == first.begins


def waits(kitchen, text, now, prep):
    """(kind, what, until) of what a prep's line waits for."""
    found = next(line for line in kitchen(text).plan(now).make if line.prep == prep).waits_for
    return (found.kind, found.what, f"{found.until:%H:%M}") if found else None


def test_a_late_line_says_what_it_waits_for():
    """Both at 10:50 for 12:00: one cook and one place in the chiller. The second's 75 minutes of chill and bottling
    begin when the first is out, which is what it waits for; the first waits for nothing, it just takes too long."""
    board = planned("2026-10-31 10:50")
    first, second = sorted(board.make, key=lambda line: line.ready_at)
    assert first.waits_for is None
    assert (second.waits_for.kind, second.waits_for.what, second.waits_for.by) in (
        ("place", "c", first.prep),
        ("hands", "a", first.prep),
    )


def test_a_break_is_named_with_its_end(kitchen):
    hours = BOOK.replace("06:00-22:00", "06:00-10:45, 11:15-22:00")
    text = hours.replace("counts = { d = 10, e = 10 }", "counts = { d = 10 }")
    assert waits(kitchen, text, "2026-10-31 10:50", "p") == ("hours", "a", "11:15")


def test_a_line_in_time_waits_for_nothing(kitchen):
    assert waits(kitchen, BOOK, "2026-10-31 07:00", "p") is None


def test_hours_asked_for_by_two_threads_are_those_that_one_gets():
    """Windows are worked out as they are asked for; here threads take turns every ten microseconds."""
    station = Station("s", "s", 0, Weekly((1,) * 7), Weekly((((time(8), time(12)), (time(13), time(22))),) * 7))
    days, base = Days(ZoneInfo("Europe/Berlin"), time(4)), datetime(2026, 6, 15, 10, tzinfo=UTC)
    limits = [base + timedelta(hours=hour) for hour in range(-24 * 20, 24 * 20, 5)]

    def ask(hours: Hours, limit: datetime) -> tuple[datetime | None, datetime | None]:
        return hours.latest_end(120, limit), hours.earliest_start(120, limit)

    alone = {limit: ask(Hours(station, days, limit), limit) for limit in limits}
    was = sys.getswitchinterval()
    sys.setswitchinterval(0.00001)
    try:
        for seed in range(30):
            hours = Hours(station, days, base)
            with ThreadPoolExecutor(2) as threads:
                asked = Random(seed).sample(limits, 40)
                found = list(threads.map(partial(ask, hours), asked))
            assert found == [alone[limit] for limit in asked]
    finally:
        sys.setswitchinterval(was)


TWO = """
[stations.a]
name = "A"
[stations.b]
name = "B"
hours = "09:00-17:30"
[services.dinner]
name = "D"
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
counts = { pie = 10, salad = 10 }
[dishes.pie]
name = "Pie"
services = ["dinner"]
plate = { pie = "100 g" }
[dishes.salad]
name = "Salad"
services = ["dinner"]
plate = { salad = "100 g" }
[preps.pie]
name = "Pie"
station = "b"
makes = "1 kg"
keeps = "3 days"
uses = { sauce = "500 g" }
steps = [{ do = "Bake", hands_on = "1 h" }]
[preps.salad]
name = "Salad"
station = "b"
makes = "1 kg"
keeps = "3 days"
uses = { sauce = "500 g" }
steps = [{ do = "Pick", hands_on = "1 h" }]
[preps.sauce]
name = "Sauce"
station = "a"
makes = "2 kg"
keeps = "3 days"
steps = [{ do = "Cook", hands_on = "1 h" }]
"""


def test_what_is_drawn_from_what_is_a_part_of_what_placements_follow_from(kitchen):
    """With a batch of sauce on hand that is dropped later the same lines stand in the plan, and draw of another."""
    one = kitchen(TWO)
    batch = one.on_hand("sauce", "500 g")
    board = one.plan("2026-10-31 08:00")
    dropped = replace(kept(board), batches=(replace(batch, blocked="dropped"),))
    after = plan(dropped, board.now)
    assert after.placing.digest != board.placing.digest
    memory.forget()
    fresh = plan(replace(dropped, placements={}, placed_for=""), board.now)
    begins = [[line.begins for line in found.make] for found in (after, fresh)]
    assert all(kept <= new for kept, new in zip(*begins, strict=True))
    sauce = next(line for line in after.make if line.prep == "sauce")
    assert all(line.begins >= sauce.ready_at for line in after.make if line.prep in ("pie", "salad"))


CROWDED = """
[stations.roast]
name = "Roast"
hours = { sat = "09:00-23:00", sun = "09:00-14:00" }

[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 10

[dishes.plate]
name = "Plate"
services = ["lunch"]
share = 1
plate = { potatoes = "100 g", beef = "100 g" }

[preps.potatoes]
name = "Potatoes"
station = "roast"
keeps = "3 h"
makes = "2 kg"
steps = [{ do = "Boil", hands_on = "30 min" }]

[preps.beef]
name = "Beef"
station = "roast"
keeps = "3 h"
makes = "2 kg"
steps = [{ do = "Roast", hands_on = "3 h" }]
"""


def test_what_keeps_for_hours_is_late_on_a_crowded_bench_and_never_made_the_evening_before(kitchen, moment):
    """Now minus the lateness stood there as the start, and the batch would have ended before its guests had come."""
    small = kitchen(CROWDED)
    for now in ("2026-10-31 20:00", "2026-10-31 22:40", "2026-11-01 08:35", "2026-11-01 09:00"):
        lines = {line.prep: line for line in small.plan(now).make}
        assert set(lines) == {"potatoes", "beef"}
        assert min(line.begins for line in lines.values()) == moment("2026-11-01 09:00")
        assert sorted(line.late_minutes for line in lines.values()) in ([0, 30], [0, 180])
        for line in lines.values():
            assert (line.start_by is None) == bool(line.late_minutes)
            assert line.ready_at == line.steps[-1].ends
            assert line.use_by >= moment("2026-11-01 14:00")


LAST_HOUR = """
[stations.hot]
name = "Hot"
hours = "08:00-18:00"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }
[preps.pie]
name = "Pie"
station = "hot"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Bake", hands_on = "1 h" }]
"""


@pytest.mark.parametrize("clock", ["17:00:00", "17:00:42"])
def test_what_just_fits_before_a_bench_closes_still_fits_within_the_minute_in_which_it_is_to_begin(
    kitchen, moment, clock
):
    """Nobody pressed anything since it was asked for: only the seconds of 17:00 pass."""
    (line,) = kitchen(LAST_HOUR).lines("pie", f"2026-10-31 {clock}")
    assert (line.ready_at, line.late_minutes) == (moment("2026-10-31 18:00"), 0)
    assert not [note.kind for note in line.notes if note.kind != "over"]


@pytest.mark.parametrize(("wait_up_to", "ready"), [("", "17:59"), (', wait_up_to = "1 h"', "18:00")])
def test_in_the_last_second_before_its_minute_a_line_says_what_start_gives(kitchen, moment, wait_up_to, ready):
    """To be begun at 17:00: a second sooner what may not wait longer is a minute sooner, what may lies as placed."""
    steps = f'{{ do = "Bake", hands_on = "10 min", wait = "45 min"{wait_up_to}, equipment = "oven" }}'
    steps += ', { do = "Cut", hands_on = "5 min" }'
    oven = '[equipment.oven]\nname = "Oven"\n'
    text = LAST_HOUR.replace('{ do = "Bake", hands_on = "1 h" }', steps)
    now = moment("2026-10-31 16:59:59")
    before = kitchen(text + oven).plan("2026-10-31 09:00")
    board = plan(kept(before), now)
    assert board.make[0].begins == moment("2026-10-31 17:00")
    (run,) = plan(started(board, "pie", now), now).under_way
    assert board.make[0].ready_if_started_now == run.ready_at == moment(f"2026-10-31 {ready}")


def test_the_day_on_which_a_run_began_is_day_1_of_what_it_gives_whatever_step_it_is_at(kitchen, moment):
    """Begun on Friday evening and gone on with on Saturday: of three days the last one is Sunday, as its batch will
    say."""
    board = kitchen(BOOK).plan("2026-10-31 09:00")
    recipe = board.state.book.preps["p"]
    began = moment("2026-10-30 20:00")
    for step, at in ((0, began), (1, moment("2026-10-31 08:50"))):
        run = Run("R1", None, recipe, Fraction(1), {"p": 10**9}, began, step, at, frozenset(), "LM", recipe.station)
        (lot,) = plan(replace(board.state, runs=(run,)), moment("2026-10-31 09:00")).lots["p"][:1]
        assert (lot.source, lot.good_until) == ("run", moment("2026-11-02 00:00"))


def test_the_orders_of_a_few_are_placed_once_and_give_what_each_would_give_again(kitchen, monkeypatch):
    """Two runs have two orders: the search comes to each a hundred times."""
    placed: list[int] = []
    place = Schedule.place
    monkeypatch.setattr(Schedule, "place", lambda self, index: placed.append(index) or place(self, index))
    once = kitchen(BOOK).plan("2026-10-31 09:00")
    count = len(placed)
    monkeypatch.setattr(InTurn, "_again", lambda self, here, order, base: self._go_on(order, base, here.cost))
    again = kitchen(BOOK).plan("2026-10-31 09:00")
    assert again.placing.placements == once.placing.placements
    assert count < (len(placed) - count) / 2
