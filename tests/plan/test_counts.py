"""Counts: plates left, the limiting prep, and when it runs out."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from conftest import at
from lately import stats

from prepboard.boards.rows.line_page import detail
from prepboard.book.days import Days
from prepboard.paper.sentences.left import left_words
from prepboard.paper.text.saying import Voice
from prepboard.plan.demand.expected import asked_of
from prepboard.plan.demand.occasions import end_of
from prepboard.plan.given.state import Tonight
from prepboard.plan.service.counts import serving
from prepboard.plan.service.expecting import Evening
from prepboard.plan.service.lasts import Piece, Taker, lasts

TODAY = date(2026, 10, 31)

BOOK = """
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 100

[dishes.lamb]
name = "Lamb"
services = ["dinner"]
course = "main"
share = 0.4
plate = { meat = "150 g", jus = "50 ml", salt = "1 g" }

[dishes.tart]
name = "Tart"
services = ["dinner"]
course = "main"
share = 0.2
plate = { tart = "1 each", jus = "25 ml" }

[goods.salt]
name = "Salt"
unit = "kg"

[preps.meat]
name = "Meat"
keeps = "3 days"
makes = "3 kg"

[preps.jus]
name = "Jus"
keeps = "3 days"
makes = "2 l"

[preps.tart]
name = "Tart"
keeps = "1 day"
makes = "10 each"
"""


@pytest.fixture
def kitchen(kitchen):
    """Kitchens whose mix strays by a tenth from night to night."""
    return lambda text: kitchen(text, "spread = 0.1\n")


def stocked(kitchen, jus: str = "1.5 l"):
    small = kitchen(BOOK)
    small.on_hand("meat", "6.2 kg")
    small.on_hand("jus", jus)
    small.on_hand("tart", "12 each")
    return small


def left(small, now: str = "2026-10-31 15:00"):
    return {line.dish: line for line in small.plan(now).left}


def test_plates_left_is_what_the_scarcest_prep_gives_and_goods_do_not_limit(kitchen):
    lamb = left(stocked(kitchen))["lamb"]
    assert (lamb.plates_left, lamb.limiting, lamb.eighty_six) == (30, "jus", False)


def test_left_in_the_expected_mix_shares_what_dishes_have_in_common(kitchen):
    """40 lamb and 20 tart take 2000 + 500 ml of jus: of 1500 ml four fifths are the lamb's."""
    assert left(stocked(kitchen))["lamb"].in_mix == 24


def test_what_is_there_and_ends_before_the_service_is_named_and_is_no_plate(kitchen):
    """12 tarts are there at 15:00; they end at 17:00, an hour before the first guest."""
    small = kitchen(BOOK)
    small.on_hand("tart", "12 each", "2026-10-31 17:00")
    small.on_hand("tart", "3 each")
    board = small.plan("2026-10-31 15:00")
    tart = next(line for line in board.left if line.dish == "tart")
    part = next(part for part in tart.preps if part.prep == "tart")
    assert (part.on_hand, part.ends_before) == (3_000_000, 12_000_000)
    _title, blocks = detail(board, tart)
    assert any("3, 1 on a plate, 12 more is there and ends before" in line for _head, lines in blocks for line in lines)
    small.batches[0].blocked = "smells"
    (part,) = (part for part in left(small)["tart"].preps if part.prep == "tart")
    assert part.ends_before == 0, "that is held back"


def counted(small, last: str, **plates: int):
    """So many plates of each dish went out, the last of each at a moment."""
    small.more["plated"] = {("dinner", TODAY, dish): n for dish, n in plates.items()}
    small.more["plated_at"] = {("dinner", TODAY, dish): at(last) for dish, n in plates.items() if n}


def evening_of(small, now: str):
    (dinner,) = serving(small.state, at(now))
    return Evening(small.state, at(now), dinner, asked_of(small.state, at(now), dinner))


# --- 86 is a fact ----------------------------------------------------------------------------------------


