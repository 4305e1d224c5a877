"""The close: what goes, what stays, what starts tonight."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest
from conftest import Kitchen, at, drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st

from prepboard.book.safety.life import use_by

BOOK = """
[services.dinner]
days = ["sat", "mon"]
starts = "18:00"
ends = "22:00"
covers = 20

[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 0.5
plate = { pie = "1 each", jus = "50 ml" }

[preps.pie]
name = "Pie"
keeps = "3 days"
makes = "10 each"
uses = { dough = "500 g", nuts = "100 g" }
steps = [{ do = "Rest", hands_on = "10 min", wait = "30 h" }]

[preps.dough]
name = "Dough"
keeps = "4 days"
makes = "1 kg"

[preps.jus]
name = "Jus"
keeps = "4 days"
makes = "1 l"

[goods.nuts]
name = "Nuts"
unit = "kg"
usable = 0.5
store = "frozen"
thaw = "12 h"
cost = 20
"""

CLOSE = "2026-10-31 23:00"


def close(small, now: str = CLOSE):
    return small.plan(now).closing


def test_past_its_use_by_is_discarded_with_the_reason(kitchen):
    small = kitchen(BOOK)
    batch = small.on_hand("jus", "1 l", CLOSE)
    (line,) = close(small).discard
    assert (line.batch, line.reason, line.note.kind) == (batch, "past-use-by", "past use-by")


def test_blocked_is_discarded(kitchen):
    small = kitchen(BOOK)
    small.on_hand("jus", "1 l", blocked="missed 21 °C")
    assert [line.reason for line in close(small).discard] == ["unsafe"]


def test_good_but_not_until_it_is_next_needed_is_to_decide(kitchen, moment):
    """The next dinner is on Monday at 18:00; this jus is good to Monday midnight's morning only."""
    small = kitchen(BOOK)
    small.on_hand("jus", "1 l", "2026-11-02 00:00")
    (line,) = close(small).decide
    assert line.note.facts == {"until": moment("2026-11-02 00:00"), "at": moment("2026-11-02 18:00")}


def test_it_is_to_decide_even_where_another_batch_covers_the_need(kitchen):
    small = kitchen(BOOK)
    old = small.on_hand("jus", "1 l", "2026-11-02 00:00")
    fresh = small.on_hand("jus", "5 l", "2026-11-04 00:00")
    closing = close(small)
    assert [line.batch for line in closing.decide] == [old]
    assert [line.batch for line in closing.carry_over] == [fresh]


def test_what_expires_by_the_end_of_the_next_business_day_is_used_first(kitchen):
    small = kitchen(BOOK)
    small.on_hand("dough", "1 kg", "2026-11-02 00:00")
    small.on_hand("dough", "1 kg", "2026-11-03 00:00")
    small.on_hand("pie", "1 each", "2026-11-04 00:00")
    flags = {(line.batch.prep, line.batch.code): line.use_first for line in close(small).carry_over}
    assert flags == {("dough", "B0"): True, ("dough", "B1"): False, ("pie", "B2"): False}


def test_frozen_batches_carry_over(kitchen):
    small = kitchen(BOOK)
    small.on_hand("jus", "1 l", "2026-11-01 12:00", store="frozen")
    assert len(close(small).carry_over) == 1


def test_what_must_begin_before_the_next_business_day_starts_tonight_with_its_pull_list(kitchen, moment):
    """Monday's pies rest 30 h: start by Sunday 11:50. At 23:00 on Saturday that is not tonight; nuts thaw 12 h, so
    they come out on Saturday at 23:50. On Sunday night the same start is late and still on the list."""
    closing = close(kitchen(BOOK))
    assert closing.start_tonight == ()
    (nuts,) = closing.pull
    assert (nuts.item, nuts.take_out_at, nuts.late) == ("nuts", moment("2026-10-31 23:50"), False)
    assert nuts.as_bought == 2 * nuts.amount
    later = close(kitchen(BOOK), "2026-11-01 23:00")
    (pie,) = [line for line in later.start_tonight if line.prep == "pie"]
    assert pie.late_minutes == 11 * 60 + 10


@pytest.mark.parametrize(
    ("made_on", "last_good"),
    [("2026-10-19", date(2026, 10, 25)), ("2026-07-01", date(2026, 7, 7)), ("2026-11-02", date(2026, 11, 8))],
)
def test_seven_days_with_the_day_of_preparation_as_day_one(kitchen, made_on, last_good):
    """FDA Food Code 2022, 3-501.17(A). Worked dates: 19 October to 25 October (University of New Hampshire
    Extension, date marking), 1 July to 7 July (City of Dubuque), Monday to Sunday."""
    book = kitchen(
        BOOK.replace('keeps = "4 days"\nmakes = "1 l"', 'keeps = "30 days"\nready_to_eat = true\nmakes = "1 l"')
    ).book
    limit = use_by(
        book,
        book.preps["jus"],
        "chilled",
        date.fromisoformat(made_on),
        book.kitchen.days.at(date.fromisoformat(made_on), time(12)),
    )
    assert limit.why == "date mark"
    assert limit.until == book.kitchen.days.midnight_after(last_good)
    assert limit.until - timedelta(seconds=1) > book.kitchen.days.at(last_good, time(23, 59))


def test_combined_food_keeps_the_earliest_count(kitchen):
    """FDA Food Code 2022, 3-501.17(C). Worked dates: chicken of 21 October and shrimp of 20 October combined are good
    through 26 October (University of New Hampshire Extension, date marking)."""
    book = kitchen(
        BOOK.replace('keeps = "4 days"\nmakes = "1 l"', 'keeps = "30 days"\nready_to_eat = true\nmakes = "1 l"')
    ).book
    ready = book.kitchen.days.at(date(2026, 10, 21), time(12))
    limit = use_by(book, book.preps["jus"], "chilled", date(2026, 10, 21), ready, inherited=date(2026, 10, 20))
    assert (limit.why, limit.until) == ("inherited", book.kitchen.days.midnight_after(date(2026, 10, 26)))


FAR = """
[services.feast]
on = "2026-12-12"
starts = "19:00"
ends = "23:00"
covers = 100
counts = { preserve-plate = 100 }

[dishes.preserve-plate]
name = "Preserves"
services = ["feast"]
share = 1
plate = { chutney = "20 g" }

[preps.chutney]
name = "Chutney"
keeps = "60 days"
makes = "2 kg"
uses = { pickle = "1 kg" }
steps = [{ do = "Ripen", wait = "5 days" }]

[preps.pickle]
name = "Pickle"
keeps = "60 days"
makes = "2 kg"
"""


def test_the_close_looks_as_far_as_the_last_use_by_on_hand(kitchen, moment):
    """The feast is six weeks away; a chutney that is good for it stays, one that ends the day before does not."""
    small = kitchen(BOOK + FAR)
    good = small.on_hand("chutney", "3 kg", "2026-12-20 00:00")
    ends = small.on_hand("chutney", "1 kg", "2026-12-12 00:00")
    closing = close(small)
    assert good in [line.batch for line in closing.carry_over]
    (line,) = closing.decide
    assert (line.batch, line.note.facts["at"]) == (ends, moment("2026-12-12 19:00"))


def test_a_run_for_a_service_after_the_use_by_may_take_it_before(kitchen):
    """Chutney for 12 December is begun five days before: a pickle that ends on the 8th still goes into it, one that
    ends on the 7th at noon does not."""
    small = kitchen(BOOK + FAR)
    small.on_hand("pickle", "1 kg", "2026-12-08 00:00")
    small.on_hand("pickle", "1 kg", "2026-12-07 12:00")
    closing = close(small)
    assert [line.batch.code for line in closing.carry_over] == ["B0"]
    assert [line.batch.code for line in closing.decide] == ["B1"]


def test_what_is_set_aside_waits_for_its_own_service(kitchen):
    """Other dinners need jus before; this one is for Monday's alone, and ends before it."""
    small = kitchen(BOOK.replace('days = ["sat", "mon"]', 'days = ["sat", "sun", "mon"]'))
    small.on_hand("jus", "1 l", "2026-11-02 12:00", set_aside="dinner.2026-11-02")
    small.on_hand("jus", "1 l", "2026-11-02 12:00")
    closing = close(small)
    assert [line.batch.code for line in closing.decide] == ["B0"]
    assert [line.batch.code for line in closing.carry_over] == ["B1"]


def test_a_batch_that_no_recipe_knows_is_to_decide(kitchen):
    small = kitchen(BOOK)
    curry = small.on_hand("jus", "1 l", "2026-11-01 00:00", called="Staff curry", unit="ml")
    curry.prep = ""
    assert [line.batch.name for line in close(small).decide] == ["Staff curry"]


held = st.tuples(
    st.sampled_from(["pie", "dough", "jus"]),
    st.one_of(st.none(), st.integers(-40, 160)),
    st.booleans(),
    st.sampled_from(["chilled", "chilled", "frozen", "hot"]),
    st.sampled_from(["", "", "dinner.2026-11-02", "dinner.2026-12-12"]),
)


def full(batches) -> Kitchen:
    small = Kitchen(BOOK)
    for prep, hours, blocked, store, set_aside in batches:
        more = {"blocked": "x" if blocked else "", "store": store, "set_aside": set_aside}
        batch = small.on_hand(prep, "2 kg" if prep == "dough" else "2", **more)
        batch.use_by = None if hours is None else at(CLOSE) + timedelta(hours=hours)
    return small


@given(st.lists(held, max_size=12))
@settings(max_examples=drawn_of(60), deadline=None)
def test_the_lists_together_are_all_that_is_on_hand_and_nothing_is_on_two(batches):
    small = full(batches)
    closing = close(small)
    codes = [line.batch.code for line in (*closing.discard, *closing.decide, *closing.carry_over)]
    assert sorted(codes) == sorted(batch.code for batch in small.batches)


@given(st.lists(held, min_size=1, max_size=8))
@settings(max_examples=drawn_of(60), deadline=None)
def test_what_is_past_its_use_by_or_blocked_is_discarded_and_counted_nowhere(batches):
    """The plan with it is the plan without it: neither a par nor a plate counts on it."""
    small = full(batches)
    now = at(CLOSE)
    bad = [one for one in small.batches if one.blocked or (one.use_by is not None and one.use_by <= now)]
    board = small.plan(CLOSE)
    assert {line.batch.code for line in board.closing.discard} == {one.code for one in bad}
    small.batches = [one for one in small.batches if one not in bad]
    without = small.plan(CLOSE)
    assert (board.pars, board.make, board.left) == (without.pars, without.make, without.left)


LATE_FUMET = """
[stations.sauce]
hours = "08:30-22:45"
[services.lunch]
days = ["sun"]
starts = "12:00"
ends = "15:00"
covers = 20
[dishes.cod]
share = 0.5
plate = { fumet = "100 ml" }
[preps.fumet]
name = "Fumet"
station = "sauce"
keeps = "3 days"
makes = "2 l"
uses = { bones = "1 kg" }
steps = [{ do = "Sweat", hands_on = "30 min" }, { do = "Simmer, cool", wait = "12 h" }]
[preps.bones]
name = "Bones"
keeps = "1 day"
ready_to_eat = false
makes = "1 kg"
"""


def test_what_the_plan_begins_only_after_its_end_is_to_decide(kitchen, moment):
    """The fumet should have begun by 22:45 and nobody is there before 08:30: these bones end at midnight."""
    small = kitchen(LATE_FUMET)
    bones = small.on_hand("bones", "1 kg", "2026-11-01 00:00")
    in_time = close(small, "2026-10-31 20:00")
    assert [line.batch for line in in_time.carry_over] == [bones]
    (line,) = close(small).decide
    assert (line.batch, line.note.facts["at"]) == (bones, moment("2026-11-01 08:30"))
