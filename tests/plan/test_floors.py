"""Floors of the same minutes share what hands and places there are: what lies on one is not seen on another."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

from msgspec.structs import replace
from random_kitchens import NOW, kitchen

from prepboard.plan.board import plan, write_out
from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.making import work_of
from prepboard.plan.given.state import Run
from prepboard.plan.memory import planning
from prepboard.plan.outline import outline
from prepboard.plan.solver.lanes import SettableLane

DAY = 24 * 60


def test_floors_of_the_same_minutes_share_hands_and_works_and_nothing_that_is_booked():
    state = kitchen(5, 6)
    bench = next(iter(state.book.stations))
    recipe = next(iter(state.book.preps.values()))
    one, other = (Floor(state, NOW, DAY, shared=True) for _ in range(2))
    one.lie()
    hands = one.hands(bench)
    assert hands is not None
    assert other.hands(bench) is hands
    assert work_of(recipe, Fraction(1), one, bench) is work_of(recipe, Fraction(1), other, bench)
    hands.book(0, hands.capacity, 60, 90)
    free = hands.is_free(0, 1, 60, 90)
    other.lie()
    there = hands.is_free(0, 1, 30, 60)
    hands.book(0, hands.capacity, 30, 60)
    one.lie()
    assert not free
    assert there
    assert hands.is_free(0, 1, 30, 60)
    assert not hands.is_free(0, 1, 60, 90)
    other.lie()
    assert not hands.is_free(0, 1, 30, 60)
    assert hands.is_free(0, 1, 60, 90)


def test_other_hands_are_another_floor():
    state = kitchen(5, 6)
    bench, day = next(iter(state.book.stations)), state.book.kitchen.days.business_day(NOW)
    nobody = replace(state, hands={(bench, day): 0})
    one, other = Floor(state, NOW, DAY, shared=True), Floor(nobody, NOW, DAY, shared=True)
    assert one.hands(bench) is not other.hands(bench)
    assert Floor(state, NOW, DAY, shared=True).hands(bench) is not other.hands(bench)


def test_an_outline_whose_lines_are_written_after_another_was_planned_says_the_same():
    """Whoever acts plans first and shows the lines later: what a board planned meanwhile lies on the same minutes."""
    state = kitchen(7, 8)
    recipe = next(prep for prep in state.book.preps.values() if len(prep.steps) > 1)
    begun = NOW - timedelta(minutes=10)
    run = Run(
        "K7F", None, recipe, Fraction(1), dict(recipe.outputs), begun, 0, begun, frozenset(), "bm", recipe.station
    )
    busy = replace(state, runs=(run,))
    with planning:
        alone = write_out(outline(busy, NOW), busy).make
        first = outline(busy, NOW)
        plan(replace(busy, runs=(replace(run, size=Fraction(2)),)), NOW)
        assert write_out(first, busy).make == alone


def test_nobody_shares_an_oven_in_which_two_temperatures_are_wanted_already():
    """Somebody put a tray for 120 °C into an oven that is at 160 °C for another: what bakes at 160 °C was placed beside
    them, since the oven was at that for one of them."""
    oven = SettableLane(3, 200)
    oven.force(160, 1, 0, 100)
    oven.force(120, 1, 50, 150)
    free = {heat: [oven.is_free(heat, 1, begin, begin + 50) for begin in (0, 50, 100, 150)] for heat in (120, 160)}
    assert free == {120: [False, False, True, True], 160: [True, False, False, True]}