def test_a_count_that_came_to_nothing_is_86_until_more_is_there(kitchen):
    small = kitchen(BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "30 h" }]'))
    small.on_hand("meat", "6.2 kg")
    small.on_hand("jus", "0.04 l")
    counted(small, "2026-10-31 21:40", lamb=30)
    lamb = left(small, "2026-10-31 21:45")["lamb"]
    assert (lamb.eighty_six, lamb.limiting, [lack.why for lack in lamb.lacks]) == (True, "jus", ["counted"])
    small.on_hand("jus", "1 l")
    assert not left(small, "2026-10-31 21:45")["lamb"].eighty_six


def test_with_more_coming_it_is_none_until_then_and_no_86(kitchen, moment):
    slow = BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "40 min" }]')
    small = kitchen(slow)
    small.on_hand("meat", "6 kg")
    counted(small, "2026-10-31 20:00", lamb=20)
    small.under_way("jus", started="2026-10-31 20:01")
    lamb = left(small, "2026-10-31 20:05")["lamb"]
    assert (lamb.plates_left, lamb.eighty_six, lamb.low) == (0, False, True)
    assert (lamb.lacks[0].prep, lamb.lacks[0].until) == ("jus", moment("2026-10-31 20:41"))


def test_nothing_by_expectation_asks_for_a_count_and_is_no_86(kitchen, moment):
    """12 tarts for 20 guests, and nobody counts: 12.0 are expected to have gone by 20:24."""
    small = stocked(kitchen, jus="9 l")
    tart = left(small, "2026-10-31 20:40")["tart"]
    assert (tart.plates_left, tart.eighty_six, tart.low) == (0, False, True)
    assert tart.lacks[0].why == "expected"
    assert abs(tart.runs_out_at - moment("2026-10-31 20:32")) <= timedelta(minutes=8), "before now: it should be out"


def test_what_nobody_counted_and_nothing_gives_is_not_known_and_no_86(kitchen):
    slow = BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "30 h" }]')
    small = kitchen(slow)
    small.on_hand("meat", "6 kg")
    lamb = left(small, "2026-10-31 18:10")["lamb"]
    assert (lamb.eighty_six, lamb.lacks[0].why) == (False, "unknown")
    small.more["counted_at"] = {"jus": at("2026-10-31 18:05")}
    assert left(small, "2026-10-31 18:10")["lamb"].eighty_six, "somebody looked: there is none"


def test_before_the_service_what_is_not_there_is_not_made_yet(kitchen):
    small = stocked(kitchen, jus="0.04 l")
    lamb = left(small, "2026-10-31 17:59")["lamb"]
    assert (lamb.plates_left, lamb.not_yet, lamb.eighty_six) == (0, True, False)


def test_before_the_service_what_nothing_will_make_is_said_and_no_86(kitchen):
    """A sauce of 30 hours is not there tonight."""
    slow = BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "30 h" }]')
    small = kitchen(slow)
    small.on_hand("meat", "6 kg")
    lamb = left(small)["lamb"]
    assert (lamb.not_yet, lamb.eighty_six, lamb.lacks[0].prep) == (False, False, "jus")


def test_a_dish_taken_off_by_a_person_is_86(kitchen):
    small = stocked(kitchen)
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"lamb"}))
    assert left(small)["lamb"].eighty_six
    assert left(small)["lamb"].taken_off


def test_the_prep_that_limits_is_the_one_that_nothing_gives(kitchen):
    """The jus is held back and the meat will be there at 20:00: what the dish lacks is jus."""
    slow = BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "30 h" }]')
    slow = slow.replace('makes = "3 kg"', 'makes = "3 kg"\nsteps = [{ do = "Roast", wait = "1 h" }]')
    small = kitchen(slow)
    small.on_hand("jus", "2 l", blocked="smells")
    small.under_way("meat", started="2026-10-31 19:00")
    lamb = left(small, "2026-10-31 19:10")["lamb"]
    assert (lamb.limiting, lamb.lacks[0].why, [lack.prep for lack in lamb.lacks]) == (
        "jus",
        "held back",
        ["jus", "meat"],
    )
    assert not lamb.eighty_six, "held back is not gone: a sous chef may let it go"


