"""Making: a run takes what it uses when it uses it, ends as batches, and belongs to one person."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from prepboard.book.amounts import Amount
from prepboard.plan.given.state import Line
from prepboard.store.actions.food.holding import block
from prepboard.store.actions.food.making import done, lost, made, start, step
from prepboard.store.actions.food.stock import count, discard
from prepboard.store.actions.loading import load_book
from prepboard.store.file.who import Refused, Unsure, Who

LITRE = KILO = 1000 * 1_000_000
EACH = 1_000_000
ONE, HALF = Fraction(1), Fraction(1, 2)
JUS = Line("lamb-jus", "dinner.2026-10-31", 0)


def make(kitchen, prep, litres=None, size=ONE, **more):
    """A run that nobody started, done now; answers its first batch's code."""
    outputs = None if litres is None else {prep: round(litres * LITRE)}
    return done(kitchen.file, kitchen.jp, prep=prep, size=size, outputs=outputs, **more).batches[0]


# What a run gives


def test_done_makes_a_batch_with_its_use_by_and_says_so(kitchen):
    did = done(kitchen.file, kitchen.jp, prep="lamb-jus")
    batch = kitchen.batch(did.batches[0])
    assert did.text == f"Lamb jus: 1.2 l, batch {batch.code}, good to Wed"
    assert (batch.left, batch.place, batch.store, batch.by) == (1200 * EACH, "walk-in", "chilled", "jp")
    assert batch.use_by == datetime(2026, 11, 5, tzinfo=UTC)  # day 1 is Saturday, day 5 Wednesday


def test_what_is_made_together_comes_in_proportion_unless_it_is_said(kitchen):
    done(kitchen.file, kitchen.jp, prep="braised-lamb", outputs={"braised-lamb": 2 * KILO})
    assert kitchen.left("braised-lamb") == 2 * KILO
    assert kitchen.left("braising-liquor") == pytest.approx(4 * LITRE * 2 / 3, abs=1)
    done(kitchen.file, kitchen.jp, prep="braised-lamb", size=HALF, outputs={"braising-liquor": LITRE})
    assert kitchen.left("braised-lamb") == 2 * KILO + 750 * EACH


def test_a_prep_that_only_comes_along_is_made_by_its_maker(kitchen):
    did = done(kitchen.file, kitchen.jp, prep="braising-liquor")
    assert {kitchen.batch(code).prep for code in did.batches} == {"braised-lamb", "braising-liquor"}


def test_more_than_three_times_the_plan_is_asked_for_once_more(kitchen):
    before = kitchen.size_of_tables()
    with pytest.raises(Unsure, match=r"12 l of Lamb jus is more than three times the 1.2 l"):
        make(kitchen, "lamb-jus", 12)
    assert kitchen.size_of_tables() == before
    assert kitchen.batch(make(kitchen, "lamb-jus", 12, sure=True)).left == 12 * LITRE
    assert kitchen.batch(make(kitchen, "lamb-jus", 3.6)).left == 3600 * EACH


def test_nothing_is_no_batch(kitchen):
    with pytest.raises(Refused, match="lost"):
        make(kitchen, "lamb-jus", 0)
    with pytest.raises(Refused, match="gives no Onion crisp"):
        done(kitchen.file, kitchen.jp, prep="lamb-jus", outputs={"onion-crisp": EACH})


def test_a_size_that_cannot_be_is_refused(kitchen):
    for size in (Fraction(0), Fraction(-1), Fraction(5000)):
        with pytest.raises(Refused):
            start(kitchen.file, kitchen.jp, "lamb-jus", size)


# When ingredients are taken


def test_a_run_takes_an_ingredient_when_the_step_that_names_it_begins(kitchen):
    make(kitchen, "brown-stock", 5)
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    assert kitchen.left("brown-stock") == 5 * LITRE
    kitchen.later(minutes=20)
    step(kitchen.file, kitchen.jp, run)
    assert kitchen.left("brown-stock") == 3 * LITRE
    assert kitchen.state.runs[0].taken == {"brown-stock", "shallot", "braising-liquor"}
    done(kitchen.file, kitchen.jp, run=run)
    assert kitchen.left("brown-stock") == 3 * LITRE


def test_what_no_step_names_is_taken_when_the_run_starts(kitchen):
    done(kitchen.file, kitchen.jp, prep="braised-lamb")
    run = start(kitchen.file, kitchen.jp, "lamb-jus", HALF).run
    assert kitchen.left("braising-liquor") == 3500 * EACH
    step(kitchen.file, kitchen.jp, run)
    done(kitchen.file, kitchen.jp, run=run)
    assert kitchen.left("braising-liquor") == 3500 * EACH


