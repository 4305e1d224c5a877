"""Places: moving, freezing, thawing, dividing. The stock keeps 4 days chilled, made on Saturday 31 October."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.places import freeze, move_to, split, thaw
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import discard, use
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check

LITRE = 1000 * 1_000_000


def day(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.fixture
def stock(kitchen):
    """5 l of stock of today, day 1 the 31st: good to the 3rd of November."""
    (code,) = done(kitchen.file, kitchen.jp, prep="brown-stock", outputs={"brown-stock": 5 * LITRE}).batches
    return code


def test_a_part_is_frozen_under_a_code_of_its_own_and_the_rest_stays(kitchen, stock):
    did = freeze(kitchen.file, kitchen.jp, stock, 2 * LITRE)
    (part,) = did.batches
    assert part != stock
    assert (
        did.text == f"Brown stock {part}: 2 l in Freezer, good to Tue 29 Dec; its days stand still while it is frozen"
    )
    frozen, rest = kitchen.batch(part), kitchen.batch(stock)
    assert (frozen.left, frozen.store, frozen.place, frozen.frozen_at) == (
        2 * LITRE,
        "frozen",
        "freezer",
        kitchen.clock.at,
    )
    assert frozen.use_by == day("2026-12-30"), "60 days, the day of freezing counted"
    assert (rest.left, rest.use_by) == (3 * LITRE, day("2026-11-04"))
    assert check(kitchen.file) == []


def test_a_thawed_batch_goes_on_where_its_count_stood(kitchen, stock):
    """Frozen on its day 1, thawed on 20 November: that is day 2 of 4."""
    freeze(kitchen.file, kitchen.jp, stock)
    kitchen.clock.at = day("2026-11-20 10:00")
    assert thaw(kitchen.file, kitchen.jp, stock).text == f"Brown stock {stock}: 5 l in Walk-in, good to Sun"
    batch = kitchen.batch(stock)
    assert (batch.use_by, batch.store, batch.frozen_at) == (day("2026-11-23"), "chilled", None)
    assert str(batch.passes_on) == "2026-11-19", "what is made of it counts on from there"


def test_freezing_on_the_last_day_is_refused_for_nothing_would_be_left(kitchen, stock):
    kitchen.clock.at = day("2026-11-03 12:00")
    with pytest.raises(Refused, match="cannot be frozen: it ends midnight"):
        freeze(kitchen.file, kitchen.jp, stock)
    kitchen.clock.at = day("2026-11-02 12:00")
    freeze(kitchen.file, kitchen.jp, stock)


def test_what_is_past_its_use_by_goes_nowhere(kitchen, stock):
    kitchen.clock.at = day("2026-11-04 00:00")
    for action in (freeze, lambda *given: move_to(*given, "pass"), thaw):
        with pytest.raises(Refused, match=r"past its use-by|not frozen"):
            action(kitchen.file, kitchen.jp, stock)
    with pytest.raises(Refused, match="past its use-by"):
        freeze(kitchen.file, kitchen.jp, stock, at=day("2026-11-03 08:00"))


def test_out_of_temperature_control_there_is_one_end_and_no_way_back(kitchen, stock):
    """FDA Food Code 2022, 3-501.19(B): 4 hours from when it left control, which a reading shows."""
    with pytest.raises(Refused, match="probe it first"):
        move_to(kitchen.file, kitchen.jp, stock, "display", LITRE)
    read(kitchen.file, kitchen.jp, "batch", stock, Fraction(4), "C")
    did = move_to(kitchen.file, kitchen.jp, stock, "display", LITRE)
    (part,) = did.batches
    assert did.text.endswith("good to 18:00; out of temperature control it has this one end, and may not go back")
    kitchen.later(hours=1)
    for place in ("walk-in", "freezer"):
        with pytest.raises(Refused, match="out of temperature control since 14:00 and may not go back; it is good to"):
            move_to(kitchen.file, kitchen.jp, part, place)
    assert kitchen.batch(part).use_by == day("2026-10-31 18:00")


def test_six_hours_where_the_place_says_so_and_readings_show_it(kitchen, stock):
    """FDA Food Code 2022, 3-501.19(C): 6 h for cold food never above 21 °C; one warmer reading, and it is 4 h."""
    out = kitchen.clock.at
    read(kitchen.file, kitchen.jp, "batch", stock, Fraction(4), "C")
    move_to(kitchen.file, kitchen.jp, stock, "display")
    assert kitchen.batch(stock).use_by == out + timedelta(hours=4)
    kitchen.later(hours=2)
    read(kitchen.file, kitchen.jp, "place", "display", Fraction(19), "C")
    batch = kitchen.batch(stock)
    assert (batch.use_by, batch.why) == (out + timedelta(hours=6), "time control, cold")
    kitchen.later(hours=1)
    read(kitchen.file, kitchen.jp, "place", "display", Fraction(22), "C")
    assert kitchen.batch(stock).use_by == out + timedelta(hours=4)


def test_a_frozen_batch_is_thawed_before_it_is_taken(kitchen, stock):
    """A run that takes it frozen counts from the day on which its thaw must have begun."""
    freeze(kitchen.file, kitchen.jp, stock)
    kitchen.clock.at = day("2026-11-20 10:00")
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    (jus,) = kitchen.batches("lamb-jus")
    assert (str(jus.inherited), jus.use_by) == ("2026-11-19", day("2026-11-25"))


def test_a_batch_divides_into_parts_with_its_dates(kitchen, stock):
    did = split(kitchen.file, kitchen.jp, stock, [LITRE, 2 * LITRE])
    parts = [kitchen.batch(code) for code in did.batches]
    whole = kitchen.batch(stock)
    assert [part.left for part in (*parts, whole)] == [LITRE, 2 * LITRE, 2 * LITRE]
    assert {(part.use_by, part.made_at, part.day_one) for part in (*parts, whole)} == {
        (whole.use_by, whole.made_at, whole.day_one)
    }
    with pytest.raises(Refused, match="has 2 l to divide"):
        split(kitchen.file, kitchen.jp, stock, [3 * LITRE])


def test_each_is_taken_back_whole_unless_somebody_built_on_it(kitchen, stock):
    before = kitchen.batch(stock)
    (part,) = freeze(kitchen.file, kitchen.jp, stock, LITRE).batches
    undo(kitchen.file, kitchen.jp)
    assert kitchen.batch(stock) == before
    assert [batch.code for batch in kitchen.state.batches] == [stock]
    (part,) = freeze(kitchen.file, kitchen.jp, stock, LITRE).batches
    discard(kitchen.file, kitchen.lm, part, None, "spoiled")
    with pytest.raises(Refused, match="has been used since"):
        undo(kitchen.file, kitchen.jp)


def test_what_is_past_its_use_by_is_brought_nowhere(kitchen, stock):
    kitchen.clock.at = day("2026-11-03 23:50")
    with pytest.raises(Refused, match="no day is left"):
        freeze(kitchen.file, kitchen.jp, stock)
    move_to(kitchen.file, kitchen.jp, stock, "pass")
    kitchen.later(minutes=15)
    with pytest.raises(Refused, match="is past its use-by"):
        move_to(kitchen.file, kitchen.jp, stock, "walk-in")


def test_a_thaw_is_taken_back_only_as_a_slip_of_the_finger(kitchen, stock):
    """Two hours in the fridge count; the way back is the freezer."""
    freeze(kitchen.file, kitchen.jp, stock)
    thaw(kitchen.file, kitchen.jp, stock)
    kitchen.later(minutes=31)
    with pytest.raises(Refused, match="has stood there since 14:00, and that counts; move it back instead"):
        undo(kitchen.file, kitchen.jp)
    freeze(kitchen.file, kitchen.jp, stock)
    thaw(kitchen.file, kitchen.jp, stock)
    undo(kitchen.file, kitchen.jp)
    assert kitchen.batch(stock).store == "frozen"


def test_places_are_logged_with_where_it_was(kitchen, stock):
    move_to(kitchen.file, kitchen.jp, stock, "pass")
    (line,) = kitchen.log("moved")
    assert (line["batch"], line["before"], line["after"], line["by"]) == (stock, "Walk-in", "Pass", "jp")


def test_where_it_is_already_and_before_it_came_there_is_refused(kitchen, stock):
    with pytest.raises(Refused, match="is in Walk-in already"):
        move_to(kitchen.file, kitchen.jp, stock, "walk-in")
    kitchen.later(hours=2)
    freeze(kitchen.file, kitchen.jp, stock)
    with pytest.raises(Refused, match="was brought where it is at 16:00; not before that"):
        thaw(kitchen.file, kitchen.jp, stock, at=kitchen.clock.at - timedelta(hours=1))
    with pytest.raises(Refused, match="frozen already"):
        freeze(kitchen.file, kitchen.jp, stock)


def test_only_a_sous_chef_moves_a_freezing_back_into_an_earlier_day(staffed):
    """It would lengthen the life by a day that nobody saw."""
    (code,) = done(staffed.file, staffed.jp, prep="brown-stock").batches
    made = staffed.clock.at
    staffed.later(days=1)
    with pytest.raises(Refused, match="only a sous chef"):
        freeze(staffed.file, staffed.jp, code, at=made + timedelta(hours=1))
    freeze(staffed.file, staffed.sous, code, at=made + timedelta(hours=1))


def test_a_batch_that_no_recipe_knows_stands_still_frozen_and_is_good_for_a_day_from_its_thaw(kitchen):
    """FDA Food Code 2022, 3-501.18(A)(1): frozen time is not counted. The day after the thaw is common practice."""
    from prepboard.book.amounts import read_amount
    from prepboard.store.actions.food.making import made

    (code,) = made(kitchen.file, kitchen.jp, "Odd soup", read_amount("2 l")).batches
    freeze(kitchen.file, kitchen.jp, code)
    assert kitchen.batch(code).use_by is None
    thaw(kitchen.file, kitchen.jp, code)
    assert kitchen.batch(code).use_by == kitchen.clock.at + timedelta(days=1)
    read(kitchen.file, kitchen.jp, "batch", code, Fraction(4), "C")
    move_to(kitchen.file, kitchen.jp, code, "display")
    assert kitchen.batch(code).use_by == kitchen.clock.at + timedelta(hours=4)
    use(kitchen.file, kitchen.jp, code, LITRE, "staff")
    assert kitchen.batch(code).left == LITRE
