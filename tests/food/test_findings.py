"""What a code would close a kitchen for: each of these once counted as good food, or refused good food."""

from __future__ import annotations

import pytest

from prepboard.book.safety.may_use import COUNTED, HELD, MISSED, OUT, WITHHELD
from prepboard.store.file.who import Refused, Unsure


def test_food_out_of_its_range_is_not_freed_by_moving_it(fda):
    batch = fda.made("salad", "06:00")
    fda.temp("batch", batch, 4, "09:50")
    fda.temp("batch", batch, 12, "10:00")
    fda.temp("batch", batch, 13, "14:30")
    assert not fda.asks(batch).may
    with pytest.raises(Refused):
        fda.move(batch, "bench", "14:35")
    assert not fda.asks(batch, "14:40").may


def test_food_that_cooled_too_slowly_is_not_freed_in_a_hot_place(fda):
    batch = fda.cooked("soup", "12:00", "14:00", "14:10")
    fda.temp("batch", batch, 40, "16:30")
    moved = fda.move(batch, "hot-cupboard", "16:40")
    assert fda.asks(moved).row == MISSED


def test_a_block_of_a_place_belongs_to_the_food_wherever_it_is_brought(fda):
    batch = fda.made("salad", "06:00")
    fda.temp("batch", batch, 4, "07:00")
    fda.block("walk-in", "08:00")
    fda.move(batch, "blast-chiller", "08:10")
    assert fda.asks(batch).row == WITHHELD
    fda.unblock("walk-in", "09:00")
    assert fda.asks(batch).may


def test_a_block_reaches_what_was_made_of_the_food_and_one_for_taste_does_not(fda):
    soup = fda.made("soup", "06:00", "07:00")
    stew = fda.made("stew", "08:00", "09:00")
    fda.block(soup, "10:00", for_taste=True)
    assert fda.asks(stew).may
    fda.unblock(soup, "10:10")
    fda.block(soup, "10:20")
    assert fda.asks(stew).row == WITHHELD
    fda.unblock(soup, "10:30")
    assert fda.asks(stew).may


def test_bad_stock_is_asked_about_and_never_left_out_in_silence(fda):
    from fractions import Fraction

    from prepboard.store.actions.food import making

    soup = fda.made("soup", "06:00", "07:00")
    fda.go("+tue 08:00")
    with pytest.raises(Unsure, match=r"may not be used \(expired\)"):
        making.start(fda.file, fda.who, "stew", Fraction(1))
    run = making.start(fda.file, fda.who, "stew", Fraction(1), sure=True).run
    stew = fda.done(run, "+tue 09:00")
    found = fda.asks(stew)
    assert (found.may, found.row, found.source) == (False, COUNTED, soup)


def test_a_run_begun_before_its_stock_was_blocked_gives_blocked_food(fda):
    soup = fda.made("soup", "06:00", "07:00")
    run = fda.start("stew", "08:00")
    fda.block(soup, "08:30")
    assert fda.asks(fda.done(run, "09:00")).row == WITHHELD


def test_what_was_out_of_control_gives_its_end_to_a_new_dish(fda):
    """FDA Food Code 2022, 3-501.19(B)."""
    soup = fda.made("soup", "06:00", "07:00")
    fda.temp("batch", soup, 4, "11:00")
    fda.move(soup, "bench", "11:00")
    assert fda.ends(fda.made("stew", "12:00", "13:00")) == fda.at("15:00")


def test_four_hours_do_not_begin_for_food_that_was_warm_already(fda):
    batch = fda.made("salad", "06:00")
    fda.temp("batch", batch, 4, "08:00")
    fda.temp("batch", batch, 9, "10:30")
    fda.move(batch, "bench", "11:00")
    assert fda.ends(batch) == fda.at("12:00")


def test_topping_up_launders_no_missed_cooling(fda):
    old = fda.made("soup", "05:00", "06:00")
    run = fda.start("soup", "08:00")
    fda.step(run, "09:00")
    fda.temp("run", run, 40, "11:30")
    assert fda.done(run, "11:40", onto=old) == old
    assert fda.asks(old).row == MISSED


