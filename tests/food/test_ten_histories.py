"""Ten histories of food, each worked out by hand from the sentences of the code, by their numbers.

FDA Food Code 2022 unless said: 3-501.14 cooling, 3-501.16 holding, 3-501.17 and .18 dates, 3-501.19 time as a control,
3-403.11 reheating. UK: the chilled and hot tolerances of the temperature control regulations.
"""

from __future__ import annotations

import pytest

from prepboard.book.safety.may_use import HELD, MAKERS, MISSED, OUT, WITHHELD
from prepboard.store.file.who import Refused


def test_1_a_cooling_that_missed_its_first_limit(fda):
    run = fda.start("soup", "12:00")
    fda.temp("run", run, 80, "13:50")
    fda.step(run, "14:00")
    batch = fda.done(run, "14:10")
    fda.temp("batch", batch, 80, "14:10")
    for degrees, moment in ((50, "15:30"), (58, "16:20"), (21, "17:00"), (5, "19:00")):
        fda.temp("batch", batch, degrees, moment)
    found = fda.asks(batch)
    assert (found.may, found.row, found.since) == (False, MISSED, fda.at("16:10"))
    with pytest.raises(Refused, match="no reading at 74"):
        fda.corrected(batch, "19:05")
    fda.temp("batch", batch, 75, "19:50", reheat=True)
    fda.corrected(batch, "19:55")
    for degrees, moment in ((20, "21:30"), (4, "23:30")):
        fda.temp("batch", batch, degrees, moment)
    assert fda.asks(batch, "tue 09:00").may


def test_1_the_next_morning_it_can_only_be_discarded(fda):
    batch = fda.cooked("soup", "12:00", "14:00", "14:10")
    fda.temp("batch", batch, 50, "15:30")
    fda.temp("batch", batch, 30, "16:30")
    fda.temp("batch", batch, 75, "tue 08:50", reheat=True)
    with pytest.raises(Refused, match="only be discarded"):
        fda.corrected(batch, "tue 09:00")
    assert not fda.asks(batch, "tue 09:00").may


def test_1_the_second_cooling_must_be_shown(fda):
    """What was put right once is held from the moment at which its second cooling should have been shown."""
    batch = fda.cooked("soup", "12:00", "14:00", "14:10")
    fda.temp("batch", batch, 30, "16:30")
    fda.temp("batch", batch, 75, "17:00")
    fda.corrected(batch, "17:05")
    assert fda.asks(batch, "18:50").may
    assert fda.asks(batch, "19:01").row == HELD
    fda.temp("batch", batch, 30, "19:10")
    assert fda.asks(batch).row == MISSED
    with pytest.raises(Refused, match="only be discarded"):
        fda.corrected(batch, "19:15")


def test_1_guidance_never_blocks(uk):
    batch = uk.cooked("soup", "12:00", "14:00", "14:10")
    for degrees, moment in ((50, "15:30"), (58, "16:10"), (21, "17:00"), (5, "19:00")):
        uk.temp("batch", batch, degrees, moment)
    assert uk.asks(batch).may


def test_2_a_cooling_that_nobody_read_counts(fda):
    batch = fda.cooked("soup", "19:00", "20:00", "20:10")
    fda.temp("batch", batch, 4, "tue 08:00")
    assert fda.asks(batch).may
    fda.temp("place", "walk-in", 3, "tue 16:50")
    fda.move(batch, "bench", "tue 17:00")
    assert fda.ends(batch) == fda.at("tue 21:00")


def test_2_the_house_may_hold_it(tmp_path, fda):
    from tests.food.conftest import new_kitchen

    strict = new_kitchen(tmp_path / "strict", more='unread_cooling = "hold"')
    batch = strict.cooked("soup", "19:00", "20:00", "20:10")
    strict.temp("batch", batch, 4, "tue 08:00")
    assert strict.asks(batch).row == HELD
    strict.file.close()


def test_3_a_place_never_speaks_for_food_that_cools(fda):
    run = fda.start("soup", "14:00")
    fda.step(run, "15:00")
    fda.temp("run", run, 62, "15:10")
    batch = fda.done(run, "15:15")
    fda.temp("place", "walk-in", 3, "17:00")
    fda.temp("batch", batch, 24, "17:05")
    assert fda.asks(batch).may
    fda.temp("batch", batch, 22, "17:12")
    assert (fda.asks(batch).row, fda.asks(batch).since) == (MISSED, fda.at("17:10"))


