"""Counts: plates left, the limiting prep, and when it runs out."""

from __future__ import annotations

from datetime import date

from prepboard.plan.state import Tonight

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
    assert left(small)["lamb"].eighty_six
    small.on_hand("jus", "1 l")
    assert not left(small)["lamb"].eighty_six


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
    assert all(line.eighty_six for line in left(small).values())
