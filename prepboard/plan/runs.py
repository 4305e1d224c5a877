"""Runs: how large a run is, when its steps lie, and what it gives until when.

A `Bench` knows the kitchen's hours and clock and answers for one recipe at a time; it remembers nothing of needs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from functools import lru_cache
from math import ceil

from prepboard.book.book import Book, Prep, Sizes
from prepboard.book.days import ONE_DAY
from prepboard.book.life import day_one, use_by
from prepboard.plan.hours import Hours
from prepboard.plan.lines import Note, Placed
from prepboard.plan.state import Line, Run, State
from prepboard.plan.stock import Lot, Need
from prepboard.plan.timing import Chained, backward, chain, forward

MOST_RUNS = 60
"""One need never asks for more runs than this; what is missing beyond stays short."""


@dataclass(slots=True)
class Planned:
    """One run that the plan asks for."""

    line: Line
    recipe: Prep
    size: Fraction
    outputs: Mapping[str, int]
    need: Need
    ready_by: datetime
    steps: tuple[Placed, ...]
    ready: datetime
    lots: dict[str, Lot]
    serves: list[tuple[Need, int]]
    on_hand: int
    under_way: int
    short: int
    takes: list[Need] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)

    @property
    def start_by(self) -> datetime:
        return self.steps[0].begins if self.steps else self.ready


def sizes_for(sizes: Sizes, recipes: Fraction) -> list[Fraction]:
    """The runs that give so many recipes: full ones first, then the smallest allowed that covers the rest."""
    runs: list[Fraction] = []
    while sizes.largest is not None and recipes > sizes.largest and len(runs) < MOST_RUNS:
        runs.append(sizes.largest)
        recipes -= sizes.largest
    steps = max(0, ceil((recipes - sizes.smallest) / sizes.step))
    last = sizes.smallest + steps * sizes.step
    return [*runs, min(last, sizes.largest) if sizes.largest is not None else last]


def thaw(prep: Prep) -> timedelta:
    """How long before its use a prep must leave the freezer; nothing where it is not kept frozen."""
    return timedelta(minutes=prep.thaw if prep.store == "frozen" else 0)


def amounts(recipe: Prep, size: Fraction) -> dict[str, int]:
    """What a run of this size gives, in millionths, by prep."""
    return {prep: scaled(amount, size) for prep, amount in recipe.outputs.items()}


def scaled(amount: int, size: Fraction) -> int:
    """An amount of one recipe in a run of this size, to the nearest millionth."""
    return (2 * amount * size.numerator + size.denominator) // (2 * size.denominator)


def _of(recipe: Prep, size: Fraction) -> tuple[int, int, int]:
    """Names a recipe's run of a size, cheaper to look up than a fraction."""
    return id(recipe), size.numerator, size.denominator