def test_food_that_ends_before_its_service_may_be_used_until_then(kitchen):
    """Nobody may say of food that is good tonight that it may not be used."""
    small = kitchen(BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "30 h" }]'))
    small.on_hand("jus", "2 l", "2026-10-31 17:00")
    small.on_hand("meat", "6 kg")
    lamb = left(small, "2026-10-31 10:00")["lamb"]
    assert [lack.why for lack in lamb.lacks] == ["ends before"]
    assert left_words(lamb, Voice(small.book, small.plan("2026-10-31 10:00").now)) == "none: jus ends before it"


def test_what_is_past_its_use_by_or_held_back_is_no_plate(kitchen):
    small = stocked(kitchen)
    for batch in small.batches:
        batch.blocked = "smells"
    assert all(line.plates_left == 0 for line in left(small, "2026-10-31 18:00").values())


# --- until when it lasts ---------------------------------------------------------------------------------


def test_runs_out_about_when_expected_use_passes_what_is_left(kitchen, moment):
    """2500 ml of jus are expected over 4 h; 1500 ml are gone after three fifths of them, at 20:24, and the median of
    that many portions lies close by."""
    lamb = left(stocked(kitchen))["lamb"]
    assert abs(lamb.runs_out_at - moment("2026-10-31 20:24")) <= timedelta(minutes=4)
    assert lamb.chance_out > 0.99


def test_what_likely_lasts_does_not_run_out_and_its_chance_is_said(kitchen):
    """20 tarts are expected of 24: short in one evening of five or so."""
    small = kitchen(BOOK)
    small.on_hand("meat", "9 kg")
    small.on_hand("jus", "9 l")
    small.on_hand("tart", "24 each")
    tart = left(small)["tart"]
    assert tart.runs_out_at is None
    assert 0.1 < tart.chance_out < 0.25


def test_the_chance_is_the_negative_binomials(kitchen):
    """20 tarts expected, a mix that strays by a tenth: shape 100 and mean 20; scipy's own distribution says how often
    more than 24 are asked for."""
    small = kitchen(BOOK)
    small.on_hand("meat", "9 kg")
    small.on_hand("jus", "9 l")
    small.on_hand("tart", "24 each")
    assert left(small)["tart"].chance_out == pytest.approx(stats.nbinom.sf(24, 100, 100 / 120), abs=1e-9)


def test_what_has_gone_out_so_far_scales_what_is_still_expected_as_far_as_it_may_be_believed(kitchen):
    """At 20:00 half have come, and 30 lamb went out where 20 were expected: (30 + 100)/(20 + 100) of 20 are still to
    come, 21.67, with a shape of 130."""
    small = kitchen(BOOK)
    small.on_hand("meat", "3.3 kg")
    small.on_hand("jus", "90 l")
    small.on_hand("tart", "90 each")
    counted(small, "2026-10-31 20:00", lamb=30, tart=10)
    lamb = left(small, "2026-10-31 20:00")["lamb"]
    mean, shape = 20 * 130 / 120, 130
    assert lamb.plates_left == 22
    assert lamb.chance_out == pytest.approx(stats.nbinom.sf(22, shape, shape / (shape + mean)), abs=1e-6)


def test_one_early_plate_does_not_move_the_night(kitchen):
    small = stocked(kitchen, jus="9 l")
    before = left(small, "2026-10-31 18:10")["lamb"].chance_out
    counted(small, "2026-10-31 18:10", lamb=3)
    assert abs(left(small, "2026-10-31 18:10")["lamb"].chance_out - before) < 0.12