def test_3_a_limit_that_nobody_showed_is_not_missed(fda):
    run = fda.start("soup", "14:00")
    fda.step(run, "15:00")
    fda.temp("run", run, 62, "15:10")
    batch = fda.done(run, "15:15")
    said = fda.temp("batch", batch, 20, "17:30")
    fda.temp("batch", batch, 5, "20:00")
    assert "too slowly" not in said
    assert fda.asks(batch).may
    state = fda.file.read()
    way = fda_way(state, batch, fda)
    assert [limit.state for limit in way.limits] == ["not shown", "met"]


def fda_way(state, batch, kitchen):
    from prepboard.plan.board import plan

    return plan(state, kitchen.clock.at).watch.judged[batch].cooling


@pytest.mark.parametrize("rules", ["fda", "uk"])
def test_4_what_is_kept_on_time_from_the_first(rules, request):
    """From when its first cold ingredient was taken."""
    kitchen = request.getfixturevalue(rules)
    kitchen.made("tuna", "08:00", "08:10")
    kitchen.temp("place", "walk-in", 3, "15:50")
    run = kitchen.start("tartare", "16:00")
    batch = kitchen.done(run, "17:00")
    found = kitchen.asks(batch)
    assert (found.row, found.until) == (OUT, kitchen.at("20:00"))


def test_5_six_hours_only_for_what_stays_cold(fda):
    batch = fda.made("salad", "06:00", "06:10")
    fda.temp("batch", batch, 5, "12:00")
    fda.move(batch, "cold-table", "12:00")
    assert fda.ends(batch) == fda.at("16:00")
    fda.temp("batch", batch, 19, "14:30")
    assert fda.ends(batch) == fda.at("18:00")
    fda.temp("batch", batch, 22, "15:00")
    assert fda.asks(batch).row == MISSED


def test_5_in_the_uk_four_hours_for_both(uk):
    batch = uk.made("salad", "06:00", "06:10")
    uk.temp("batch", batch, 5, "12:00")
    uk.move(batch, "cold-table", "12:00")
    uk.temp("batch", batch, 19, "14:30")
    assert uk.ends(batch) == uk.at("16:00")


def out_walk_in(kitchen):
    """Four batches in a walk-in that reads 3 °C on Monday at 22:00 and 9 °C on Tuesday at 08:00."""
    a, b, c, d = (kitchen.made("salad", f"1{hour}:00", f"1{hour}:10") for hour in range(4))
    for batch in (a, b, c, d):
        kitchen.temp("batch", batch, 4, "17:00")
    kitchen.temp("place", "walk-in", 3, "22:00")
    kitchen.move(c, "bench", "tue 07:30")
    into = kitchen.file
    kitchen.temp("place", "walk-in", 9.5, "tue 08:00")
    kitchen.move(b, "blast-chiller", "tue 08:05")
    kitchen.temp("batch", a, 4, "tue 08:20")
    kitchen.temp("batch", d, 7, "tue 08:25")
    kitchen.temp("batch", b, 4, "tue 11:30")
    assert into is kitchen.file
    return a, b, c, d


def test_6_a_walk_in_that_was_out_holds_what_stood_there(fda):
    a, b, c, d = out_walk_in(fda)
    assert fda.asks(a).may
    assert fda.asks(b).row == HELD
    assert (fda.asks(c).row, fda.ends(c)) == (OUT, fda.at("tue 02:00"))
    assert not fda.asks(d).may
    assert fda.ends(d) == fda.at("tue 02:00")


def test_6_in_the_uk_seven_degrees_are_good(uk):
    a, b, c, d = out_walk_in(uk)
    assert [uk.asks(batch).may for batch in (a, b, c, d)] == [True, False, False, True]


def test_6_what_was_made_of_it_shares_its_end(fda):
    soup = fda.cooked("soup", "10:00", "11:00", "11:10")
    fda.temp("batch", soup, 4, "15:00")
    fda.temp("place", "walk-in", 3, "22:00")
    fda.move(soup, "bench", "tue 01:00")
    stew = fda.cooked("stew", "tue 01:30", "tue 01:50", "tue 01:55")
    assert (fda.asks(stew).row, fda.ends(stew)) == (OUT, fda.at("tue 02:00"))