class Bench:
    """Places runs of recipes in one kitchen's hours, seen from one moment."""

    def __init__(self, state: State, now: datetime) -> None:
        self.book = state.book
        self.now = now
        self._hours: dict[str, Hours] = {}
        self._soonest: dict[str, datetime] = {}
        self._chains: dict[tuple[int, int, int], list[Chained]] = {}
        self._good_until: dict[tuple[int, int, int, str, datetime, datetime], datetime] = {}
        self._before: dict[tuple[int, int, int, datetime], tuple[tuple[Placed, ...], bool]] = {}

    def hours(self, station: str) -> Hours:
        if station not in self._hours:
            self._hours[station] = Hours(self.book.stations.get(station), self.book.kitchen.days, self.now)
        return self._hours[station]

    def chain(self, recipe: Prep, size: Fraction) -> list[Chained]:
        """The recipe's steps with their lengths, in the kitchen's hours."""
        key = _of(recipe, size)
        if key not in self._chains:
            self._chains[key] = chain(recipe, size, self.hours)
        return self._chains[key]

    def before(self, recipe: Prep, size: Fraction, ready_by: datetime) -> tuple[tuple[Placed, ...], bool]:
        """The latest placement that is ready, and thawed, by a moment, cushion included; False when it fits no hours,
        and then it stands as if hands were always there."""
        ready_by -= timedelta(minutes=recipe.ready_before) + thaw(recipe)
        key = *_of(recipe, size), ready_by
        if key not in self._before:
            placed = backward(self.chain(recipe, size), ready_by)
            fits = placed is not None
            self._before[key] = (placed or backward(chain(recipe, size, self._always), ready_by) or (), fits)
        return self._before[key]

    def after(
        self, recipe: Prep, size: Fraction, start: datetime, there: Mapping[int, datetime] | None = None
    ) -> tuple[Placed, ...]:
        """The earliest placement from a moment on."""
        placed = forward(self.chain(recipe, size), start, there)
        return placed if placed is not None else forward(chain(recipe, size, self._always), start, there) or ()

    def going_on(self, run: Run) -> tuple[Placed, ...]:
        """Where the rest of a run under way lies: its step from when it began, the next ones as early as may be."""
        steps = self.chain(run.recipe, run.size)
        if not 0 <= run.step < len(steps):
            return ()
        step = steps[run.step]
        hands_until = run.step_began + step.hands
        ends = hands_until + step.least
        current = Placed(run.step, run.step_began, hands_until, ends)
        if run.step + 1 == len(steps):
            return (current,)
        return (current, *(forward(steps, max(ends, self.now), first=run.step + 1) or ()))

    def soonest(self, recipe: Prep) -> datetime:
        """When a new run of the smallest size could be ready."""
        if recipe.id not in self._soonest:
            placed = self.after(recipe, recipe.sizes.smallest, self.now)
            self._soonest[recipe.id] = placed[-1].ends if placed else self.now
        return self._soonest[recipe.id]

    def good_until(
        self, recipe: Prep, size: Fraction, output: str, steps: tuple[Placed, ...], ready: datetime
    ) -> datetime:
        """The use-by that an output of a planned run would get, as far as its own life goes."""
        key = *_of(recipe, size), output, steps[0].begins if steps else ready, ready
        if key not in self._good_until:
            self._good_until[key] = self._life(recipe, size, output, steps, ready)
        return self._good_until[key]

    def _life(self, recipe: Prep, size: Fraction, output: str, steps: tuple[Placed, ...], ready: datetime) -> datetime:
        begin = steps[0].begins if steps else ready
        ends = {placed.step: placed.ends for placed in steps}
        first_day = day_one(recipe, size, self.book.kitchen, started=begin, ready=ready, step_ends=ends)
        prep = self.book.preps[output]
        return use_by(self.book, prep, prep.store, first_day, ready).until

    def _always(self, station: str) -> Hours:
        return Hours(None, self.book.kitchen.days, self.now)


def horizon(state: State, now: datetime) -> datetime:
    """How far the plan looks: `plan_ahead`, or the longest chain of the book and a day if that is longer."""
    ahead = timedelta(minutes=state.book.kitchen.plan_ahead)
    return now + max(ahead, longest_chain(state.book) + ONE_DAY)


@lru_cache(maxsize=4)
def longest_chain(book: Book) -> timedelta:
    """The longest chain of least times from the first ingredient to a plate, at full recipes."""
    minutes: dict[str, int] = {}
    for group in reversed(book.together):
        for prep in group:
            recipes = [book.preps[maker] for maker in book.preps[prep].made_by]
            minutes[prep] = max((_least(recipe, minutes) for recipe in recipes), default=0)
    return timedelta(minutes=max(minutes.values(), default=0))


def _least(recipe: Prep, known: Mapping[str, int]) -> int:
    own = sum(step.hands_minutes(Fraction(1)) + step.wait for step in recipe.steps)
    return own + max((known.get(use.item, 0) for use in recipe.uses), default=0)