def test_a_warm_part_opens_a_cooling_for_the_whole(fda):
    old = fda.made("soup", "05:00", "06:00")
    fda.temp("batch", old, 4, "09:00")
    run = fda.start("soup", "09:00")
    fda.step(run, "10:00")
    assert fda.done(run, "10:10", onto=old) == old
    fda.temp("batch", old, 30, "12:20")
    assert fda.asks(old).row == MISSED


def test_a_hold_for_a_place_ends_by_what_is_most_exposed_in_it(fda):
    first, second = (fda.made("salad", "06:00") for _ in range(2))
    for batch in (first, second):
        fda.temp("batch", batch, 4, "07:00")
    fda.temp("place", "walk-in", 9, "12:00")
    assert [fda.asks(batch).row for batch in (first, second)] == [HELD, HELD]
    fda.temp("batch", second, 4.5, "12:30", most_exposed=True)
    assert [fda.asks(batch).may for batch in (first, second)] == [True, True]


def test_expired_food_counted_back_is_the_expired_food(fda):
    batch = fda.made("soup", "06:00", "07:00")
    fda.go("+tue 08:00")
    fda.discard(batch, "+tue 08:10")
    said = fda.count("soup", 4, "+tue 08:20")
    assert "expired" in said
    assert not fda.asks(batch).may


def test_a_plate_of_expired_food_is_asked_about_and_its_trace_leads_there(fda):
    batch = fda.made("soup", "06:00", "07:00")
    fda.block(batch, "09:00")
    with pytest.raises(Refused, match="may not be used"):
        fda.plate(2, "18:30")
    fda.plate(2, "18:30", sure=True)
    assert "gone out: 2 or more of bowl" in fda.withdraw(batch, "19:00").casefold()


@pytest.mark.parametrize("lot", ["l12", "L 12", " l1 2"])
def test_a_withdrawn_lot_is_known_however_it_is_written(fda, lot):
    fda.open("L12", "", "08:00")
    fda.withdraw("L12", "09:00")
    with pytest.raises(Refused, match="recalled"):
        fda.open(lot, "", "10:00")


def test_goods_of_a_lot_that_nobody_wrote_down_are_held_until_it_is_typed(fda):
    from prepboard.store.actions.food.withdrawing import lot_of

    run = fda.start("soup", "08:00")
    soup = fda.done(run, "09:00")
    said = fda.withdraw("cream", "10:00", lot="L12")
    assert "nobody wrote down" in said
    assert fda.asks(soup).row == WITHHELD
    lot_of(fda.file, fda.who, run, "cream", "L11", "read from the pack")
    assert fda.asks(soup).may
    lot_of(fda.file, fda.who, run, "cream", "l 12", "misread")
    assert fda.asks(soup).row == WITHHELD


def test_a_late_reading_improves_nothing_unless_it_is_typed_from_a_record(fda):
    batch = fda.made("salad", "06:00")
    fda.temp("batch", batch, 4, "07:00")
    fda.temp("place", "walk-in", 9, "12:00")
    fda.go("12:50")
    fda.temp("batch", batch, 4, "12:50", at=fda.at("12:10"))
    assert fda.asks(batch).row == HELD
    fda.temp("batch", batch, 4, "12:50", at=fda.at("12:10"), record="probe 2, its memory")
    assert fda.asks(batch).may


def test_a_figure_in_fahrenheit_without_its_f_is_asked_about(fda):
    batch = fda.made("soup", "06:00", "07:00")
    with pytest.raises(Unsure, match="with F behind it"):
        fda.temp("batch", batch, 165, "07:10")


def test_cooked_food_without_a_temperature_in_its_recipe_is_judged_when_it_is_read_warm(fda):
    batch = fda.made("salad", "08:00")
    fda.temp("batch", batch, 52, "08:30")
    fda.temp("batch", batch, 30, "11:30")
    assert fda.asks(batch).row == MISSED


