"""What the screen showed goes with every press: where it moved meanwhile nothing is done, and who moved it is said."""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.plan.given.state import Line
from prepboard.store.actions.food.making import done, lost, start, step
from prepboard.store.actions.food.several import Ended, done_together
from prepboard.store.actions.food.stock import count, discard, use
from prepboard.store.actions.handover import note
from prepboard.store.actions.night.tonight import covers
from prepboard.store.actions.undoing import last, undo
from prepboard.store.file.who import Refused, Who
from prepboard.store.food.ending import How
from prepboard.store.food.running import Shown

LITRE = 1000 * 1_000_000
JUS = Line("lamb-jus", "dinner.2026-10-31", 0)


@pytest.fixture
def jus(kitchen):
    """A jus under way, begun by LM, and how far it is on both cooks' screens."""
    start(kitchen.file, kitchen.lm, "lamb-jus", Fraction(1), JUS)
    kitchen.later(minutes=5)
    return kitchen


def shown_of(kitchen) -> tuple[str, Shown]:
    (run,) = kitchen.state.runs
    return run.code, Shown(run.step, dict(run.outputs))


def test_two_presses_of_one_step_are_one_step(jus):
    code, seen = shown_of(jus)
    step(jus.file, jus.lm, code, shown=seen)
    with pytest.raises(Refused, match=r"14:05, lm: .*nothing was changed"):
        step(jus.file, jus.jp, code, shown=seen)
    assert len(jus.log("step")) == 1


ENDS = {
    "done": lambda file, who, code, seen: done(file, who, run=code, shown=seen),
    "lost": lambda file, who, code, seen: lost(file, who, code, "burnt", shown=seen),
    "several": lambda file, who, code, seen: done_together(file, who, [Ended(run=code, shown=seen)]),
}


@pytest.mark.parametrize("did", ENDS)
def test_a_run_that_went_on_is_not_ended_by_whoever_has_not_seen_it(jus, did):
    """A part was ready meanwhile: "as planned" would count that part twice."""
    code, seen = shown_of(jus)
    done(jus.file, jus.lm, run=code, outputs={"lamb-jus": LITRE // 10}, how=How(more=True))
    before = jus.size_of_tables()
    with pytest.raises(Refused, match="lm"):
        ENDS[did](jus.file, jus.jp, code, seen)
    assert jus.size_of_tables() == before


def test_what_is_known_of_a_batch_is_taken_as_shown_or_not_at_all(kitchen):
    done(kitchen.file, kitchen.lm, prep="brown-stock")
    there = kitchen.left("brown-stock")
    use(kitchen.file, kitchen.lm, "brown-stock", LITRE, "staff")
    with pytest.raises(Refused, match=r"by now; nothing was changed, look again \(14:00, lm: "):
        count(kitchen.file, kitchen.jp, "brown-stock", there, shown=there)
    assert kitchen.left("brown-stock") == there - LITRE
    # What somebody counted is so, whatever went meanwhile.
    count(kitchen.file, kitchen.jp, "brown-stock", LITRE)
    assert kitchen.left("brown-stock") == LITRE


def test_more_than_was_shown_is_not_thrown_away(kitchen):
    done(kitchen.file, kitchen.lm, prep="brown-stock")
    there = kitchen.left("brown-stock")
    done(kitchen.file, kitchen.lm, prep="brown-stock")
    with pytest.raises(Refused, match="by now"):
        discard(kitchen.file, kitchen.jp, "brown-stock", None, "spoiled", shown=there)
    assert kitchen.left("brown-stock") == 2 * there


def test_undo_takes_back_the_change_that_was_shown_and_no_other(kitchen):
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 80)
    asked = last(kitchen.file, kitchen.jp)
    note(kitchen.file, kitchen.jp, "the walk-in is warm")
    with pytest.raises(Refused, match="your last change is another one by now"):
        undo(kitchen.file, kitchen.jp, asked.action)
    assert kitchen.state.tonight[kitchen.dinner].covers == 80
    assert len(kitchen.state.notes) == 1


def test_of_many_undos_of_one_change_one_takes_it_back(kitchen):
    for n in (80, 81, 82):
        covers(kitchen.file, kitchen.jp, kitchen.dinner, n)
    asked = last(kitchen.file, kitchen.jp)
    undo(kitchen.file, kitchen.jp, asked.action)
    for _again in range(5):
        with pytest.raises(Refused, match="undone already: 14:00, jp"):
            undo(kitchen.file, kitchen.jp, asked.action)
    assert kitchen.state.tonight[kitchen.dinner].covers == 81


def test_those_without_initials_do_not_take_back_each_others_changes(kitchen):
    covers(kitchen.file, Who("", "sauce"), kitchen.dinner, 80)
    assert last(kitchen.file, Who("", "roast")) is None
    assert last(kitchen.file, Who("", "sauce")) is not None


def test_initials_are_the_same_in_large_and_small_letters(kitchen):
    covers(kitchen.file, Who("jp", "sauce"), kitchen.dinner, 80)
    undo(kitchen.file, Who("JP", "roast"), last(kitchen.file, Who("JP", "roast")).action)
    assert kitchen.state.tonight == {}


def test_the_log_says_which_line_was_taken_back(kitchen):
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 80)
    (line,) = kitchen.select("SELECT number FROM log WHERE did = 'covers'")
    undo(kitchen.file, kitchen.jp)
    assert kitchen.log("undo")[0]["after"] == f"line {line[0]}"