def test_a_recipe_without_steps_takes_nothing_at_its_start_and_gives_a_batch(kitchen):
    run = start(kitchen.file, kitchen.lm, "onion-crisp", ONE).run
    with pytest.raises(Refused, match="done is next"):
        step(kitchen.file, kitchen.lm, run)
    did = done(kitchen.file, kitchen.lm, run=run)
    assert kitchen.batch(did.batches[0]).left == 40 * EACH


def test_ingredients_come_off_the_batch_that_expires_first(kitchen):
    older = make(kitchen, "brown-stock", 1)
    kitchen.later(days=1)
    newer = make(kitchen, "brown-stock", 3)
    did = done(kitchen.file, kitchen.jp, prep="lamb-jus")
    assert [batch.code for batch in kitchen.batches("brown-stock")] == [newer]
    assert kitchen.batch(newer).left == 2 * LITRE
    used = kitchen.log("used")
    assert [(row["batch"], row["before"], row["after"]) for row in used] == [
        (older, "1 l", "0 ml"),
        (newer, "3 l", "2 l"),
    ]
    assert did.run in str(used[0]["why"])


def test_what_is_past_its_use_by_or_held_back_is_not_taken(kitchen):
    past = make(kitchen, "brown-stock", 3)
    kitchen.later(days=4)
    held, aside, fit = (make(kitchen, "brown-stock", 3) for _ in range(3))
    block(kitchen.file, kitchen.jp, held, "smells")
    with kitchen.file.writing() as db:
        db.execute("UPDATE batches SET set_aside = 'dinner.2026-11-09' WHERE code = ?", [aside])
    make(kitchen, "lamb-jus")
    assert {code: kitchen.batch(code).left for code in (past, held, aside, fit)} == {
        past: 3 * LITRE,
        held: 3 * LITRE,
        aside: 3 * LITRE,
        fit: LITRE,
    }


def test_food_is_good_up_to_its_use_by_and_not_at_it(kitchen):
    code = make(kitchen, "brown-stock", 8)
    use_by = kitchen.batch(code).use_by
    kitchen.clock.at = use_by - timedelta(seconds=1)
    make(kitchen, "lamb-jus")
    assert kitchen.batch(code).left == 6 * LITRE
    kitchen.clock.at = use_by
    with pytest.raises(Unsure, match=r"may not be used \(expired\)"):
        make(kitchen, "lamb-jus")
    assert kitchen.batch(code).left == 6 * LITRE


def test_what_is_frozen_waits_while_anything_is_thawed(kitchen):
    frozen = make(kitchen, "brown-stock", 3)
    kitchen.later(hours=1)
    thawed = make(kitchen, "brown-stock", 3)
    with kitchen.file.writing() as db:
        db.execute("UPDATE batches SET store = 'frozen', place = 'freezer' WHERE code = ?", [frozen])
    make(kitchen, "lamb-jus")
    assert (kitchen.batch(frozen).left, kitchen.batch(thawed).left) == (3 * LITRE, LITRE)
    make(kitchen, "lamb-jus")
    assert kitchen.batch(frozen).left == 2 * LITRE


def test_what_is_not_on_hand_is_taken_as_far_as_it_goes_and_the_log_says_what_was_missing(kitchen):
    make(kitchen, "brown-stock", 1.5)
    make(kitchen, "lamb-jus")
    assert kitchen.left("brown-stock") == 0
    (missing,) = kitchen.log("missing")
    assert (missing["prep"], missing["after"]) == ("brown-stock", "500 ml")


def test_goods_are_not_stocked_and_what_is_only_taken_if_there_is_not_missed(kitchen):
    make(kitchen, "brown-stock", 8)
    make(kitchen, "lamb-jus")
    assert kitchen.log("missing") == []


def test_less_than_a_thousandth_of_a_millilitre_closes_a_batch(kitchen):
    make(kitchen, "brown-stock", 2.0000005)
    make(kitchen, "lamb-jus")
    assert kitchen.batches("brown-stock") == []
    assert kitchen.select("SELECT sum(amount) FROM moves JOIN batches ON code = batch WHERE prep = 'brown-stock'") == [
        (0,)
    ]


# Day 1 and what is inherited


def test_a_jus_inherits_the_day_of_the_stock_that_went_in(kitchen):
    """FDA Food Code 2022, 3-501.17(C): combined food keeps the day of its earliest ready-to-eat part."""
    make(kitchen, "brown-stock", 8)
    kitchen.later(days=3)
    batch = kitchen.batch(make(kitchen, "lamb-jus"))
    assert batch.day_one == date(2026, 10, 31)
    assert batch.use_by == datetime(2026, 11, 7, tzinfo=UTC)  # seven days with 31 October counted; own life: to the 8th
    assert batch.why == "inherited"


