"""Holding back, keeping, keeping for a service, correcting."""

from __future__ import annotations

from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from prepboard.plan.board import plan
from prepboard.store.actions.food.holding import Right, block, correct, keep, keep_for, unblock
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.places import split
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import use
from prepboard.store.actions.night.service import plate
from prepboard.store.file.who import Refused

LITRE = 1000 * 1_000_000


@pytest.fixture
def jus(kitchen):
    (code,) = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches
    return code


def left_of(kitchen, dish):
    return next(line.plates_left for line in plan(kitchen.state, kitchen.clock.at).left if line.dish == dish)


def test_a_batch_that_is_held_back_is_nobodys_until_it_is_let_go(kitchen, jus):
    done(kitchen.file, kitchen.jp, prep="braised-lamb")
    before = left_of(kitchen, "pressed-lamb")
    assert before > 0
    did = block(kitchen.file, kitchen.jp, jus, "smells")
    assert did.text == f"Lamb jus {jus} is held back; nothing counts it or takes it"
    assert left_of(kitchen, "pressed-lamb") == 0
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, jus, LITRE // 10, "staff")
    with pytest.raises(Refused, match=r"Lamb jus .* may not be used \(smells\)"):
        plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    assert kitchen.batch(jus).left == 1200 * 1_000_000
    unblock(kitchen.file, kitchen.sous, jus, "tasted, it is fine")
    assert left_of(kitchen, "pressed-lamb") == before
    assert [row["why"] for row in kitchen.log("unblocked")] == ["tasted, it is fine"]


def test_a_place_holds_back_all_that_stands_there(kitchen, jus):
    assert block(kitchen.file, kitchen.jp, "walk-in", "8 °C").text == "Walk-in is held back, and all that stands there"
    assert kitchen.batch(jus).blocked == "8 °C"
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, jus, LITRE // 10, "staff")
    with pytest.raises(Refused, match="held back with Walk-in: 8 °C"):
        unblock(kitchen.file, kitchen.sous, jus, "fine")
    unblock(kitchen.file, kitchen.sous, "walk-in", "door was open, food at 3 °C")
    assert kitchen.batch(jus).blocked == ""


def test_only_a_sous_chef_lets_go_keeps_and_corrects(staffed):
    (code,) = done(staffed.file, staffed.jp, prep="lamb-jus").batches
    block(staffed.file, staffed.jp, code, "smells")
    for action in (unblock, keep):
        with pytest.raises(Refused, match="only a sous chef"):
            action(staffed.file, staffed.jp, code, "why not")
    with pytest.raises(Refused, match="only a sous chef"):
        correct(staffed.file, staffed.jp, code, Right(lot="7"), "misread")


def test_what_missed_a_limit_is_not_let_go_by_a_word_nor_by_dividing_it(kitchen, jus):
    """FDA Food Code 2022, 3-501.14(A)(1): 21 °C within 2 hours. A part is the same food."""
    read(kitchen.file, kitchen.jp, "batch", jus, Fraction(60), "C")
    kitchen.later(hours=3)
    read(kitchen.file, kitchen.jp, "batch", jus, Fraction(40), "C")
    (part,) = split(kitchen.file, kitchen.jp, jus, [LITRE // 2]).batches
    (half,) = split(kitchen.file, kitchen.jp, part, [LITRE // 4]).batches
    for code in (jus, part, half):
        with pytest.raises(Refused, match=r"missed a limit: .* record the corrective action"):
            unblock(kitchen.file, kitchen.sous, code, "fine")
        with pytest.raises(Refused, match="nothing good"):
            use(kitchen.file, kitchen.jp, code, LITRE // 10, "staff")
    discards = plan(kitchen.state, kitchen.clock.at).closing.discard
    assert {line.batch.code for line in discards} == {jus, part, half}


def test_a_batch_that_is_kept_carries_over(kitchen):
    """The liquor of the braise: nothing ahead needs it."""
    codes = done(kitchen.file, kitchen.jp, prep="braised-lamb").batches
    liquor = codes[1]
    closing = plan(kitchen.state, kitchen.clock.at).closing
    assert liquor in [line.batch.code for line in closing.decide]
    keep(kitchen.file, kitchen.sous, liquor, "for Monday's stew")
    closing = plan(kitchen.state, kitchen.clock.at).closing
    assert liquor in [line.batch.code for line in closing.carry_over]
    assert liquor not in [line.batch.code for line in closing.decide]


def test_what_is_kept_for_a_service_is_for_it_alone(kitchen, jus):
    sunday = ("dinner", date(2026, 11, 1))
    keep_for(kitchen.file, kitchen.jp, jus, sunday)
    assert kitchen.batch(jus).set_aside == "dinner.2026-11-01"
    board = plan(kitchen.state, kitchen.clock.at)
    hand = {(par.prep, par.day): par.on_hand for par in board.pars}
    assert hand["lamb-jus", date(2026, 10, 31)] == 0
    assert hand["lamb-jus", date(2026, 11, 1)] == 1200 * 1_000_000
    keep_for(kitchen.file, kitchen.jp, jus, None)
    assert kitchen.batch(jus).set_aside == ""


def test_a_wrong_label_is_put_right_and_the_record_keeps_both(kitchen, jus):
    """Made two days before what the label said: two days less."""
    made = datetime(2026, 10, 29, 15, 0, tzinfo=UTC)
    did = correct(kitchen.file, kitchen.sous, jus, Right(made_at=made), "the label was yesterday's")
    assert did.text == f"Lamb jus {jus} was put right: good to Mon"
    batch = kitchen.batch(jus)
    assert (batch.made_at, batch.use_by) == (made, datetime(2026, 11, 3, tzinfo=UTC))
    (line,) = kitchen.log("label corrected")
    assert line["before"] == "day 1 2026-10-31, made 14:00, good to Wed"
    assert line["after"] == "day 1 2026-10-29, made Thu 15:00, good to Mon"
    assert line["why"] == "the label was yesterday's"
    with pytest.raises(Refused, match="still to come"):
        correct(kitchen.file, kitchen.sous, jus, Right(made_at=datetime(2026, 11, 9, tzinfo=UTC)), "x")
    with pytest.raises(Refused, match="day 1 is not after"):
        correct(kitchen.file, kitchen.sous, jus, Right(first_day=date(2026, 10, 30)), "x")


def test_each_wants_a_reason(kitchen, jus):
    for action in (block, unblock, keep):
        with pytest.raises(Refused, match="say why"):
            action(kitchen.file, kitchen.sous, jus, " ")
