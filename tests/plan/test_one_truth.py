"""In drawn kitchens: what a sitting is expected to ask is one number wherever it is used, and every par row adds up."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest

from prepboard.plan.board import plan
from prepboard.plan.changing.losses import plates_of
from prepboard.plan.demand.expected import at_sitting
from prepboard.plan.demand.mixing import dishes_of
from prepboard.plan.demand.occasions import occasions
from prepboard.plan.demand.pars import portion
from prepboard.plan.given.state import Tonight
from prepboard.plan.service.expecting import Evening
from tests.conftest import Kitchen, at

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
        on = chance.choice(('["dinner"]', '["lunch", "dinner"]'))
        share = f"share = {chance.choice((0.1, 0.2, 0.3))}" if course else f"share = {chance.choice((0.5, 1.0, 1.4))}"
        text.append(f'[dishes.d{dish}]\nname = "D{dish}"\nservices = {on}\n{course}\n{share}\nplate = {{ {plate} }}')
    for prep in range(6):
        uses = 'uses = { base = "1 each" }' if prep % 2 else ""
        par = f'par = "{chance.randrange(5, 60)} each"' if prep == 2 else ""
        text.append(f'[preps.p{prep}]\nname = "P{prep}"\nkeeps = "3 days"\nmakes = "12 each"\n{uses}\n{par}')
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


@pytest.mark.parametrize("seed", range(12))
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
        evening = Evening(small.state, occasion, known.asked)
        for dish in known.asked:
            since = max(moment, occasion.starts)
            assert evening.portions(dish, since, occasion.ends) == pytest.approx(known.portions(dish) * still)
        for taken in dishes_of(small.state, moment, occasion):
            assert float(taken.portions) == pytest.approx(known.portions(taken.dish))
    assert seen > 10


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("now", ["2026-10-31 09:00", "2026-10-31 19:10"])
def test_what_is_short_is_the_par_less_all_that_counts_for_it(seed, now):
    board = plan(drawn(seed).state, at(now))
    assert board.pars
    for row in [*board.pars, *(line for line in board.make if line.par is not None)]:
        counts = row.on_hand + row.under_way + row.left_over
        assert row.short == max(0, row.par - counts), row


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