def test_food_on_a_shelf_has_four_hours_whatever_its_recipe_says(fda):
    (code,) = make_unlisted(fda, "08:00")
    found = fda.asks(code)
    assert (found.row, found.until) == (OUT, fda.at("12:00"))


def write_more(kitchen, text, moment):
    from prepboard.store.actions.loading import load_book

    folder = kitchen.go(moment).file.path.parent / "book"
    (folder / "more.toml").write_text(text, encoding="utf-8")
    load_book(kitchen.file, kitchen.who, folder)


PUDDING = """
[preps.pudding]
name = "Rice pudding"
keeps = {{ {lives} }}
{store}
place = "{place}"
makes = "10 l"
steps = [{{ do = "Boil", at = "95 C", wait = "10 min" }}]
"""


def test_food_that_is_eaten_as_it_is_takes_no_life_at_room_temperature(fda):
    """FDA Food Code 2022, 3-501.19(B): four hours from the end of its hot step, whatever its recipe says."""
    lives = 'ambient = "9 days"'
    write_more(fda, PUDDING.format(lives=lives, store='store = "ambient"', place="bench"), "05:30")
    pudding = fda.made("pudding", "06:00", "06:10")
    assert fda.ends(pudding) == fda.at("10:10")


def test_a_life_at_room_temperature_excuses_no_hours_out_of_the_fridge(fda):
    lives = 'chilled = "5 days", ambient = "9 days"'
    write_more(fda, PUDDING.format(lives=lives, store="", place="walk-in"), "05:30")
    pudding = fda.made("pudding", "06:00", "06:10")
    fda.temp("batch", pudding, 4, "11:00")
    fda.move(pudding, "bench", "11:00")
    assert fda.ends(pudding) == fda.at("15:00")


PESTO = """
[preps.pesto]
name = "Pesto"
keeps = "3 days"
place = "walk-in"
makes = "1 l"
uses = {{ {nut} = "100 g" }}
[goods.cashews]
allergens = ["cashews"]
[goods.seeds]
allergens = []
"""


def test_allergens_belong_to_the_batch_from_its_making(fda):
    from prepboard.paper.sentences.contains import in_batch

    write_more(fda, PESTO.format(nut="cashews"), "05:30")
    pesto = fda.made("pesto", "06:00")
    write_more(fda, PESTO.format(nut="seeds"), "06:30")
    later = fda.made("pesto", "07:00")
    state = fda.file.read()
    held = {batch.code: in_batch(state.book, batch) for batch in state.batches}
    assert held == {pesto: ("cashews",), later: ()}


def make_unlisted(kitchen, moment):
    from prepboard.book.amounts import read_amount
    from prepboard.store.actions.food.unknown import made

    kitchen.go(moment)
    return made(kitchen.file, kitchen.who, "Egg salad", read_amount("2 kg"), "bench").batches


def test_a_task_that_reads_a_place_holds_what_stands_there(fda):
    from fractions import Fraction

    from prepboard.book.book import Temperature
    from prepboard.store.actions.handover import task

    salad = fda.made("salad", "06:00")
    fda.go("09:00")
    said = task(fda.file, fda.who, fda.at("00:00").date(), "fridge", Temperature(Fraction(14), "C")).text
    assert "Walk-in: 14 °C is out of range: 5 °C" in said
    assert fda.asks(salad).row == HELD


def test_the_second_bad_reading_of_a_place_and_what_is_taken_from_it_meanwhile(fda):
    """A walk-in at 14 °C twice: its mayonnaise may not go into anything."""
    salad = fda.made("salad", "06:00")
    fda.temp("batch", salad, 4, "06:30")
    fda.temp("place", "walk-in", 14, "09:00")
    fda.temp("place", "walk-in", 14, "10:00")
    assert fda.asks(salad).row == HELD


