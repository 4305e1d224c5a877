"""What drawn histories found: food that counted longer than the code has it, or was withheld with no way out."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book.safety.may_use import HELD, MISSED, OUT, WITHHELD
from prepboard.store.actions import undoing
from prepboard.store.actions.food import holding, making
from prepboard.store.actions.food.holding import Right, correct
from prepboard.store.actions.loading import load_book
from tests.food.conftest import BOOK, MONDAY, new_kitchen


def test_what_is_read_of_the_whole_later_reaches_back_to_its_part(fda):
    """Parts of one batch are one food: 40 °C at 16:30 says that the limit of 16:00 was missed by all of it."""
    soup = fda.cooked("soup", "13:50", "14:00", "14:05")
    part = fda.split(soup, 2, "16:10")
    fda.temp("batch", soup, 40, "16:30")
    assert fda.asks(part).row == MISSED


def test_a_part_that_was_put_right_by_itself_is_good(fda):
    soup = fda.cooked("soup", "13:50", "14:00", "14:05")
    fda.temp("batch", soup, 30, "16:10")
    part = fda.split(soup, 2, "16:12")
    fda.temp("batch", part, 75, "16:40", reheat=True)
    fda.corrected(part, "16:45")
    for degrees, moment in ((20, "18:00"), (4, "20:00")):
        fda.temp("batch", part, degrees, moment)
    assert fda.asks(part).may
    assert fda.asks(soup).row == MISSED


def test_a_bad_reading_of_a_place_reaches_what_left_it_days_before(fda):
    """Nobody read the walk-in in between: it may have been warm since then."""
    salad = fda.made("salad", "06:00")
    fda.move(salad, "blast-chiller", "07:00")
    fda.temp("place", "walk-in", 12, "thu 07:00")
    assert fda.asks(salad).row == HELD


def test_a_bad_reading_reaches_what_was_made_of_food_that_is_gone(fda):
    soup = fda.cooked("soup", "05:00", "05:10", "05:20")
    fda.temp("batch", soup, 4, "08:00")
    for moment in ("09:00", "10:00", "11:00"):
        fda.temp("place", "walk-in", 3, moment)
    fda.move(soup, "blast-chiller", "11:30")
    stew = fda.cooked("stew", "11:40", "11:50", "11:55")
    fda.discard(soup, "12:00")
    fda.temp("place", "walk-in", 12, "12:05")
    assert fda.asks(stew).row == HELD


def test_a_label_put_right_changes_the_dates_of_what_was_made_of_it(fda):
    """FDA Food Code 2022, 3-501.17(C): combined food keeps the earliest day 1."""
    soup = fda.made("soup", "wed 09:00", "wed 10:00")
    stew = fda.made("stew", "wed 11:00", "wed 12:00")
    part = fda.split(stew, 2, "wed 12:30")
    assert fda.ends(stew) == fda.at("+wed 00:00")
    right = holding.Right(first_day=fda.at("mon 00:00").date())
    holding.correct(fda.go("wed 13:00").file, fda.who, soup, right, "it was Monday's")
    assert [fda.ends(one) for one in (soup, stew, part)] == [fda.at("+mon 00:00")] * 3


def test_goods_without_an_open_pack_count_as_opened_when_they_go_in(fda):
    """3-501.17(B): the cream of Monday night is day 1 of Monday, though the soup is hot on Tuesday."""
    run = fda.start("soup", "23:55")
    fda.step(run, "tue 06:00")
    assert fda.ends(fda.done(run, "tue 06:10")) == fda.at("+mon 00:00")


def test_a_withdrawal_that_is_taken_back_frees_what_was_made(fda):
    soup = fda.made("soup", "08:00", "08:30")
    fda.withdraw("cream", "09:00", lot="L2")
    assert fda.asks(soup).row == WITHHELD
    undoing.undo(fda.go("09:05").file, fda.who)
    assert fda.asks(soup).may


def test_withdrawn_goods_stay_withdrawn_under_a_new_name_and_are_let_go_under_it(fda, tmp_path):
    fda.open("L1", "", "07:00")
    with_pack = fda.made("soup", "08:00", "08:30")
    fda.withdraw("cream", "09:00")
    book = BOOK.format(rules="food-code-2022", more="").replace("cream = ", "double-cream = ")
    book = book.replace("[goods.cream]", '[goods.double-cream]\nwas = "cream"')
    (tmp_path / "renamed").mkdir()
    (tmp_path / "renamed" / "kitchen.toml").write_text(book, encoding="utf-8")
    load_book(fda.go("09:10").file, fda.who, tmp_path / "renamed")
    later = fda.done(making.start(fda.go("10:00").file, fda.who, "soup", Fraction(1), sure=True).run, "10:30")
    assert [fda.asks(one).row for one in (with_pack, later)] == [WITHHELD, WITHHELD]
    fda.unblock("double-cream", "11:00")
    assert [fda.asks(one).may for one in (with_pack, later)] == [True, True]


def test_goods_withdrawn_under_their_new_name_reach_what_was_made_under_the_old(fda, tmp_path):
    soup = fda.made("soup", "08:00", "08:30")
    book = BOOK.format(rules="food-code-2022", more="").replace("cream = ", "double-cream = ")
    book = book.replace("[goods.cream]", '[goods.double-cream]\nwas = "cream"')
    (tmp_path / "renamed").mkdir()
    (tmp_path / "renamed" / "kitchen.toml").write_text(book, encoding="utf-8")
    load_book(fda.go("09:10").file, fda.who, tmp_path / "renamed")
    fda.withdraw("double-cream", "09:20")
    assert fda.asks(soup).row == WITHHELD


def test_what_is_most_exposed_speaks_only_for_what_stands_there_with_it(fda):
    gone, there = (fda.made("salad", "06:00") for _ in range(2))
    fda.temp("place", "walk-in", 12, "09:55")
    fda.move(gone, "blast-chiller", "10:00")
    fda.temp("batch", there, 4, "10:20", most_exposed=True)
    assert fda.asks(gone).row == HELD
    assert fda.asks(there).may


def test_food_that_goes_back_in_time_frees_itself_and_not_what_was_made_of_it_meanwhile(uk):
    """UK Schedule 4 para 5: one return, of what was chilled again; nobody showed the rest."""
    tuna = uk.made("tuna", "06:00", "06:10")
    uk.temp("batch", tuna, 4, "07:55")
    uk.move(tuna, "bench", "08:00")
    run = uk.start("tartare", "09:00")
    tartare = uk.done(run, "09:05")
    uk.move(tuna, "walk-in", "10:00")
    uk.temp("batch", tuna, 4, "10:30")
    assert uk.asks(tuna).row != OUT
    assert (uk.asks(tartare).row, uk.ends(tartare)) == (OUT, uk.at("12:00"))


def test_food_that_is_heated_on_purpose_was_not_found_warm(uk):
    """The UK's law has no figure for reheating outside Scotland; the reading says what it was all the same."""
    salad = uk.made("salad", "06:00")
    uk.temp("batch", salad, 30, "08:00", reheat=True)
    assert uk.asks(salad).row != OUT


