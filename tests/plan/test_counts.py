"""Counts: plates left, the limiting prep, and when it runs out."""

from __future__ import annotations

from datetime import date

from prepboard.plan.given.state import Tonight

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


def test_none_left_is_86_until_a_new_batch(kitchen):
    small = stocked(kitchen, jus="0.04 l")
    assert left(small, "2026-10-31 18:00")["lamb"].eighty_six
    small.on_hand("jus", "1 l")
    assert not left(small, "2026-10-31 18:00")["lamb"].eighty_six


def test_what_is_not_made_yet_is_no_86_before_the_service_begins(kitchen):
    small = stocked(kitchen, jus="0.04 l")
    lamb = left(small, "2026-10-31 17:59")["lamb"]
    assert (lamb.plates_left, lamb.not_yet, lamb.eighty_six) == (0, True, False)
    lamb = left(small, "2026-10-31 18:00")["lamb"]
    assert (lamb.not_yet, lamb.eighty_six) == (False, True)


def test_what_nothing_will_make_is_86_before_the_service_too(kitchen):
    """A sauce of 30 hours is not there tonight."""
    slow = BOOK.replace('makes = "2 l"', 'makes = "2 l"\nsteps = [{ do = "Reduce", wait = "30 h" }]')
    small = kitchen(slow)
    small.on_hand("meat", "6 kg")
    lamb = left(small)["lamb"]
    assert (lamb.not_yet, lamb.eighty_six) == (False, True)


def test_a_dish_taken_off_by_a_person_is_86(kitchen):
    small = stocked(kitchen)
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"lamb"}))
    assert left(small)["lamb"].eighty_six
    assert left(small)["lamb"].taken_off


def test_runs_out_when_expected_use_passes_what_is_left(kitchen, moment):
    """2500 ml of jus are expected over 4 h; 1500 ml are gone after three fifths of them, at 20:24."""
    assert left(stocked(kitchen))["lamb"].runs_out_at == moment("2026-10-31 20:24")


def test_what_lasts_does_not_run_out(kitchen):
    assert left(stocked(kitchen, jus="5 l"))["lamb"].runs_out_at == left(stocked(kitchen, "5 l"))["lamb"].runs_out_at
    small = stocked(kitchen, jus="5 l")
    small.on_hand("tart", "20 each")
    assert left(small)["tart"].runs_out_at is None


def test_what_has_gone_out_so_far_scales_what_is_still_expected(kitchen, moment):
    """At 20:00 half have come. 40 lamb and 10 tart went out where 20 and 10 were expected: from now 2 · 2000/2 ml
    for lamb and 250 ml for tart; 1500 ml last two thirds of the way to 22:00."""
    small = stocked(kitchen)
    small.more["plated"] = {("dinner", TODAY, "lamb"): 40, ("dinner", TODAY, "tart"): 10}
    small.batches[0].left = 10**13
    lamb = left(small, "2026-10-31 20:00")["lamb"]
    assert lamb.basis == "counted"
    assert abs((lamb.runs_out_at - moment("2026-10-31 21:20")).total_seconds()) < 1


def test_where_no_plates_are_counted_amounts_are_expected(kitchen):
    """At 20:00 half have come and nobody counted: 1250 of 1500 ml of jus are expected to be gone."""
    lamb = left(stocked(kitchen), "2026-10-31 20:00")["lamb"]
    assert lamb.basis == "expected"
    assert lamb.plates_left == 5


def test_past_and_blocked_batches_are_no_plates(kitchen):
    small = stocked(kitchen)
    for batch in small.batches:
        batch.blocked = "smells"
    assert all(line.eighty_six for line in left(small, "2026-10-31 18:00").values())


def test_what_ends_before_it_is_used_does_not_last(kitchen, moment):
    """500 ml end at 18:30, when 312.5 are gone: the other litre lasts 1 h 36 from there."""
    small = stocked(kitchen, jus="1 l")
    small.on_hand("jus", "0.5 l", "2026-10-31 18:30")
    assert left(small)["lamb"].runs_out_at == moment("2026-10-31 20:06")
    small.batches.pop(1)
    assert left(small)["lamb"].runs_out_at == moment("2026-10-31 18:30"), "as it ends, not when it would be used up"


def test_the_prep_that_ends_first_need_not_be_the_one_with_the_fewest_plates(kitchen):
    """Of meat there are 30 plates and of jus 32: but the jus goes to the tart as well, and is gone first."""
    small = stocked(kitchen, jus="1.6 l")
    small.batches[0].left = small.amount("meat", "4.5 kg")
    lamb = left(small)["lamb"]
    assert (lamb.limiting, lamb.plates_left, lamb.ends_first) == ("meat", 30, "jus")


def test_a_dish_that_will_not_last_is_low_while_the_service_runs(kitchen):
    small = stocked(kitchen)
    assert not left(small, "2026-10-31 17:00")["lamb"].low
    small.more["plated"] = {("dinner", TODAY, "lamb"): 1}
    dishes = left(small, "2026-10-31 18:10")
    assert (dishes["lamb"].low, dishes["lamb"].eighty_six) == (True, False)
    assert left(stocked(kitchen, jus="5 l"), "2026-10-31 18:10")["lamb"].low is False


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
    """6.2 kg of meat, 3 of 6 expected to be gone by 20:00; counted plates are believed instead."""
    small = stocked(kitchen)
    assert small.par("meat", "2026-10-31 20:00").on_hand == small.amount("meat", "3.2 kg")
    assert small.par("meat", "2026-10-31 17:00").on_hand == small.amount("meat", "6.2 kg")
    small.more["plated"] = {("dinner", TODAY, "tart"): 1}
    assert small.par("meat", "2026-10-31 20:00").on_hand == small.amount("meat", "6.2 kg")


def test_a_smaller_portion_makes_more_plates_from_now_on(kitchen):
    small = stocked(kitchen)
    small.more["portions"] = {(TODAY, "lamb", "jus"): small.amount("jus", "30 ml")}
    assert left(small)["lamb"].plates_left == 41
    small.more["portions"] = {(date(2026, 10, 30), "lamb", "jus"): small.amount("jus", "30 ml")}
    assert left(small)["lamb"].plates_left == 30, "yesterday's portion is yesterday's"