def test_a_pack_thrown_away_while_its_food_is_made_stays_in_it(fda):
    """What goes in is fixed when it goes in: FDA Food Code 2022, 3-501.17(B)."""
    cream = fda.open("L1", "wed", "08:00")
    run = fda.start("soup", "08:10")
    fda.discard(cream, "08:20")
    soup = fda.done(run, "08:30")
    assert (fda.asks(soup).why, fda.ends(soup)) == ("maker's date", fda.at("thu 00:00"))


@pytest.mark.parametrize("moment", ["19:58", "20:06"])
def test_warm_after_six_hours_is_missed_on_either_side_of_them(fda, moment):
    """FDA Food Code 2022, 3-501.14(A): off the heat at 14:00, 30 °C is neither 21 by 16:00 nor 5 by 20:00."""
    soup = fda.cooked("soup", "13:50", "14:00", "14:10")
    fda.temp("batch", soup, 30, moment)
    assert fda.asks(soup).row == MISSED


def test_a_part_taken_out_before_the_heat_is_over_cools_from_then(fda):
    run = fda.start("soup", "10:00")
    part = fda.done(run, "10:05", 5, more=True)
    fda.temp("batch", part, 22, "12:06")
    assert fda.asks(part).row == MISSED


def test_out_of_range_begins_with_the_last_good_reading(fda):
    """9 °C at noon, 4 °C at ten: it may have been warm since ten. FDA Food Code 2022, 3-501.19(B)."""
    salad = fda.made("salad", "08:00")
    fda.temp("batch", salad, 4, "10:00")
    fda.temp("batch", salad, 9, "12:00")
    assert fda.ends(salad) == fda.at("14:00")


def test_an_opened_tin_is_ordinary_food_on_its_shelf_and_in_the_cold(fda):
    write_more(fda, '[goods.tuna-tin]\nname = "Tinned tuna"\nunit = "each"\nstable = "sealed"\n', "05:30")
    tin = fda.open("", "", "08:00", goods="tuna-tin")
    assert fda.ends(tin) == fda.at("+mon 00:00")
    fda.temp("batch", tin, 4, "08:05")
    fda.move(tin, "bench", "08:10")
    assert fda.ends(tin) == fda.at("12:10")


def test_hot_food_in_a_hot_place_that_its_recipe_does_not_name_is_in_control(fda):
    """FDA Food Code 2022, 3-501.16(A)(1): 57 °C or above for as long as that is."""
    soup = fda.cooked("soup", "09:50", "10:00", "10:10")
    fda.temp("batch", soup, 80, "10:10")
    fda.move(soup, "hot-cupboard", "10:10")
    fda.temp("batch", soup, 68, "12:00")
    fda.temp("batch", soup, 68, "16:00")
    assert fda.asks(soup).may
    fda.move(soup, "blast-chiller", "16:05")
    assert fda.asks(soup).may


ONE_STEP = """
[preps.custard]
name = "Custard"
keeps = "1 day"
ready_to_eat = true
place = "walk-in"
makes = "10 l"
steps = [{ do = "Heat", at = "85 C", wait = "10 min" }]
"""


def test_a_days_life_made_after_midnight_ends_as_the_next_day_starts(fda):
    """Made at 00:30 it belongs to the evening before, and is not past at birth."""
    write_more(fda, ONE_STEP.replace(', at = "85 C"', ""), "05:30")
    custard = fda.made("custard", "tue 00:10", "tue 00:30")
    assert (fda.asks(custard).may, fda.ends(custard)) == (True, fda.at("tue 04:00"))


def test_a_last_step_ends_when_its_time_is_over_however_late_done_is_pressed(fda):
    """Done is pressed the next morning: whether it was still hot then nobody wrote down. In doubt the shorter life."""
    write_more(fda, ONE_STEP.replace('"1 day"', '"3 days"'), "05:30")
    run = fda.start("custard", "22:00")
    custard = fda.done(run, "tue 06:00")
    assert fda.ends(custard) == fda.at("thu 00:00")