def test_what_ends_before_it_is_used_does_not_last(kitchen, moment):
    """500 ml end at 18:30, when 312.5 are gone: the other litre lasts 1 h 36 from there."""
    small = stocked(kitchen, jus="1 l")
    small.on_hand("jus", "0.5 l", "2026-10-31 18:30")
    assert abs(left(small)["lamb"].runs_out_at - moment("2026-10-31 20:06")) <= timedelta(minutes=4)
    small.batches.pop(1)
    runs_out = left(small)["lamb"].runs_out_at
    assert timedelta(0) <= runs_out - moment("2026-10-31 18:30") <= timedelta(minutes=8), "soon after it ends"


def test_what_is_under_way_counts_from_when_it_is_there(kitchen, moment):
    """1.5 l of jus last to about 20:24; two litres more at 19:40 last to the end."""
    slow = BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "2 h" }]')
    small = kitchen(slow)
    small.on_hand("meat", "9 kg")
    small.on_hand("tart", "90 each")
    small.on_hand("jus", "1.5 l")
    small.under_way("jus", started="2026-10-31 17:40")
    lamb = left(small, "2026-10-31 18:00")["lamb"]
    assert lamb.runs_out_at is None
    jus = next(part for part in lamb.preps if part.prep == "jus")
    assert jus.coming == ((moment("2026-10-31 19:40"), small.amount("jus", "2 l")),)
    small.runs[0].started = small.runs[0].step_began = at("2026-10-31 19:00")
    lamb = left(small, "2026-10-31 19:00")["lamb"]
    assert abs(lamb.runs_out_at - moment("2026-10-31 20:24")) <= timedelta(minutes=4), "it comes at 21:00, too late"


def test_the_prep_that_ends_first_need_not_be_the_one_with_the_fewest_plates(kitchen):
    """Of meat there are 30 plates and of jus 32: but the jus goes to the tart as well, and is gone first."""
    small = stocked(kitchen, jus="1.6 l")
    small.batches[0].left = small.amount("meat", "4.5 kg")
    lamb = left(small)["lamb"]
    assert (lamb.limiting, lamb.plates_left, lamb.ends_first) == ("meat", 30, "jus")


def test_a_dish_that_will_not_last_is_low_while_the_service_runs(kitchen):
    small = stocked(kitchen)
    assert not left(small, "2026-10-31 17:00")["lamb"].low
    counted(small, "2026-10-31 18:08", lamb=1)
    dishes = left(small, "2026-10-31 18:10")
    assert (dishes["lamb"].low, dishes["lamb"].eighty_six) == (True, False)
    assert left(stocked(kitchen, jus="5 l"), "2026-10-31 18:10")["lamb"].low is False


# --- between counts the expectation runs on --------------------------------------------------------------


def test_where_no_plates_are_counted_amounts_are_expected(kitchen):
    """At 20:00 half have come and nobody counted: 20 lamb and 10 tart, 1250 of 1500 ml of jus, are expected gone."""
    lamb = left(stocked(kitchen), "2026-10-31 20:00")["lamb"]
    assert lamb.basis == "expected"
    assert lamb.plates_left == 5


def test_one_counted_dish_does_not_make_the_others_believed(kitchen, moment):
    """At 20:00 one tart of 30 plates was counted: that is no counted evening. Of the lamb 20 are still expected gone;
    of the tart what was counted to 18:40, and what is expected since."""
    small = stocked(kitchen, jus="9 l")
    counted(small, "2026-10-31 18:40", tart=1)
    dishes = left(small, "2026-10-31 20:00")
    assert (dishes["lamb"].basis, dishes["lamb"].preps[0].on_hand) == ("expected", small.amount("meat", "3.2 kg"))
    assert (dishes["tart"].basis, dishes["tart"].counted_to) == ("counted", moment("2026-10-31 18:40"))
    assert dishes["tart"].plates_left == 12 - round(20 * (80 / 240) * (1 + 100) / (20 * 40 / 240 + 100))