def test_7_frozen_days_stand_still(fda):
    batch = fda.made("soup", "09:00", "10:00")
    fda.freeze(batch, "wed 10:00")
    fda.thaw(batch, "+tue 10:00")
    fda.freeze(batch, "+wed 10:00")
    fda.thaw(batch, "++fri 10:00")
    assert fda.ends(batch) == fda.at("++sun 00:00")
    stew = fda.made("stew", "++sat 10:00", "++sat 11:00")
    assert fda.ends(stew) == fda.at("++sun 00:00")


def test_7_by_five_days_the_second_freezing_is_refused(uk):
    batch = uk.made("soup", "09:00", "10:00")
    uk.freeze(batch, "wed 10:00")
    uk.thaw(batch, "+tue 10:00")
    with pytest.raises(Refused):
        uk.freeze(batch, "+wed 10:00")
    assert uk.ends(batch) == uk.at("+thu 00:00")


def test_8_a_makers_date_passes_on(fda):
    fda.open("", "fri", "wed 09:00")
    soup = fda.made("soup", "thu 10:00", "thu 11:00")
    found = fda.asks(soup)
    assert (found.row, found.until) == (MAKERS, fda.at("sat 00:00"))


def bisque_of_dated_cream(kitchen, *cores):
    kitchen.open("", "fri", "wed 09:00")
    run = kitchen.start("bisque", "thu 10:00")
    for degrees, moment in cores:
        kitchen.temp("run", run, degrees, moment)
    kitchen.step(run, "thu 10:15")
    return kitchen.done(run, "thu 11:00")


def test_8_where_one_core_figure_cooks_all_a_core_that_was_read_ends_it(uk):
    """UK guidance: 70 °C for 2 minutes, which is two readings. Then five days count: cream of Wednesday, day 1."""
    bisque = bisque_of_dated_cream(uk, (75, "thu 10:10"), (76, "thu 10:12"))
    assert uk.ends(bisque) == uk.at("+mon 00:00")


@pytest.mark.parametrize("cores", [(), ((75, "thu 10:10"),), ((65, "thu 10:10"), (69, "thu 10:14"))])
def test_8_a_core_that_was_not_shown_ends_nothing(uk, cores):
    assert uk.ends(bisque_of_dated_cream(uk, *cores)) == uk.at("sat 00:00")


def test_8_under_fda_the_date_stands_even_then(fda):
    bisque = bisque_of_dated_cream(fda, (75, "thu 10:10"), (76, "thu 10:12"))
    assert (fda.asks(bisque).row, fda.ends(bisque)) == (MAKERS, fda.at("sat 00:00"))


def test_9_from_cold_to_hot_is_a_reheating(fda):
    soup = fda.made("soup", "06:00", "06:30")
    fda.temp("batch", soup, 5, "09:59")
    fda.move(soup, "hot-cupboard", "10:00")
    fda.temp("place", "hot-cupboard", 68, "10:30")
    fda.temp("batch", soup, 60, "11:30")
    fda.temp("batch", soup, 74, "12:05")
    found = fda.asks(soup)
    assert (found.row, found.since) == (MISSED, fda.at("12:00"))


def test_9_in_england_no_time_in_law(uk):
    soup = uk.made("soup", "06:00", "06:30")
    uk.temp("batch", soup, 5, "09:59")
    uk.move(soup, "hot-cupboard", "10:00")
    uk.temp("batch", soup, 60, "11:30")
    uk.temp("batch", soup, 63, "12:05")
    assert uk.asks(soup).may


def test_10_a_withdrawn_lot_and_all_that_came_of_it(fda):
    fda.open("L11", "", "07:00")
    before = fda.made("soup", "08:00", "08:30")
    apart = fda.split(before, 2, "09:00")
    fda.open("L12", "", "09:30")
    run = fda.start("soup", "10:00")
    part = fda.done(run, "10:20", 1, more=True)
    for other in (before, apart):
        fda.for_tomorrow(other)
    fda.plate(3, "10:30")
    for other in (before, apart):
        fda.for_tomorrow(other, free=True)
    said = fda.withdraw("l 12", "10:40")
    all_of = fda.done(run, "11:00", onto=before)
    assert all_of == before
    assert [fda.asks(batch).row for batch in (part, before)] == [WITHHELD, WITHHELD]
    assert fda.asks(apart).may
    assert "gone out: 3 or more of bowl" in said.casefold()
    fda.unblock("L12", "12:00")
    assert all(fda.asks(batch).may for batch in (part, before, apart))