def test_the_inherited_day_is_handed_on_again(kitchen):
    make(kitchen, "brown-stock", 8)
    kitchen.later(days=2)
    done(kitchen.file, kitchen.jp, prep="braised-lamb")
    kitchen.later(days=2)  # the liquor is good to the 4th
    discard(kitchen.file, kitchen.jp, "brown-stock", None, "past-use-by")
    assert kitchen.batch(make(kitchen, "lamb-jus")).day_one == date(2026, 10, 31)


def test_a_run_that_nobody_started_is_reckoned_back_to_its_first_hot_step(kitchen):
    """Stock done at 02:00 simmered until half past midnight, which is before the day starts: its day 1 is Saturday."""
    kitchen.clock.at = datetime(2026, 11, 1, 2, 0, tzinfo=UTC)
    assert kitchen.batch(make(kitchen, "brown-stock")).day_one == date(2026, 10, 31)


def test_the_recorded_end_of_the_hot_step_is_day_one(kitchen):
    run = start(kitchen.file, kitchen.jp, "brown-stock", ONE).run
    step(kitchen.file, kitchen.jp, run)
    kitchen.clock.at = datetime(2026, 11, 1, 9, 0, tzinfo=UTC)
    step(kitchen.file, kitchen.jp, run)
    kitchen.later(hours=2)
    code = done(kitchen.file, kitchen.jp, run=run).batches[0]
    assert kitchen.batch(code).day_one == date(2026, 11, 1)


# One line, one run


def test_a_line_that_was_done_says_who_when_and_where_and_writes_nothing(kitchen):
    code = done(kitchen.file, kitchen.jp, prep="lamb-jus", line=JUS).batches[0]
    before = kitchen.size_of_tables()
    kitchen.later(minutes=21)
    for attempt in (
        lambda: done(kitchen.file, kitchen.lm, prep="lamb-jus", line=JUS),
        lambda: start(kitchen.file, kitchen.lm, "lamb-jus", ONE, JUS),
    ):
        with pytest.raises(Refused) as refused:
            attempt()
        assert str(refused.value) == f"Lamb jus was done at 14:00 by jp at Sauce: batch {code}"
    assert kitchen.size_of_tables() == before


def test_a_line_that_was_started_belongs_to_whoever_started_it(kitchen):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE, JUS).run
    with pytest.raises(Refused, match=f"was started at 14:00 by jp at Sauce: run {run}"):
        done(kitchen.file, kitchen.lm, prep="lamb-jus", line=JUS)
    assert kitchen.state.runs[0].line == JUS


def test_a_run_ends_once(kitchen):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    code = done(kitchen.file, kitchen.jp, run=run).batches[0]
    with pytest.raises(Refused, match=f"was done at 14:00 by jp at Sauce: batch {code}"):
        done(kitchen.file, kitchen.lm, run=run)
    with pytest.raises(Refused, match="there is no run X2X"):
        done(kitchen.file, kitchen.lm, run="X2X")


def test_the_plan_learns_how_often_a_need_was_run_for(kitchen):
    need = ("lamb-jus", "dinner.2026-10-31")
    assert kitchen.state.lines_run == {}
    start(kitchen.file, kitchen.jp, "lamb-jus", ONE, JUS)
    assert kitchen.state.lines_run == {need: 1}
    done(kitchen.file, kitchen.jp, prep="lamb-jus", line=Line(*need, 3))
    assert kitchen.state.lines_run == {need: 4}, "the next number is above all that were used"
    kitchen.later(days=20)
    assert kitchen.state.lines_run == {}, "needs long past are in no plan"


def test_what_a_long_run_under_way_needs_is_never_forgotten(kitchen):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    done(kitchen.file, kitchen.jp, prep="brown-stock", line=Line("brown-stock", f"run.{run}", 0))
    kitchen.later(days=20)
    assert kitchen.state.lines_run == {("brown-stock", f"run.{run}"): 1}


# The course of a run


def test_a_run_goes_on_step_by_step_and_then_says_that_done_is_next(kitchen):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    kitchen.later(minutes=15)
    assert step(kitchen.file, kitchen.jp, run).text == "Lamb jus: Reduce; not there: Brown stock 2 l"
    now = kitchen.state.runs[0]
    assert (now.step, now.step_began) == (1, kitchen.clock.at)
    with pytest.raises(Refused, match="done is next"):
        step(kitchen.file, kitchen.jp, run)


