"""Expected: what the guests of a sitting are expected to ask of each dish. There is one answer, and needs, counts,
run-outs, what is brought to the line, the mix page and the preview all take it from here.

A dish that is off gets nothing while it is off; the guests who would have had it choose among the others of its
course, by share, so that those are asked for more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime
from math import inf

from msgspec import Struct

from prepboard.plan.demand.closed_evenings import Known, fold
from prepboard.plan.demand.occasions import Occasion, Table, table
from prepboard.plan.demand.sales import Sales, sales
from prepboard.plan.given.state import Sitting, State
from prepboard.plan.memory import Pages, memory_of


class Asked(Struct, frozen=True):
    """What the whole sitting is expected to ask of one dish."""

    portions: float
    surety: float
    """Plates that the expectation is worth beside those that went out: the shape of its gamma distribution. The mix of
    a whole night strays by `spread`, which is worth 1/spread² plates; of what history knows, with mean m and
    variance/mean f, it is m/(f − 1). Infinite where the number is certain."""
    fixed: bool = False
    """A fixed count: no guest chooses."""
    by_history: bool = False


def counts_of(occasion: Occasion) -> dict[str, int]:
    """The dishes of a sitting whose number is fixed."""
    return {**(occasion.service.counts or {}), **occasion.tonight.counts}


def asked(state: State, occasion: Occasion, offered: Table, known: Sales) -> dict[str, Asked]:
    """By dish, of all that the book offers there, those that are off too, as if nothing was. Where the par of a dish
    is history's, so is this. A percentage set for the sitting is in it."""
    counts, function = counts_of(occasion), occasion.service.counts is not None
    spread = state.book.kitchen.spread
    by_mix = 1 / spread**2 if spread else inf
    scale = 1 + occasion.tonight.percent / 100
    found = {}
    for dish in offered.dishes:
        if dish in counts or function:
            found[dish] = Asked(counts.get(dish, 0) * scale, inf, fixed=True)
        elif dish in known.by_history:
            mean, ratio = known.mean_and_ratio(dish)
            found[dish] = Asked(mean * scale, mean * scale / (ratio - 1) if ratio > 1 else inf, by_history=True)
        else:
            found[dish] = Asked(float(occasion.covers * offered.share(dish)) * scale, by_mix)
    return found


def moved(offered: Table, every: Mapping[str, Asked], off: frozenset[str]) -> dict[str, float]:
    """How many times as many guests take a dish since others of its course are off; only where that is not 1."""
    if off.isdisjoint(every):
        return {}
    courses: dict[str, list[str]] = defaultdict(list)
    for dish, one in every.items():
        course = offered.dishes[dish].course
        if course is not None and not one.fixed:
            courses[course].append(dish)
    found = {dish: 0.0 for dish in every if dish in off}
    for mates in courses.values():
        here = sum(every[mate].portions for mate in mates if mate not in off)
        total = sum(every[mate].portions for mate in mates)
        if here and total > here:
            found.update({mate: total / here for mate in mates if mate not in off})
    return found


class AtSitting(Struct, frozen=True):
    """What is known of a sitting: what history says, and what it is expected to ask of each dish."""

    sales: Sales
    asked: Mapping[str, Asked]
    """Of all that the book offers there, those that are off too, as if nothing was."""
    moved: Mapping[str, float]
    """How many times as many guests take a dish since others are off, where that is not 1."""

    def portions(self, dish: str) -> float:
        """Expected plates of a dish in the whole sitting, with what is off as it is now."""
        return self.asked[dish].portions * self.moved.get(dish, 1.0) if dish in self.asked else 0.0


def at_sitting(state: State, now: datetime, occasion: Occasion) -> AtSitting:
    """The one answer to what a sitting is expected to ask for: it is another with what is set for the sitting or was
    learned, not with a minute or a plate."""
    learned = fold(state, now).now
    of = learned, occasion.service, occasion.covers, occasion.tonight, state.last_year.get(occasion.key)
    pages: Pages[Sitting, tuple[tuple[object, ...], AtSitting]] = memory_of(state.book).pages("at sitting")
    known = pages[occasion.key]
    if known is None or any(was is not one and was != one for was, one in zip(known[0], of, strict=True)):
        known = pages.keep(occasion.key, (of, _at_sitting(state, learned, occasion)))
    return known[1]


def _at_sitting(state: State, learned: Known, occasion: Occasion) -> AtSitting:
    offered = table(state.book, occasion, whole=True)
    by_count = frozenset(offered.dishes if occasion.service.counts is not None else counts_of(occasion))
    known = sales(state, learned, occasion, offered, by_count)
    every = asked(state, occasion, offered, known)
    return AtSitting(known, every, moved(offered, every, occasion.tonight.off))


def asked_of(state: State, now: datetime, occasion: Occasion) -> Mapping[str, Asked]:
    """By dish, those that are off too, as if nothing was."""
    return at_sitting(state, now, occasion).asked
