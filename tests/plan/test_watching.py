"""What the readings hold back is counted by nothing; and no warmer reading ever makes food better."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from prepboard.book.reading.rulebooks import rule_book
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.judging import TOO_SLOW, Way, cooling_marks, judge
from prepboard.book.safety.may_use import OUT, Mark
from prepboard.book.safety.temperatures import Reading
from prepboard.plan import recording
from prepboard.plan.board import plan
from prepboard.plan.recording import recorded

BEGIN = datetime(2026, 10, 31, 6, 0, tzinfo=UTC)
BOOK = """
[stations.sauce]
name = "Sauce"
[services.dinner]
days = ["sat"]
starts = "18:00"
ends = "22:00"
covers = 20
[dishes.soup]
name = "Soup"
services = ["dinner"]
share = 0.5
plate = { broth = "200 ml" }
[preps.stock]
name = "Stock"
station = "sauce"
store = "chilled"
keeps = "4 days"
ready_to_eat = true
makes = "8 l"
steps = [{ do = "Simmer", wait = "3 h", at = "95 C" }, { do = "Chill", wait = "90 min", cools = true }]
[preps.broth]
name = "Broth"
station = "sauce"
store = "chilled"
keeps = "2 days"
ready_to_eat = true
makes = "4 l"
uses = { stock = "4 l" }
steps = [{ do = "Season, warm", wait = "30 min", at = "80 C" }]
"""

cool = st.integers(min_value=0, max_value=560).map(lambda tenths: Fraction(tenths, 10))
late = st.integers(min_value=1, max_value=9 * 60)
ways_down = st.lists(st.tuples(late, cool), min_size=1, max_size=4, unique_by=lambda one: one[0]).map(sorted)


def readings(way, of="B0"):
    return [Reading(of, "batch", BEGIN + timedelta(minutes=at), degrees, "C") for at, degrees in way]


def marks_of(rules, read, now):
    """What the readings of food off the heat at BEGIN come to."""
    return cooling_marks(rules, "B0", judge(rules, [Way(Start(BEGIN, True), read)], now), (), hold=False)


@settings(max_examples=20, deadline=None)
@given(way=ways_down, hours=st.integers(min_value=0, max_value=10))
@example(way=[(120, Fraction(25))], hours=3)
@example(way=[(60, Fraction(40))], hours=3)
@example(way=[(60, Fraction(40)), (110, Fraction(20))], hours=3)
def test_nothing_counts_offers_or_keeps_a_batch_that_its_readings_hold_back(shared, way, hours):
    kitchen, now = shared, BEGIN + timedelta(hours=hours)
    read = tuple(one for one in readings(way) if one.at <= now)
    marks = tuple(marks_of(kitchen.book.kitchen.rules, read, now))
    batches = tuple(replace(batch, marks=marks) for batch in kitchen.state.batches)
    state = replace(kitchen.state, readings=read, cooling_from={"R1": Start(BEGIN, True)}, batches=batches)
    board = plan(state, now)
    held = any(mark.since <= now for mark in marks)
    assert ("B0" in board.watch.held) is held
    if not held:
        return
    (soup,) = board.left
    assert soup.plates_left == 0
    assert sum(par.on_hand for par in board.pars if par.prep == "broth") == 0
    assert any(line.prep == "broth" for line in board.make)
    assert [line.batch.code for line in board.closing.discard] == ["B0"]
    assert not board.closing.decide
    assert not board.closing.carry_over
    assert all(line.name != "B0" for line in board.using_up)


@pytest.fixture(scope="module")
def shared():
    from conftest import Kitchen

    made = Kitchen(BOOK)
    made.on_hand("broth", "4 l", "2026-11-02 00:00", run="R1", made_at=BEGIN)
    return made


PLAIN = {"run": "", "place": "chilled"}


@pytest.mark.parametrize(
    ("came", "looks"),
    [
        (PLAIN, False),
        ({**PLAIN, "run": "R1"}, True),
        ({**PLAIN, "code": "B0"}, True),
        ({**PLAIN, "place": "fridge"}, True),
        ({**PLAIN, "marks": (Mark(OUT, BEGIN, "too warm", "B9", until=BEGIN + timedelta(days=1)),)}, True),
    ],
    ids=["of nothing that was read", "of a run that cools", "that was read", "in a warm place", "marked"],
)
def test_what_is_watched_is_looked_at_again_only_for_food_that_it_may_be_said_of(monkeypatch, came, looks):
    from conftest import Kitchen

    kitchen = Kitchen(BOOK + '[places.fridge]\nname = "Fridge"\nstore = "chilled"\n')
    kitchen.on_hand("broth", "4 l", "2026-11-02 00:00", run="R1", made_at=BEGIN)
    now = BEGIN + timedelta(minutes=70)
    warm = Reading("fridge", "place", now, Fraction(12), "C", meant="cold_holding")
    read = (*readings([(60, Fraction(30))]), warm)
    state = replace(kitchen.state, readings=read, cooling_from={"R1": Start(BEGIN, True)})
    before = plan(state, now)
    assert [line.of for line in before.watch.cooling] == ["B0"]
    assert [flag.of for flag in before.watch.flags if flag.kind == "place"] == ["fridge"]
    asked, watch = [], recording.watch
    monkeypatch.setattr(recording, "watch", lambda *given: asked.append(given) or watch(*given))
    one = replace(kitchen.batches[0], **{"code": "B1", **came})
    more = replace(state, batches=(one,) if came.get("code") else (*state.batches, one))
    assert recorded(before, more, now).watch == watch(more, now)
    assert bool(asked) is looks


@settings(max_examples=50, deadline=None)
@given(
    way=ways_down,
    book=st.sampled_from(["food-code-2022", "uk", "ireland"]),
    which=st.integers(min_value=0, max_value=3),
    warmer=st.integers(min_value=1, max_value=300),
)
def test_a_warmer_reading_never_frees_what_was_held_back(way, book, which, warmer):
    """Not so in FSANZ's literal reading, where a slower first stage begins the second one later."""
    rules, now = rule_book(book), BEGIN + timedelta(hours=12)
    hot = rules.degrees("hot_holding", "C") - Fraction(1, 10)
    raised = list(way)
    at, degrees = raised[which % len(raised)]
    raised[which % len(raised)] = (at, min(hot, max(degrees, degrees + Fraction(warmer, 10))))
    before, after = (marks_of(rules, readings(one), now) for one in (way, raised))
    assert not before or after


@settings(max_examples=30, deadline=None)
@given(way=ways_down, more=ways_down)
@example(way=[(120, Fraction(25))], more=[(200, Fraction(3))])
def test_a_miss_that_was_shown_stays_shown_whatever_is_read_later(way, more):
    """But for a corrective action, which is no reading."""
    rules = rule_book("food-code-2022")
    seen = BEGIN + timedelta(minutes=way[-1][0])
    then = marks_of(rules, readings(way), seen)
    later = [(way[-1][0] + at, degrees) for at, degrees in more]
    now = marks_of(rules, readings([*way, *later]), seen + timedelta(hours=20))
    if any(mark.why == TOO_SLOW for mark in then):
        assert any(mark.why == TOO_SLOW for mark in now)
