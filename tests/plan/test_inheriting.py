"""Planned runs made of older food: the use-by that they would get, and the plan that follows from it.

FDA Food Code 2022, 3-501.17(C): combined food keeps the count of its earliest ingredient, seven days with day 1.
"""

from __future__ import annotations

from datetime import date

import pytest
from conftest import Kitchen, at

from prepboard.book.safety.stays import Stay
from prepboard.plan.needs import walking

BOOK = """
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 20

[dishes.pie]
services = ["dinner"]
share = 1
plate = { pie = "1 each" }

[preps.pie]
name = "Pie"
keeps = "6 days"
ready_to_eat = true
makes = "20 each"
sizes = { smallest = 1, step = 1 }
uses = { filling = "1 kg" }
joins = "3 days"
steps = [{ do = "Fill", hands_on = "10 min" }]

[preps.filling]
name = "Filling"
keeps = "10 days"
ready_to_eat = true
makes = "1 kg"
uses = { stock = "1 l", cream = "100 ml" }

[preps.stock]
name = "Stock"
keeps = "6 days"
ready_to_eat = true
makes = "1 l"

[goods.cream]
unit = "l"
store = "chilled"
keeps_open = "5 days"
ready_to_eat = true
"""
NOW = "2026-10-31 09:00"


def pies(small: Kitchen):
    return small.lines("pie", NOW)


def test_what_is_made_of_fresh_food_has_its_own_life():
    (first, *_rest) = pies(Kitchen(BOOK))
    assert first.use_by == at("2026-11-06 00:00")
    assert not [note for note in first.notes if note.kind == "older food"]


def test_goods_that_a_long_run_opens_are_day_one_when_it_begins():
    """3-501.17(B): the cream goes in at 01:00, the business day of the 30th; it bakes until the evening."""
    book = BOOK.replace('uses = { filling = "1 kg" }', 'uses = { cream = "1 l" }').replace(
        'steps = [{ do = "Fill", hands_on = "10 min" }]', 'steps = [{ do = "Bake", at = "95 C", wait = "17 h" }]'
    )
    first = Kitchen(book.replace('keeps = "6 days"', 'keeps = "7 days"', 1)).lines("pie", "2026-10-30 20:00")[0]
    assert first.use_by == at("2026-11-06 00:00")


def test_a_batch_on_hand_hands_its_count_on_through_planned_runs():
    """Stock of the 26th: its seventh day is the 1st of November, and so is that of the filling and of the pies."""
    small = Kitchen(BOOK)
    small.on_hand("stock", "1 l", "2026-11-01 00:00", day_one=date(2026, 10, 26), passes_on=date(2026, 10, 26))
    first = pies(small)[0]
    assert first.use_by == at("2026-11-02 00:00")
    assert [note.facts["until"] for note in first.notes if note.kind == "older food"] == [first.use_by]
    (filling, *_) = small.lines("filling", NOW)
    assert filling.use_by == at("2026-11-02 00:00")


def test_the_plan_is_made_with_that_and_makes_again_what_will_not_last():
    """Fresh, one run covers tonight and what it joins of the days ahead; cut to Sunday's midnight it does not cover
    Monday."""
    small = Kitchen(BOOK, 'plan_ahead = "3 days"\n')
    fresh = [sum(serves.amount for serves in line.serves if serves.day == date(2026, 11, 2)) for line in pies(small)]
    small.on_hand("stock", "1 l", "2026-11-01 00:00", day_one=date(2026, 10, 26), passes_on=date(2026, 10, 26))
    cut = pies(small)
    assert sum(fresh) > 0
    for line in cut:
        for serves in line.serves:
            if serves.day == date(2026, 11, 2):
                assert line.use_by >= at("2026-11-02 22:00")


def test_a_run_under_way_hands_on_what_it_took():
    small = Kitchen(BOOK)
    run = small.under_way("filling", started="2026-10-31 08:00", taken=("stock", "cream"))
    run.first_day = date(2026, 10, 27)
    assert pies(small)[0].use_by == at("2026-11-03 00:00")
    run.first_safety = date(2026, 11, 1)
    assert pies(small)[0].use_by == at("2026-11-02 00:00")


