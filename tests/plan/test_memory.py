"""What is remembered between plans: bounded, forgotten as a whole, and the same answers with many threads or none."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, time, timedelta
from operator import is_
from random import Random
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace
from random_kitchens import NOW, kitchen

from prepboard.book.amounts import MILLION
from prepboard.book.book import Station, Weekly
from prepboard.book.days import Days
from prepboard.plan import memory
from prepboard.plan.board import Board, plan
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.demand.pars import pars
from prepboard.plan.given.state import Tonight
from prepboard.plan.memory import Memory, Pages, memory_of
from prepboard.plan.planner import Planner
from prepboard.plan.recording import recorded
from prepboard.plan.runs.hours import Hours

MINUTE = timedelta(minutes=1)
DINNER = datetime(2026, 10, 31, 19, 0, tzinfo=UTC)
"""An hour into the drawn kitchens' dinner: each minute fewer guests are still to come."""


@pytest.fixture
def _nothing_known() -> Iterator[None]:
    memory.forget()
    yield
    memory.forget()


def test_what_two_minutes_did_not_ask_for_is_forgotten():
    pages: Pages[str, int] = Pages()
    pages.keep("asked for", 1)
    pages.keep("not asked for", 2)
    for _minute in range(3):
        pages.turn()
        assert pages["asked for"] == 1
    assert pages["not asked for"] is None


def test_a_full_page_is_turned():
    pages: Pages[int, int] = Pages(most=10)
    for number in range(1000):
        pages.keep(number, number)
    assert pages.known <= 20
    assert pages[999] == 999


@pytest.mark.usefixtures("_nothing_known")
def test_a_book_that_nobody_plans_any_more_is_forgotten_as_a_whole():
    states = [kitchen(seed, 3) for seed in (1, 2, 3)]
    for state in states:
        plan(state, NOW)
    kept = [known.book for known in memory._of_books.values()]
    assert kept == [states[1].book, states[2].book]


@pytest.mark.usefixtures("_nothing_known")
def test_memory_does_not_grow_with_the_evening():
    state, sizes = kitchen(5, 6), {}
    for minute in range(25):
        plan(state, DINNER + minute * MINUTE)
        sizes[minute] = sum(memory.sizes().values())
    # It goes up and down by what a minute's plan asks for; what is forgotten lags a minute or two.
    early, late = (max(sizes[minute] for minute in range(since, since + 7)) for since in (2, 18))
    assert early > 20
    assert late <= 1.05 * early


@pytest.mark.usefixtures("_nothing_known")
def test_the_pars_of_a_sitting_that_has_not_begun_are_those_of_the_minute_before():
    state, before, until = kitchen(5, 6), DINNER - timedelta(hours=3), DINNER + timedelta(hours=1)
    held = ahead(state, before, until)
    first, second = (pars(state, before + minute * MINUTE, until, held) for minute in range(2))
    assert first
    assert all(map(is_, first, second))
    begun, later = (pars(state, DINNER + minute * MINUTE, until, held) for minute in (0, 90))
    assert sum(par.expected for par in later) < sum(par.expected for par in begun) < sum(par.expected for par in first)


@pytest.mark.usefixtures("_nothing_known")
def test_what_is_set_for_a_sitting_or_stands_changes_its_pars_at_once():
    state, before, until = kitchen(5, 6), DINNER - timedelta(hours=3), DINNER + timedelta(hours=1)
    held = ahead(state, before, until)
    (first, *_) = found = pars(state, before, until, held)
    key, prep = held[0].key, first.prep
    standing = replace(state, standing={prep: 10 * first.amount})
    fewer = replace(state, tonight={key: Tonight(covers=2)})
    by_hand = replace(state, tonight={key: Tonight(pars={prep: first.amount + MILLION})})
    amounts = []
    for other in (standing, fewer, by_hand, state):
        known = pars(other, before, until, ahead(other, before, until))
        amounts.append(next(par.amount for par in known if par.prep == prep))
    assert amounts[0] == 10 * first.amount
    assert amounts[1] < first.amount
    assert amounts[2:] == [first.amount + MILLION, first.amount]
    assert pars(state, before, until, held) == found
    (dish,) = [dish.id for dish in state.book.dishes.values() if prep in dish.plate]
    gone = replace(by_hand, plated={(*key, dish): 1})
    less = next(par.amount for par in pars(gone, before, until, ahead(gone, before, until)) if par.prep == prep)
    assert less < amounts[2]


@pytest.fixture
def _taking_turns_all_the_time() -> Iterator[None]:
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    yield
    sys.setswitchinterval(before)


@pytest.mark.usefixtures("_taking_turns_all_the_time")
def test_hours_that_two_threads_ask_at_once_answer_as_they_answer_one():
    days = Days(ZoneInfo("Europe/Berlin"), time(4))
    shifts = ((time(8), time(12)), (time(13), time(22)))
    station = Station("s", "s", 0, Weekly((1,) * 7), Weekly((shifts,) * 7))
    around = datetime(2026, 6, 15, 10, tzinfo=UTC)
    limits = [around + timedelta(hours=hours) for hours in range(-24 * 20, 24 * 20, 17)]

    def answers(hours: Hours, asked: list[datetime]) -> list[object]:
        return [(hours.latest_end(120, at), hours.earliest_start(120, at), hours.closes(at)) for at in asked]

    alone = dict(zip(limits, (answers(Hours(station, days, at), [at])[0] for at in limits), strict=True))
    with ThreadPoolExecutor(2) as threads:
        for seed in range(40):
            hours, chance = Hours(station, days, around), Random(seed)
            asked = [chance.sample(limits, 12) for _thread in range(2)]
            found = threads.map(lambda of, hours=hours: answers(hours, of), asked)
            assert [list(of) for of in found] == [[alone[at] for at in of] for of in asked]


@pytest.mark.usefixtures("_taking_turns_all_the_time", "_nothing_known")
def test_a_board_an_action_and_what_is_recorded_may_ask_at_the_same_time():
    states = [kitchen(5, 6), kitchen(6, 6)]
    states += [replace(state, version=1, counted_at={"p0": NOW}) for state in states]
    moments = [DINNER + minute * MINUTE for minute in range(4)]
    wanted = {(id(state), at): _said(plan(state, at)) for state in states for at in moments}
    planners = [Planner() for _state in states]
    boards = [plan(state, moments[0]) for state in states]

    def ask(number: int) -> list[str]:
        chance, wrong = Random(number), []
        for _turn in range(6):
            which, at = chance.randrange(4), chance.choice(moments)
            state = states[which]
            if number == 0:
                recorded(boards[which], state, at)
                continue
            board = planners[which].board(state, at) if number == 1 else plan(state, at)
            if _said(board) != wanted[id(state), at]:
                wrong.append(f"{which} {at}")
        return wrong

    with ThreadPoolExecutor(3) as threads:
        assert [wrong for found in threads.map(ask, range(3)) for wrong in found] == []


def _said(board: Board) -> tuple[object, ...]:
    return board.make, board.pars, board.left, board.placing.placements


def test_each_book_has_one_memory():
    book = kitchen(5, 2).book
    assert memory_of(book) is memory_of(book)
    assert isinstance(memory_of(book), Memory)
