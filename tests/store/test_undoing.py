"""Undo: a person's last change is taken back by a change of its own, unless others have built on it."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest

from prepboard.plan.given.state import Line
from prepboard.store.actions.food.making import done, lost, start, step
from prepboard.store.actions.food.places import freeze, thaw
from prepboard.store.actions.food.stock import count, discard, use
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.tonight import covers, mix, par, standing
from prepboard.store.actions.undoing import last, undo
from prepboard.store.file.who import Refused

LITRE = 1000 * 1_000_000
ML = 1_000_000
ONE = Fraction(1)
JUS = Line("lamb-jus", "dinner.2026-10-31", 0)


def shown(kitchen):
    """Everything a board is worked out from, but for the number of the version."""
    state = kitchen.state
    return state.batches, state.runs, state.tonight, state.standing, state.lines_run, {
        key: n for key, n in state.plated.items() if n
    }  # fmt: skip


@pytest.fixture
def busy(kitchen):
    """Stock and jus on hand, a jus under way, plates out, covers set; all by somebody else."""
    kitchen.once("busy", lambda: _keep_busy(kitchen))
    return kitchen


def _keep_busy(kitchen):
    done(kitchen.file, kitchen.lm, prep="brown-stock")
    done(kitchen.file, kitchen.lm, prep="lamb-jus")
    done(kitchen.file, kitchen.lm, prep="onion-crisp")
    start(kitchen.file, kitchen.lm, "lamb-jus", ONE)
    plate(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast", 5)
    covers(kitchen.file, kitchen.lm, kitchen.dinner, 70)
    standing(kitchen.file, kitchen.lm, "lamb-jus", LITRE)
    kitchen.later(minutes=10)


ACTIONS = {
    "start": lambda k: start(k.file, k.jp, "lamb-jus", ONE, JUS),
    "step": lambda k: step(k.file, k.jp, k.state.runs[0].code),
    "done of a run": lambda k: done(k.file, k.jp, run=k.state.runs[0].code),
    "done of a line": lambda k: done(k.file, k.jp, prep="lamb-jus", line=JUS),
    "lost": lambda k: lost(k.file, k.jp, k.state.runs[0].code, "burnt"),
    "lost in part": lambda k: lost(k.file, k.jp, k.state.runs[0].code, "spilt", 100 * ML),
    "count": lambda k: count(k.file, k.jp, "brown-stock", LITRE),
    "count more": lambda k: count(k.file, k.jp, "brown-stock", 9 * LITRE, made_at=k.clock.at),
    "use": lambda k: use(k.file, k.jp, "brown-stock", LITRE, "staff"),
    "discard": lambda k: discard(k.file, k.jp, "brown-stock", None, "spoiled"),
    "plate": lambda k: plate(k.file, k.jp, k.dinner, "lamb-toast", 3),
    "plate again": lambda k: plate(k.file, k.jp, k.dinner, "lamb-toast", again="dropped"),
    "plate taken back": lambda k: plate(k.file, k.jp, k.dinner, "lamb-toast", -2),
    "covers": lambda k: covers(k.file, k.jp, k.dinner, 90),
    "mix": lambda k: mix(k.file, k.jp, k.dinner, {"lamb-toast": Fraction(1, 5)}),
    "par": lambda k: par(k.file, k.jp, k.dinner, "lamb-jus", LITRE),
    "standing par": lambda k: standing(k.file, k.jp, "lamb-jus", None),
}


@pytest.mark.parametrize("name", ACTIONS)
def test_undo_puts_everything_back_as_it_was(busy, name):
    before = shown(busy)
    did = ACTIONS[name](busy)
    assert shown(busy) != before or name == "plate again"
    assert last(busy.file, busy.jp).text == f"{did.text} (14:10)"
    busy.later(minutes=1)
    assert undo(busy.file, busy.jp).text == f"undone: {did.text}"
    assert shown(busy) == before
    assert last(busy.file, busy.jp) is None


@pytest.mark.parametrize("name", ACTIONS)
def test_the_record_of_what_was_undone_stays(busy, name):
    ACTIONS[name](busy)
    logged, moved = (busy.select(f"SELECT * FROM {table} ORDER BY number") for table in ("log", "moves"))
    undo(busy.file, busy.jp)
    assert busy.select("SELECT * FROM log ORDER BY number")[: len(logged)] == logged
    assert busy.select("SELECT * FROM moves ORDER BY number")[: len(moved)] == moved
    assert [row["by"] for row in busy.log("undo")] == ["jp"]
    unequal = "SELECT code FROM batches WHERE left != (SELECT sum(amount) FROM moves WHERE batch = code)"
    assert busy.select(unequal) == []


@pytest.mark.parametrize("name", ACTIONS)
def test_after_undo_the_same_can_be_done_again(busy, name):
    ACTIONS[name](busy)
    after = shown(busy)
    undo(busy.file, busy.jp)
    ACTIONS[name](busy)
    again = shown(busy)
    assert again[2:] == after[2:]
    assert [batch.left for batch in again[0]] == [batch.left for batch in after[0]]


def test_a_batch_that_was_used_since_is_not_taken_back(kitchen):
    code = done(kitchen.file, kitchen.jp, prep="brown-stock").batches[0]
    kitchen.later(minutes=3)
    use(kitchen.file, kitchen.lm, code, LITRE, "staff")
    before = kitchen.size_of_tables()
    with pytest.raises(Refused, match=f"batch {code} has been used since, 14:03, lm"):
        undo(kitchen.file, kitchen.jp)
    assert kitchen.size_of_tables() == before
    assert kitchen.left("brown-stock") == 7 * LITRE


def test_a_run_that_went_on_since_is_not_taken_back(kitchen):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    step(kitchen.file, kitchen.lm, run)
    with pytest.raises(Refused, match=f"run {run} has gone on since, 14:00, lm"):
        undo(kitchen.file, kitchen.jp)


def test_covers_that_another_set_since_are_not_taken_back(kitchen):
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 80)
    covers(kitchen.file, kitchen.lm, kitchen.dinner, 90)
    with pytest.raises(Refused, match="changed since, 14:00, lm"):
        undo(kitchen.file, kitchen.jp)
    assert kitchen.state.tonight[kitchen.dinner].covers == 90


def test_a_plate_can_be_taken_back_while_others_plate_from_the_same_batch(busy):
    plate(busy.file, busy.jp, busy.dinner, "lamb-toast", 3)
    plate(busy.file, busy.lm, busy.dinner, "lamb-toast", 4)
    before = busy.left("lamb-jus")
    undo(busy.file, busy.jp)
    assert busy.left("lamb-jus") == before + 3 * 20 * ML
    assert busy.state.plated["dinner", busy.dinner[1], "lamb-toast"] == 9


def test_a_plate_is_not_taken_back_once_its_batch_was_counted(busy):
    """The count already says what is really there."""
    plate(busy.file, busy.jp, busy.dinner, "lamb-toast", 3)
    count(busy.file, busy.lm, "lamb-jus", 500 * ML)
    with pytest.raises(Refused, match="has been used since"):
        undo(busy.file, busy.jp)


def test_undo_reaches_back_one_by_one_and_only_ones_own(kitchen):
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 80)
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 81)
    undo(kitchen.file, kitchen.jp)
    assert kitchen.state.tonight[kitchen.dinner].covers == 80
    undo(kitchen.file, kitchen.jp)
    assert kitchen.state.tonight == {}
    with pytest.raises(Refused, match="changed nothing"):
        undo(kitchen.file, kitchen.jp)


def test_a_loaded_book_is_not_taken_back(kitchen):
    assert last(kitchen.file, kitchen.sous) is None
    with pytest.raises(Refused, match="cannot be undone"):
        undo(kitchen.file, kitchen.sous)


def test_an_undo_that_is_sent_twice_takes_back_one_change(kitchen):
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 80)
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 81)
    first = undo(kitchen.file, kitchen.jp, action="undo-1")
    assert undo(kitchen.file, kitchen.jp, action="undo-1") == first
    assert kitchen.state.tonight[kitchen.dinner].covers == 80


def test_undo_never_makes_food_good_again_that_is_past_its_use_by_since(kitchen, monkeypatch):
    """Thawed food lives for a day; once that is over, taking the thaw back would give it its frozen life again."""
    monkeypatch.setattr("prepboard.store.actions.undoing.SLIP", timedelta(days=30))
    code = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches[0]
    freeze(kitchen.file, kitchen.jp, code)
    kitchen.later(days=20)
    thaw(kitchen.file, kitchen.jp, code)
    use_by = kitchen.batch(code).use_by
    assert use_by is not None
    kitchen.clock.at = use_by + timedelta(minutes=1)
    with pytest.raises(Refused, match=f"batch {code} is past its use-by since; it can only be discarded"):
        undo(kitchen.file, kitchen.jp)
    assert kitchen.batch(code).use_by == use_by