def test_time_is_set_back_and_never_forward(kitchen):
    earlier = kitchen.clock.at - timedelta(minutes=40)
    did = done(kitchen.file, kitchen.jp, prep="lamb-jus", at=earlier)
    assert kitchen.batch(did.batches[0]).made_at == earlier
    with pytest.raises(Refused, match="still to come"):
        done(kitchen.file, kitchen.jp, prep="lamb-jus", at=kitchen.clock.at + timedelta(minutes=1))


def test_a_run_cannot_end_before_it_began(kitchen):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    with pytest.raises(Refused, match="was not that far then"):
        done(kitchen.file, kitchen.jp, run=run, at=kitchen.clock.at - timedelta(minutes=5))


def test_what_was_lost_stays_used_and_the_line_is_free_for_a_new_number(kitchen):
    make(kitchen, "brown-stock", 8)
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE, JUS).run
    lost(kitchen.file, kitchen.jp, run, "caught on the bottom")
    assert kitchen.left("brown-stock") == 6 * LITRE
    assert kitchen.state.runs == ()
    assert kitchen.state.lines_run == {("lamb-jus", "dinner.2026-10-31"): 1}
    with pytest.raises(Refused, match="was lost at 14:00"):
        done(kitchen.file, kitchen.jp, run=run)
    with pytest.raises(Refused, match="why"):
        lost(kitchen.file, kitchen.jp, run, " ")


def test_a_part_lost_leaves_the_run_going_for_the_rest(kitchen):
    run = start(kitchen.file, kitchen.jp, "onion-crisp", ONE).run
    lost(kitchen.file, kitchen.jp, run, "burnt tray", 12 * EACH)
    assert kitchen.state.runs[0].outputs == {"onion-crisp": 28 * EACH}
    assert kitchen.batch(done(kitchen.file, kitchen.jp, run=run).batches[0]).left == 28 * EACH


def test_a_run_keeps_the_recipe_it_was_started_with(kitchen, book_folder):
    run = start(kitchen.file, kitchen.jp, "lamb-jus", ONE).run
    preps = book_folder / "preps.toml"
    preps.write_text(preps.read_text().replace('makes = "1.2 l"', 'makes = "2.4 l"'))
    load_book(kitchen.file, kitchen.sous, book_folder)
    assert kitchen.book.preps["lamb-jus"].makes == 2400 * EACH
    assert kitchen.state.runs[0].recipe.makes == 1200 * EACH
    assert kitchen.batch(done(kitchen.file, kitchen.jp, run=run).batches[0]).left == 1200 * EACH


# What no recipe knows


def test_what_no_recipe_knows_is_good_to_the_end_of_its_day(kitchen):
    did = made(kitchen.file, kitchen.jp, "Plum sauce", Amount(Fraction(2), "l"))
    batch = kitchen.batch(did.batches[0])
    assert (batch.prep, batch.name, batch.left, batch.place) == ("", "Plum sauce", 2 * LITRE, "walk-in")
    assert (batch.use_by, batch.why) == (datetime(2026, 11, 1, tzinfo=UTC), "no recipe")
    assert did.text == f"Plum sauce: 2 l, batch {batch.code}, good to midnight, since no recipe says more"


def test_on_the_pass_it_has_four_hours(kitchen):
    did = made(kitchen.file, kitchen.jp, "Plum sauce", Amount(Fraction(2), "l"), "pass")
    assert kitchen.batch(did.batches[0]).use_by == kitchen.clock.at + timedelta(hours=4)


def test_what_the_book_knows_is_made_by_its_recipe(kitchen):
    with pytest.raises(Refused, match="Lamb jus is in the book"):
        made(kitchen.file, kitchen.jp, "lamb JUS", Amount(Fraction(2), "l"))
    with pytest.raises(Refused, match="no unit that is known"):
        made(kitchen.file, kitchen.jp, "Plum sauce", Amount(Fraction(2), "buckets"))


def test_names_and_initials_that_no_label_has_room_for_are_refused(kitchen):
    amount = Amount(Fraction(2), "l")
    with pytest.raises(Refused, match="a name has at most 120 letters"):
        made(kitchen.file, kitchen.jp, "x" * 121, amount)
    with pytest.raises(Refused, match="initials have at most 60 letters"):
        made(kitchen.file, Who("x" * 61, ""), "Plum sauce", amount)
    assert not kitchen.state.batches
    assert made(kitchen.file, Who("x" * 60, ""), "y" * 120, amount).batches


def test_what_no_recipe_knows_can_be_counted_down(kitchen):
    code = made(kitchen.file, kitchen.jp, "Plum sauce", Amount(Fraction(2), "l")).batches[0]
    assert count(kitchen.file, kitchen.jp, code, LITRE).text == f"Plum sauce {code}: 1 l counted"