def test_on_a_counted_evening_the_last_plate_of_any_dish_counts_for_all(kitchen, moment):
    """28 of 30 plates are counted by 20:00, the last lamb at 19:59, the last tart at 18:40: nobody has forgotten the
    tart, nobody wanted one."""
    small = stocked(kitchen, jus="9 l")
    counted(small, "2026-10-31 19:59", lamb=24, tart=4)
    small.more["plated_at"]["dinner", TODAY, "tart"] = moment("2026-10-31 18:40")
    tart = left(small, "2026-10-31 20:00")["tart"]
    assert (tart.basis, tart.plates_left, tart.counted_to) == ("counted", 12, None)


def test_after_an_hour_without_a_plate_what_guests_had_since_is_taken_off_and_said(kitchen, moment):
    """30 plates to 19:00, then none: by 20:00 a quarter of 40 lamb more, at a pace of (20 + 100)/(10 + 100)."""
    small = stocked(kitchen, jus="9 l")
    counted(small, "2026-10-31 19:00", lamb=20, tart=10)
    lamb = left(small, "2026-10-31 20:00")["lamb"]
    assert lamb.counted_to == moment("2026-10-31 19:00")
    assert lamb.plates_left == 41 - round(10 * 120 / 110)


def test_what_others_of_the_day_still_take_is_taken_off(kitchen):
    """33 plates of meat, of which 10 are expected to be gone, and the wedding at 20:00 takes 20: 3 are left, and 20
    more are the wedding's."""
    wedding = (
        BOOK.replace('services = ["dinner"]', 'services = ["dinner", "wedding"]')
        + """
[services.wedding]
on = "2026-10-31"
starts = "20:00"
ends = "21:00"
covers = 20
counts = { lamb = 20 }
"""
    )
    small = kitchen(wedding.replace('makes = "3 kg"', 'makes = "3 kg"\nsteps = [{ do = "Braise", wait = "9 h" }]'))
    small.on_hand("meat", "4.95 kg")
    small.on_hand("jus", "9 l")
    lamb = left(small, "2026-10-31 19:00")["lamb"]
    assert (lamb.plates_left, lamb.others, lamb.limiting) == (3, (("wedding", 20),), "meat")
    small.under_way("meat", started="2026-10-31 10:30")
    lamb = left(small, "2026-10-31 19:00")["lamb"]
    assert (lamb.plates_left, lamb.others) == (23, ()), "3 kg more come at 19:30, and that is the wedding's"


# --- guests of a dish that is off ------------------------------------------------------------------------


def test_the_guests_of_a_dish_that_is_86_choose_among_the_others_of_its_course(kitchen):
    """From 20:00 on the lamb is off. 50 guests come after that, of whom 20 would have had it: all take the tart."""
    small = stocked(kitchen, jus="9 l")
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"lamb"}), off_since={"lamb": at("2026-10-31 20:00")})
    evening = evening_of(small, "2026-10-31 20:00")
    start, eight, end = (at(f"2026-10-31 {clock}") for clock in ("18:00", "20:00", "22:00"))
    assert evening.portions("tart", start, eight) == pytest.approx(10)
    assert evening.portions("tart", eight, end) == pytest.approx(30)
    assert evening.portions("lamb", start, end) == pytest.approx(20)


def test_what_was_off_for_a_while_is_left_out_of_the_pace(kitchen):
    """Off from 19:00 to 20:00: by 20:00 10 lamb were to be expected, not 20."""
    small = stocked(kitchen, jus="9 l")
    span = ("lamb", at("2026-10-31 19:00"), at("2026-10-31 20:00"))
    small.tonight["dinner", TODAY] = Tonight(was_off=(span,))
    evening = evening_of(small, "2026-10-31 20:00")
    assert evening.portions("lamb", at("2026-10-31 18:00"), at("2026-10-31 20:00")) == pytest.approx(10)


# --- counts of preps -------------------------------------------------------------------------------------


def test_what_somebody_counted_is_expected_to_go_from_then_on(kitchen, moment):
    """1.5 l of jus were counted at 19:00; by 20:00 a quarter of 2500 ml is expected to be gone since."""
    small = stocked(kitchen)
    small.more["counted_at"] = {"jus": moment("2026-10-31 19:00")}
    jus = {part.prep: part.on_hand for part in left(small, "2026-10-31 20:00")["lamb"].preps}
    assert jus["jus"] == small.amount("jus", "875 ml")
    assert jus["meat"] == small.amount("meat", "3.2 kg"), "half of 6 kg is expected to be gone since the start"