def test_an_opened_pack_and_its_makers_date_are_taken_along():
    small = Kitchen(BOOK)
    pack = small.on_hand("stock", "1 l", passes_on=date(2026, 10, 29))
    pack.prep, pack.pack, pack.left, pack.unit = "cream", True, 1_000_000, "each"
    pack.use_by, pack.store = at("2026-11-03 00:00"), "chilled"
    assert pies(small)[0].use_by == at("2026-11-05 00:00")
    pack.safety = date(2026, 11, 2)
    assert pies(small)[0].use_by == at("2026-11-03 00:00")


def test_a_frozen_batch_counts_on_from_its_thaw():
    """Stock of 1 October. Frozen on its day 1 and thawed today, today is day 2: its seventh day is the 5th. Frozen on
    day 4, today is day 5."""
    lives = 'keeps = { chilled = "6 days", frozen = "90 days" }'
    small = Kitchen(BOOK.replace('name = "Stock"\nkeeps = "6 days"', f'name = "Stock"\n{lives}'))
    made = at("2026-10-01 12:00")
    batch = small.on_hand("stock", "1 l", store="frozen", made_at=made, day_one=made.date(), passes_on=made.date())
    for frozen, ends in (("2026-10-01 13:00", "2026-11-06 00:00"), ("2026-10-04 13:00", "2026-11-03 00:00")):
        batch.stays = (Stay("chilled", made), Stay("frozen", at(frozen)))
        assert pies(small)[0].use_by == at(ends)


@pytest.mark.parametrize("exempt", [True, False])
def test_exempt_food_takes_no_count_along(exempt):
    evidence = 'exempt = { why = "acid", measured = "pH 3.6", on = "2026-09-02", by = "LM" }'
    text = BOOK.replace('name = "Filling"', f'name = "Filling"\n{evidence}') if exempt else BOOK
    small = Kitchen(text)
    small.on_hand("stock", "1 l", "2026-11-01 00:00", day_one=date(2026, 10, 26), passes_on=date(2026, 10, 26))
    assert pies(small)[0].use_by == at("2026-11-06 00:00" if exempt else "2026-11-02 00:00")


@pytest.mark.parametrize("made", [24, 26, 28, 31])
@pytest.mark.parametrize("keeps", ["2 days", "6 days"])
def test_what_older_food_does_not_cut_need_not_be_walked_again(made, keeps, monkeypatch):
    """The same lines as when every need is walked again; the bread, which shares nothing with the pies, is not."""
    text = BOOK.replace('plate = { pie = "1 each" }', 'plate = { pie = "1 each", bread = "50 g" }').replace(
        'keeps = "10 days"', f'keeps = "{keeps}"'
    )
    text += """
[preps.bread]
name = "Bread"
keeps = "1 day"
makes = "1 kg"
uses = { sponge = "200 g" }

[preps.sponge]
name = "Sponge"
keeps = "2 days"
makes = "500 g"
"""
    small = Kitchen(text, 'plan_ahead = "4 days"\n')
    small.on_hand("stock", "1 l", "2026-11-03 00:00", day_one=date(2026, 10, made), passes_on=date(2026, 10, made))
    some: list[str] = []
    through = walking.Walk._through
    monkeypatch.setattr(walking.Walk, "_through", lambda walk, preps: some.extend(preps) or through(walk, preps))
    lies = small.plan(NOW).placing
    small.more |= {"placements": lies.placements, "placed_for": lies.digest}
    some.clear()
    lines = small.plan(NOW).make
    assert some.count("bread") == 1
    assert ("older food" in {note.kind for line in lines for note in line.notes}) == (some.count("pie") > 1)
    monkeypatch.setattr(walking.Walk, "_is_cut", lambda walk, new: True)
    assert small.plan(NOW).make == lines