def test_a_place_that_is_let_go_frees_what_left_it_and_is_gone(fda):
    soup = fda.made("soup", "06:00", "06:30")
    fda.block("walk-in", "07:00")
    run = making.start(fda.go("07:10").file, fda.who, "stew", Fraction(1), sure=True).run
    stew = fda.done(run, "07:20")
    fda.move(stew, "blast-chiller", "07:25")
    fda.discard(soup, "07:30")
    assert fda.asks(stew).row == WITHHELD
    for day in ("tue", "wed", "thu"):
        fda.temp("place", "walk-in", 3, f"{day} 07:00")
    fda.unblock("walk-in", "thu 08:00")
    assert fda.asks(stew).may


def test_frozen_days_stand_still_for_what_lay_frozen_and_not_for_what_is_put_onto_it(fda):
    """3-501.18(A)(1): the old lay frozen on Wednesday and Thursday; of the new only what comes later."""
    run = fda.start("soup", "09:00")
    fda.step(run, "09:10")
    old = fda.done(run, "09:20", 2, more=True)
    fda.freeze(old, "tue 09:00")
    fda.thaw(old, "fri 09:00")
    assert fda.ends(old) == fda.at("+wed 00:00")
    assert fda.done(run, "fri 09:10", onto=old) == old
    assert fda.ends(old) == fda.at("+mon 00:00")
    fda.freeze(old, "fri 10:00")
    fda.thaw(old, "sun 10:00")
    assert fda.ends(old) == fda.at("+tue 00:00")


