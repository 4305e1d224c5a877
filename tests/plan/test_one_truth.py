"""In drawn kitchens: what a sitting is expected to ask is one number wherever it is used, and every par row adds up."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime, timedelta
from fractions import Fraction
from random import Random

import pytest
from lately import stats
from msgspec.structs import replace

from prepboard.plan.board import plan
from prepboard.plan.changing.difference import difference
from prepboard.plan.changing.drafts import lay_over
from prepboard.plan.changing.losses import plates_of
from prepboard.plan.demand.expected import at_sitting
from prepboard.plan.demand.mix import dishes_of
from prepboard.plan.demand.occasions import Occasion, occasions
from prepboard.plan.demand.pars import portion
from prepboard.plan.floor.plates import Plates
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import State, Tonight
from prepboard.plan.outline import outline
from prepboard.plan.service.counts import expected_gone
from prepboard.plan.service.expecting import Evening
from prepboard.plan.shown.lines import ParLine
from tests.conftest import Kitchen, at, drawn_of

TODAY = date(2026, 10, 31)
AMOUNTS = ("1 each", "0.5 each", "2 each")


def drawn(seed: int) -> Kitchen:
    """Two sittings a day, eight dishes of two courses and of none, a menu, preps that dishes share and that take each
    other, stock, history of some dishes, and what a sous chef set tonight."""
    chance = Random(seed)
    text = []
    for service, starts, ends in (("lunch", "12:00", "14:30"), ("dinner", "17:30", "22:30")):
        text.append(f'[services.{service}]\nstarts = "{starts}"\nends = "{ends}"\ncovers = {chance.randrange(20, 120)}')
    text.append('[menus.table]\nname = "Table"\nservices = ["dinner"]\nshare = 0.3\ndishes = ["d0", "d4"]')
    for dish in range(8):
        course = {0: 'course = "main"', 1: 'course = "starter"', 2: ""}[dish % 3]
        plate = ", ".join(f'p{prep} = "{chance.choice(AMOUNTS)}"' for prep in chance.sample(range(6), 2))
        plate += ', cress = "4 g"' if dish % 4 == 0 else ""
        on = chance.choice(('["dinner"]', '["lunch", "dinner"]'))
        share = f"share = {chance.choice((0.1, 0.2, 0.3))}" if course else f"share = {chance.choice((0.5, 1.0, 1.4))}"
        text.append(f'[dishes.d{dish}]\nname = "D{dish}"\nservices = {on}\n{course}\n{share}\nplate = {{ {plate} }}')
    for prep in range(6):
        uses = 'uses = { base = "1 each" }' if prep % 2 else ""
        par = f'par = "{chance.randrange(5, 60)} each"' if prep == 2 else ""
        text.append(f'[preps.p{prep}]\nname = "P{prep}"\nkeeps = "3 days"\nmakes = "12 each"\n{uses}\n{par}')
    text.append('[goods.cress]\nname = "Cress"\nunit = "g"')
    text.append(
        '[preps.base]\nname = "Base"\nkeeps = "5 days"\nmakes = "10 each"\nsizes = { smallest = 1, step = 0.5 }'
    )
    kitchen = Kitchen("\n".join(text), "spread = 0.1\n")
    for prep in range(6):
        if chance.random() < 0.7:
            kitchen.on_hand(f"p{prep}", f"{chance.randrange(1, 80)} each", "2026-11-02 00:00")
    kitchen.tonight["dinner", TODAY] = Tonight(
        covers=chance.randrange(20, 140),
        percent=chance.choice((0, 0, 20, -10)),
        off=frozenset(chance.sample(["d0", "d1", "d3"], chance.randrange(2))),
        counts={"d6": 9} if chance.random() < 0.3 else {},
        pars={"p1": 4_000_000} if chance.random() < 0.4 else {},
        shares={"d7": Fraction(1, 10)} if chance.random() < 0.3 else {},
    )
    days = [TODAY - timedelta(days=back) for back in range(14, 0, -1)]
    known = [f"d{dish}" for dish in range(8) if chance.random() < 0.5]
    kitchen.more["plated"] = {("dinner", day, dish): chance.randrange(5, 30) for day in days for dish in known}
    return kitchen


@pytest.mark.parametrize("seed", range(drawn_of(6)))
@pytest.mark.parametrize("now", ["2026-10-31 09:00", "2026-10-31 19:10"])
def test_needs_counts_losses_mix_and_what_is_brought_expect_the_same(seed, now):
    small = drawn(seed)
    board, moment = plan(small.state, at(now)), at(now)
    seen = 0
    for occasion in occasions(small.state, moment, at("2026-11-01 20:00")):
        known = at_sitting(small.state, moment, occasion)
        still = 1 - occasion.come_by(moment)
        takes: dict[str, float] = defaultdict(float)
        for dish in known.asked:
            for prep in small.book.dishes[dish].plate:
                takes[prep] += known.portions(dish) * still * portion(small.state, occasion.day, dish, prep)
        pars = {par.prep: par for par in board.pars if (par.service, par.day) == occasion.key}
        for prep, par in pars.items():
            assert par.expected == pytest.approx(takes[prep], abs=1)
            lost = sum(plates_of(board, prep, occasion).values())
            assert lost == pytest.approx(
                sum(known.portions(dish) * still for dish in known.asked if prep in small.book.dishes[dish].plate)
            )
            seen += 1
        evening = Evening(small.state, moment, occasion, known.asked)
        for dish in known.asked:
            since = max(moment, occasion.starts)
            assert evening.portions(dish, since, occasion.ends) == pytest.approx(known.portions(dish) * still)
        for taken in dishes_of(small.state, moment, occasion):
            assert float(taken.portions) == pytest.approx(known.portions(taken.dish))
    assert seen > 10


NOWS = ("2026-10-31 09:00", "2026-10-31 19:10")
THINGS = [(seed, now) for seed in range(drawn_of(6)) for now in NOWS]


def asked_for(small: Kitchen, state: State, moment: datetime, occasion: Occasion) -> dict[str, float]:
    """By item on a plate, what the guests still to come are expected to take."""
    known, takes = at_sitting(state, moment, occasion), defaultdict[str, float](float)
    for dish in known.asked:
        for item in small.book.dishes[dish].plate:
            amount = portion(state, occasion.day, dish, item)
            takes[item] += known.portions(dish) * (1 - occasion.come_by(moment)) * amount
    return takes


@pytest.mark.parametrize(("seed", "now"), THINGS)
def test_what_is_brought_to_the_line_is_the_par_or_what_is_expected_and_of_goods_what_is_expected(seed, now):
    small, moment = drawn(seed), at(now)
    board = plan(small.state, moment)
    occasion = board.served[-1]
    takes, brought = asked_for(small, small.state, moment, occasion), defaultdict[str, int](int)
    for line in board.bring:
        brought[line.item] += line.amount
    pars = {par.prep: par.par for par in board.pars if (par.service, par.day) == occasion.key and par.prep in takes}
    assert len(pars) > 1
    for prep, par in pars.items():
        assert brought[prep] == pytest.approx(max(par, takes[prep]), abs=1)
    assert brought["cress"] == pytest.approx(takes["cress"], abs=4) != 0


@pytest.mark.parametrize(("seed", "now"), THINGS)
def test_what_is_taken_left_and_late_goes_by_the_same_plates(seed, now):
    """A sitting takes what it is expected to use as far as there is so much; what nothing takes is left over, and that
    is what a close and the waste page are told. A late run is weighed by the plates of the whole sitting."""
    small, moment = drawn(seed), at(now)
    needs = outline(small.state, moment).needs
    drawn_of, made, left = (defaultdict[str, int](int) for _ in range(3))
    for answer in needs.answers:
        took = sum(amount for _lot, amount in answer.need.drawn)
        drawn_of[answer.need.prep] += took
        if answer.need.par and answer.need.occasion:
            takes = asked_for(small, small.state, moment, answer.need.occasion)[answer.need.prep]
            assert answer.need.expected == pytest.approx(takes, abs=1)
            there = answer.on_hand + answer.under_way + answer.left_over
            there += sum(amount for run in answer.planned for need, amount in run.serves if need is answer.need)
            assert took >= min(round(takes), there) - 1
            assert took <= round(takes) + 1
    for run in needs.planned:
        for prep, amount in run.outputs.items():
            made[prep] += amount
    for lot in needs.left:
        left[lot.prep] += lot.left
    gone = expected_gone(small.state, moment)
    for prep in small.book.preps:
        there = sum(batch.left - gone.get(batch.code, 0) for batch in small.batches if batch.prep == prep)
        assert left[prep] == there + made[prep] - drawn_of[prep]
    plates = Plates(small.state, moment)
    for run in needs.planned:
        of_sittings = [need.occasion for need, _amount in run.serves if need.occasion is not None]
        known = [(one, at_sitting(small.state, moment, one)) for one in of_sittings]
        wanted = sum(
            of.portions(dish)
            for _one, of in known
            for dish in of.asked
            if run.recipe.id in small.book.dishes[dish].plate
        )
        assert plates.of(run) == pytest.approx(wanted, abs=1)


@pytest.mark.parametrize(("seed", "now"), THINGS[::2])
def test_a_preview_expects_what_the_plan_would_once_it_is_saved(seed, now):
    small, moment, dinner = drawn(seed), at(now), ("dinner", TODAY)
    before = small.tonight[dinner]
    typed = [Change(Number("covers", dinner), before.covers, 77), Change(Number("percent", dinner), before.percent, 10)]
    preview = plan(lay_over(small.state, typed), moment)
    small.tonight[dinner] = replace(before, covers=77, percent=10)
    saved = plan(small.state, moment)
    assert (preview.pars, preview.bring, preview.left) == (saved.pars, saved.bring, saved.left)
    assert difference(saved, preview).left_over == ()
    (occasion,) = (one for one in occasions(preview.state, moment, at("2026-10-31 23:00")) if one.key == dinner)
    takes = asked_for(small, preview.state, moment, occasion)
    pars = [par for par in preview.pars if (par.service, par.day) == dinner]
    assert len(pars) > 3
    for par in pars:
        assert par.expected == pytest.approx(takes[par.prep], abs=1)
    mix = {taken.dish: taken.portions for taken in dishes_of(preview.state, moment, occasion)}
    assert mix == {dish: at_sitting(preview.state, moment, occasion).portions(dish) for dish in mix}


def test_the_chance_to_run_out_is_of_the_par_s_own_expectation(kitchen):
    """Twelve plates there, before the dinner: scipy's negative binomial with the par's mean, by mix worth 1/spread²
    plates (gamma of shape 100), by history m/(f - 1)."""
    book = """
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 40
[dishes.pie]
name = "Pie"
services = ["dinner"]
course = "main"
share = 0.3
plate = { pie = "1 each" }
[preps.pie]
name = "Pie"
keeps = "2 days"
makes = "12 each"
"""
    small = Kitchen(book, "spread = 0.1\n")
    small.on_hand("pie", "12 each", "2026-11-02 00:00")
    for known in ({}, {("dinner", TODAY - timedelta(days=n), "pie"): 4 + 3 * (n % 7) for n in range(1, 15)}):
        small.more["plated"] = known
        board = small.plan()
        (occasion,) = board.served
        its, mean = at_sitting(small.state, board.now, occasion).asked["pie"], board.pars[0].expected / 1e6
        assert its.portions == pytest.approx(mean)
        assert its.by_history is bool(known)
        assert board.left[0].chance_out == pytest.approx(
            stats.nbinom(its.surety, its.surety / (its.surety + mean)).sf(12), abs=1e-6
        )


@pytest.mark.parametrize(("seed", "now"), THINGS)
def test_what_is_short_is_the_par_less_all_that_counts_for_it(seed, now):
    board = plan(drawn(seed).state, at(now))
    assert board.pars
    for row in [*board.pars, *(line for line in board.make if line.par is not None)]:
        over = row.over if isinstance(row, ParLine) else max(0, row.on_hand + row.under_way + row.left_over - row.par)
        assert row.par + over == row.on_hand + row.under_way + row.left_over + row.short, row
        assert not (over and row.short)


def test_what_an_earlier_run_leaves_is_said_on_the_row(kitchen):
    """Twelve a recipe: lunch's two leave 4 of 24, which the dinner counts before it is short."""
    book = """
[services.lunch]
on = "2026-10-31"
starts = "12:00"
ends = "14:00"
counts = { pie = 20 }
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
counts = { pie = 30 }
[dishes.pie]
name = "Pie"
services = ["lunch", "dinner"]
plate = { pie = "1 each" }
[preps.pie]
name = "Pie"
keeps = "2 days"
makes = "12 each"
joins = "none"
"""
    lunch, dinner = kitchen(book).plan().pars
    assert (lunch.on_hand, lunch.left_over, lunch.short) == (0, 0, 20_000_000)
    assert (dinner.on_hand, dinner.left_over, dinner.short) == (0, 4_000_000, 26_000_000)
