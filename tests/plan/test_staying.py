"""Somebody stays in a break or after hours: every reckoning has those hands, and one pair of them only."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta

from conftest import Kitchen
from days.truth import Truth

from prepboard.book.days import Days
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.runs.staying import hours_of
from prepboard.plan.shown.lines import WaitsFor
from prepboard.plan.stretches import away

TODAY = date(2026, 10, 31)

SAUCE = """
[stations.sauce]
name = "Sauce"
cooks = 2
hours = "10:00-15:00, 16:00-22:00"
[services.dinner]
name = "Dinner"
starts = "18:00"
ends = "22:00"
covers = 40
[preps.sorrel]
name = "Sorrel sauce"
station = "sauce"
keeps = "2 days"
makes = "4 l"
ready_before = "0 min"
steps = [{ do = "Melt", hands_on = "15 min", wait = "1 h", wait_up_to = "1 h" }, { do = "Season", hands_on = "10 min" }]
[dishes.trout]
name = "Trout"
services = ["dinner"]
share = 1
plate = { sorrel = "50 ml" }
"""
"""Begun at 14:15 it would have to be seasoned at 15:30, in the break; in time for 18:00 either way."""


def stays(at: Kitchen, clock: str, minutes: int) -> Kitchen:
    at.more["staying"] = {("sauce", TODAY, clock): minutes}
    return at


def test_hands_that_stay_are_there_and_the_rest_of_the_break_is_one(kitchen: Callable[..., Kitchen]) -> None:
    board = stays(kitchen(SAUCE), "15:10", 20).plan("2026-10-31 14:00")
    days: Days = board.state.book.kitchen.days
    at = days.in_day
    since, until = (at(TODAY, time.fromisoformat(clock)) for clock in ("14:00", "17:00"))
    gone = [
        (f"{days.local(one):%H:%M}", f"{days.local(other):%H:%M}") for one, other in away(board, "sauce", since, until)
    ]
    assert gone == [("15:00", "15:10"), ("15:30", "16:00")]
    whole = stays(kitchen(SAUCE), "15:00", 60).plan("2026-10-31 14:00")
    assert away(whole, "sauce", since, until) == []


def test_a_step_longer_than_either_window_fits_where_somebody_stays_between(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    state = stays(kitchen(SAUCE), "15:00", 60).state
    assert hours_of(state, "sauce", moment("2026-10-31 14:00")).earliest_start(
        10 * 60, moment("2026-10-31 10:00")
    ) == moment("2026-10-31 10:00")


def test_a_late_line_is_sooner_where_somebody_stays_and_one_pair_of_hands_does_one_thing(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """At 14:40 the melting would be over at 15:55 with nobody to take it off, nor a minute before 16:00: without the
    stay it is begun after the break."""
    early = SAUCE.replace('"18:00"', '"16:00"')
    bare = kitchen(early).plan("2026-10-31 14:40")
    assert [line.ready_at for line in bare.make] == [moment("2026-10-31 17:25")]
    stayed = stays(kitchen(early), "15:50", 10).plan("2026-10-31 14:40")
    assert [line.ready_at for line in stayed.make] == [moment("2026-10-31 16:05")]
    two = early + early[early.index("[preps.sorrel]") :].replace("sorrel", "dill").replace("trout", "char")
    both = stays(kitchen(two), "15:00", 60).plan("2026-10-31 14:40")
    assert sorted(line.ready_at for line in both.make) == [moment("2026-10-31 16:05"), moment("2026-10-31 16:10")]


def test_another_stay_is_another_plan_whatever_is_remembered(kitchen: Callable[..., Kitchen]) -> None:
    at = kitchen(SAUCE)
    now = "2026-10-31 14:00"
    bare = RunTimes(at.state, at.plan(now).now).hours("sauce")
    more = RunTimes(stays(at, "15:00", 60).state, at.plan(now).now).hours("sauce")
    inside = at.plan(now).state.book.kitchen.days.in_day(TODAY, time(15, 30))
    assert (bare.is_open(inside), more.is_open(inside)) == (False, True)


def test_before_the_only_one_who_stays_nobody_is_there(kitchen: Callable[..., Kitchen]) -> None:
    """Its cooks are away all day, and one stays in the break: a line that was late waited for nothing."""
    text = SAUCE.replace("18:00", "15:30").replace('wait = "1 h", wait_up_to = "1 h"', 'wait = "20 min"')
    at = stays(kitchen(text), "15:00", 60)
    at.more["hands"] = {("sauce", TODAY): 0}
    board = at.plan("2026-10-31 14:00")
    (line,) = (line for line in board.make if line.serves[0].day == TODAY)
    begins = board.state.book.kitchen.days.in_day(TODAY, time(15))
    assert (line.begins, line.waits_for) == (begins, WaitsFor("hours", "sauce", begins, 0))


def test_who_stays_and_is_busy_leaves_a_late_line_waiting_for_the_break_to_end(kitchen: Callable[..., Kitchen]) -> None:
    """One stays and has the stock in both hands until a quarter past four; the others come back at four. The sauce
    begins then: it was late, and waited for nothing."""
    steps = SAUCE[SAUCE.index("steps") : SAUCE.index("[dishes")]
    text = SAUCE.replace("18:00", "15:30").replace(steps, 'steps = [{ do = "Melt", hands_on = "2 h" }]\n')
    stock = text[text.index("[preps.sorrel]") :].replace("sorrel", "stock").replace("trout", "char")
    at = stays(kitchen(text + stock.replace("2 h", "75 min")), "15:00", 60)
    board = at.plan("2026-10-31 15:00")
    lines = {line.prep: line for line in board.make if line.serves[0].day == TODAY}
    back = board.state.book.kitchen.days.in_day(TODAY, time(16))
    assert [(step.begins, step.hands_until) for step in lines["stock"].steps] == [
        (board.now, board.now + timedelta(minutes=75))
    ]
    assert (lines["sorrel"].begins, lines["sorrel"].waits_for) == (back, WaitsFor("hours", "sauce", back, 0))
    assert Truth().look(board) == []