def test_food_is_judged_by_the_book_that_was_just_read_in(tmp_path):
    """What was cooked is held to 3 °C in Ireland, whatever it is called: a new book is not judged by the old one."""
    kitchen = new_kitchen(tmp_path / "ireland", "ireland")
    soup = kitchen.cooked("soup", "05:00", "05:10", "05:20")
    kitchen.temp("place", "walk-in", 4, "09:00")
    assert kitchen.asks(soup).row == HELD
    book = BOOK.format(rules="ireland", more="").replace("soup =", "potage =")
    book = book.replace("[preps.soup]", '[preps.potage]\nwas = "soup"')
    (tmp_path / "renamed").mkdir()
    (tmp_path / "renamed" / "kitchen.toml").write_text(book, encoding="utf-8")
    load_book(kitchen.go("09:30").file, kitchen.who, tmp_path / "renamed")
    assert kitchen.asks(soup).row == HELD
    kitchen.file.close()


def test_a_freezer_that_is_not_frozen_lets_the_days_go_on(fda):
    """3-501.11 and 3-501.18(A)(1): out on Thursday as far as anybody knows, and frozen again on Saturday."""
    soup = fda.made("soup", "09:00", "10:00")
    fda.freeze(soup, "tue 10:00")
    fda.temp("place", "freezer", -18, "thu 09:00")
    assert "counts as thawed since" in fda.temp("place", "freezer", 3, "sat 09:00")
    assert fda.ends(soup) == fda.at("+tue 00:00")
    fda.temp("place", "freezer", -18, "sat 20:00")
    fda.thaw(soup, "+mon 08:00")
    assert fda.ends(soup) == fda.at("+wed 00:00")


def test_a_freezer_as_warm_as_no_fridge_may_be_holds_what_is_in_it(fda):
    soup = fda.made("soup", "09:00", "10:00")
    fda.freeze(soup, "tue 10:00")
    fda.temp("place", "freezer", 9, "wed 09:00")
    assert fda.asks(soup).row == HELD
    fda.temp("batch", soup, 2, "wed 09:20")
    assert fda.asks(soup).may


def test_what_is_most_exposed_never_speaks_for_food_that_cools(uk):
    """Warm pie is not cold because a filling beside it is: on display it has the hours of hot food."""
    pie = uk.cooked("stew", "07:40", "07:50", "08:00")
    filling = uk.made("salad", "08:00")
    uk.temp("batch", pie, 40, "10:00")
    uk.temp("batch", filling, 6, "11:58", most_exposed=True)
    uk.move(pie, "clock", "11:59")
    assert not uk.asks(pie).may
    assert uk.ends(pie) == uk.at("11:50")


def test_no_place_speaks_for_what_was_freshly_put_onto_another(fda):
    """What was there four hours is topped up: the walk-in's 3 °C a minute later shows nothing of what is new."""
    tuna = fda.made("tuna", "06:00", "06:10")
    run = fda.start("tuna", "10:00")
    fda.temp("place", "walk-in", 3, "10:30")
    assert fda.done(run, "11:20", onto=tuna) == tuna
    fda.temp("place", "walk-in", 3, "11:25")
    fda.move(tuna, "bench", "11:40")
    assert fda.ends(tuna) == fda.at("14:30")


def test_food_that_was_past_when_it_went_in_is_so_though_the_rest_froze_again(tmp_path):
    """The freezer was warm while the soup's last day ended; frozen again, its count stands still for the rest alone.
    FSANZ names no days that the stew would have from it all the same."""
    kitchen = new_kitchen(tmp_path / "fsanz", "fsanz")
    soup = kitchen.made("soup", "09:00", "10:00")
    kitchen.freeze(soup, "sat 10:00")
    kitchen.temp("place", "freezer", 4, "sun 20:00")
    run = making.start(kitchen.go("+mon 00:05").file, kitchen.who, "stew", Fraction(1), sure=True).run
    stew = kitchen.done(run, "+mon 01:00")
    assert not kitchen.asks(stew).may
    kitchen.temp("place", "freezer", -18, "+mon 01:10")
    kitchen.block(soup, "+mon 01:20")
    kitchen.unblock(soup, "+mon 01:30")  # What came of it is worked out again.
    assert not kitchen.asks(stew).may
    kitchen.file.close()


def test_a_label_put_right_hands_down_only_what_was_in_it_then(uk):
    """Stew took of the soup before cream with a maker's date was put onto it: that date is none of the stew's."""
    soup = uk.made("soup", "07:00")
    run = uk.start("stew", "07:05")
    uk.open("L3", "thu", "08:00")
    more = uk.start("soup", "08:05")
    uk.done(more, "09:00", onto=soup)
    correct(uk.go("09:30").file, uk.who, soup, Right(first_day=MONDAY), "day 1 written wrongly")
    stew = uk.done(run, "10:00")
    assert uk.asks(soup).why == "maker's date"
    assert (uk.asks(stew).why, uk.ends(stew)) == ("date mark", uk.at("sat 00:00"))