def test_a_batch_made_while_nobody_counts_has_lost_only_what_went_since(kitchen, moment):
    """By 19:00 625 of 1000 ml are expected to be gone. Of two litres made then, only the quarter that 20:00 adds to
    what the first batch cannot give: 375 are left of it, and 625 go by 20:00."""
    small = stocked(kitchen, jus="1 l")
    small.on_hand("jus", "2 l", made_at=moment("2026-10-31 19:00"))
    jus = {part.prep: part.on_hand for part in left(small, "2026-10-31 20:00")["lamb"].preps}["jus"]
    assert jus == small.amount("jus", "1.75 l")
    small.batches[1].left = small.amount("jus", "500 ml")
    jus = {part.prep: part.on_hand for part in left(small, "2026-10-31 20:00")["lamb"].preps}["jus"]
    assert jus == small.amount("jus", "1.375 l"), "what was short before 19:00 is not taken from what came at 19:00"


def test_where_nobody_counts_the_plan_expects_what_is_gone_to_be_gone(kitchen):
    """6.2 kg of meat, 3 of 6 expected to be gone by 20:00; on a counted evening the count is believed instead."""
    small = stocked(kitchen)
    assert small.par("meat", "2026-10-31 20:00").on_hand == small.amount("meat", "3.2 kg")
    assert small.par("meat", "2026-10-31 17:00").on_hand == small.amount("meat", "6.2 kg")
    counted(small, "2026-10-31 20:00", tart=26)
    assert small.par("meat", "2026-10-31 20:00").on_hand == small.amount("meat", "6.2 kg")


def test_a_smaller_portion_makes_more_plates_from_now_on(kitchen):
    small = stocked(kitchen)
    small.more["portions"] = {(TODAY, "lamb", "jus"): small.amount("jus", "30 ml")}
    assert left(small)["lamb"].plates_left == 41
    small.more["portions"] = {(date(2026, 10, 30), "lamb", "jus"): small.amount("jus", "30 ml")}
    assert left(small)["lamb"].plates_left == 30, "yesterday's portion is yesterday's"


def test_what_a_sitting_asks_of_a_dish_is_worked_out_once_for_all_that_is_on_its_plate(kitchen, monkeypatch):
    """With a dish off, whose guests choose among the others: a board counts plates anew for each one that goes out."""
    small = stocked(kitchen)
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"tart"}), off_since={"tart": at("2026-10-31 19:00")})
    asked, worked_out = [], Evening._portions
    monkeypatch.setattr(Evening, "_portions", lambda its, *of: asked.append((id(its), *of)) or worked_out(its, *of))
    board = small.plan("2026-10-31 19:30")
    assert [line.dish for line in board.left] == ["lamb", "tart"]
    assert 0 < len(asked) == len(set(asked))


def test_what_is_asked_by_chance_until_a_moment_is_added_up_once():
    asked = []

    def plates(since: datetime, until: datetime) -> float:
        asked.append((since, until))
        return 4.0

    begin, end = at("2026-10-31 18:00"), at("2026-10-31 22:00")
    lasts("jus", [Piece(begin, 10**9, None)], [Taker(10**7, begin, plates, 5.0)], begin, end)
    assert asked.count((begin, end)) == 2, "for its shape, and until the end"


def test_when_a_sitting_ends_is_worked_out_once_a_day(kitchen, monkeypatch):
    book, day = kitchen(BOOK).book, date(2031, 3, 1)
    asked, in_day = [], Days.in_day
    monkeypatch.setattr(Days, "in_day", lambda its, *of: asked.append(of) or in_day(its, *of))
    ends = {end_of(book, book.services["dinner"], day) for _time in range(3)}
    assert ends == {at("2031-03-01 22:00")}
    assert len(asked) == 1
