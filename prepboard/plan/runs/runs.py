"""Runs: when the steps of a run lie, and until when what it gives is good.

A `Bench` knows the kitchen's hours and clock and answers for one recipe at a time; it remembers nothing of needs.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction
from functools import cached_property

from msgspec import Struct, field

from prepboard.book.book import Prep
from prepboard.book.days import ONE_DAY
from prepboard.book.safety.life import History, bears_no_mark, day_one, ends_by_days, steps_before_day_one, use_by
from prepboard.book.safety.stays import Stay
from prepboard.plan.demand.hands_plating import hands_plating
from prepboard.plan.given.state import Batch, Line, Placed, Placement, Run, State
from prepboard.plan.memory import Pages, memory_of
from prepboard.plan.runs.hours import Hours
from prepboard.plan.runs.staying import hours_of
from prepboard.plan.runs.stock import Lot, Need, minute_of
from prepboard.plan.runs.timing import Chained, backward, begins_forward, chain, forward
from prepboard.plan.service.thawing import Thaw, thaw_from
from prepboard.plan.shown.lines import Note

NO_TIME = timedelta()
MOST_GIVEN = 7
"""Days of which it is asked to which bench a prep is given, until it can be begun."""
ONE_MINUTE = timedelta(minutes=1)


class Carried(Struct, frozen=True, gc=False):
    """What a run inherits from what it takes: the earliest day 1 and the earliest maker's date."""

    first_day: date | None = None
    safety: date | None = None


NOTHING = Carried()


class Planned(Struct, gc=False):
    """One run that the plan asks for."""

    line: Line
    name: str
    """The text of its line."""
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
    left_over: int
    """Of runs that are planned for earlier needs."""
    short: int
    takes: list[Need] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    station: str = ""
    """Who makes it, where the sous chef gave it to another bench."""

    made: tuple[Placed, ...] = ()
    """Its steps from which the life of its food is counted: those of a start now, where it is late."""
    first_day: date | None = None
    """Day 1 of its food by these, where they lie somewhere."""
    alone: tuple[Placed, ...] = ()
    """Its steps as they would be if nothing else were there, up to its ready-by."""
    draw: list[Need] = field(default_factory=list)
    """All needs that take of it, those too that it was not planned for."""

    @property
    def begins(self) -> datetime:
        return self.steps[0].begins if self.steps else self.ready


def thaw(prep: Prep) -> timedelta:
    """How long before its use a prep must leave the freezer; nothing where it is not kept frozen."""
    return timedelta(minutes=prep.thaw) if prep.store == "frozen" else NO_TIME


def _may_hand_on(batch: Batch) -> bool:
    return batch.passes_on is not None or batch.safety is not None or batch.store == "frozen"


_Sized = tuple[int, int, int]


def _of(recipe: Prep, size: Fraction) -> _Sized:
    """Names a recipe's run of a size, cheaper to look up than a fraction."""
    return id(recipe), *size.as_integer_ratio()


def goes_into_others(line: str) -> bool:
    """Whether a line is made for another line, and not for guests by itself."""
    return "@" in line.partition("@")[2]


def _users(name: str) -> Iterator[str]:
    """The lines that a line is made for, through others or by itself."""
    while "@" in name:
        name = name.partition("@")[2]
        yield name


SOON = timedelta(hours=1)
"""What begins within this stays: somebody is about to."""


class RunTimes:
    """Places runs of recipes in one kitchen's hours, seen from one moment."""

    def __init__(self, state: State, now: datetime) -> None:
        self.state = state
        self.book = state.book
        self.now = now
        self.carried: dict[str, Carried] = {}
        """Line -> what its run inherits, once that is known."""
        self.lies: Mapping[str, Placement] = state.placements
        """Line -> where it lies, as far as that is known: there it is ready, and takes what it takes."""
        self._let_down: tuple[Mapping[str, Placement], frozenset[str]] = {}, frozenset()
        self.laid = False
        """Whether this plan laid everything there: what lies before now then is what nobody will begin."""
        self.under_way: Mapping[str, tuple[Placed, ...]] = {}
        """Code -> where the rest of a run under way lies, once that is placed."""
        self.bound: dict[str, str] = {}
        """Line -> the bench that makes it, on its days only: it came to lie on the other's in turn."""
        self._soonest: dict[str, datetime] = {}
        self._last_chain: tuple[Prep, Fraction, str, list[Chained]] | None = None
        self._from_now: dict[tuple[int, int, int], tuple[Placed, ...]] = {}
        known, self.plating = memory_of(state.book), hands_plating(state, now)
        # What follows from hours is remembered apart for each plating that takes some of them, and for who stays.
        apart = f" {sorted(self.plating.items())}" if self.plating else ""
        apart += f" {sorted(state.staying.items())}" if state.staying else ""
        self._hours: Pages[str, Hours] = known.pages(f"hours{apart}")
        # Recipes are looked up by identity: what is known of one holds it, so that no other takes its place.
        self._chains: Pages[tuple[int, int, int, str], tuple[list[Chained], Prep]] = known.pages(f"chains{apart}")
        self._before: Pages[tuple[int, int, int, str, datetime], tuple[tuple[Placed, ...], bool, Prep]] = known.pages(
            f"before{apart}"
        )
        self._day_one: Pages[int, tuple[int, Prep]] = known.pages("day one")
        self._lasts: Pages[tuple[object, ...], datetime] = known.pages("good until")
        self._by_days: Pages[tuple[object, ...], tuple[datetime, datetime]] = known.pages("good by days")
        self._alike: Pages[Hashable, str] = known.pages("lives alike")

    @cached_property
    def handing_on(self) -> Mapping[str, Batch]:
        """Batches that may hand on a day 1 or a maker's date to what is made of them, by code."""
        return {batch.code: batch for batch in self.state.batches if _may_hand_on(batch)}

    @cached_property
    def packs(self) -> Sequence[Batch]:
        """Packs that stand open."""
        return [batch for batch in self.state.batches if batch.pack and not batch.blocked]

    def hours(self, station: str) -> Hours:
        """When a station has hands."""
        found = self._hours[station]
        if found is None:
            busy = tuple((one.begins, one.ends) for one in self.plating.get(station, ()))
            return self._hours.keep(station, hours_of(self.state, station, self.now, busy))
        return found

    def station_on(self, recipe: Prep, at: datetime) -> str:
        """Who makes a prep on the business day of a moment: its own station, or the one that it was given to."""
        given = self.state.given
        if not given:
            return recipe.station
        station = given.get((recipe.id, self.book.kitchen.days.business_day(max(at, self.now))), recipe.station)
        return station if station in self.book.stations else recipe.station

    def chain(self, recipe: Prep, size: Fraction, station: str | None = None) -> list[Chained]:
        """The recipe's steps with their lengths, in the hours of those who do them; made at its own station, or at
        another one."""
        at = recipe.station if station is None else station
        key = *_of(recipe, size), at
        found = self._chains[key]
        if found is None:
            steps = chain(recipe, size, lambda named: self.hours(at if named == recipe.station else named))
            found = self._chains.keep(key, (steps, recipe))
        return found[0]

    def _chain_again(self, recipe: Prep, size: Fraction, station: str) -> list[Chained]:
        """The same, of a run that is often asked for several times on end."""
        last = self._last_chain
        if last is None or last[0] is not recipe or last[1] is not size or last[2] != station:
            last = self._last_chain = recipe, size, station, self.chain(recipe, size, station)
        return last[3]

    def before(self, recipe: Prep, size: Fraction, ready_by: datetime) -> tuple[tuple[Placed, ...], bool]:
        """The latest placement that is ready, and thawed, by a moment, cushion included; False when it fits no hours,
        and then it stands as if hands were always there."""
        found = self._before_at(recipe, size, ready_by, recipe.station)
        if self.state.given and found[0]:
            station = self.station_on(recipe, found[0][0].begins)
            other = self._before_at(recipe, size, ready_by, station) if station != recipe.station else found
            if other[0] and self.station_on(recipe, other[0][0].begins) == station:
                return other
        return found

    def _before_at(
        self, recipe: Prep, size: Fraction, ready_by: datetime, station: str
    ) -> tuple[tuple[Placed, ...], bool]:
        key = *_of(recipe, size), station, ready_by
        found = self._before[key]
        if found is None:
            ready_by -= timedelta(minutes=recipe.ready_before) + thaw(recipe)
            placed = backward(self.chain(recipe, size, station), ready_by)
            shown = placed or backward(chain(recipe, size, self._always), ready_by) or ()
            found = self._before.keep(key, (shown, placed is not None, recipe))
        return found[:2]

    def after(
        self, recipe: Prep, size: Fraction, start: datetime, there: Mapping[int, datetime] | None = None
    ) -> tuple[Placed, ...]:
        """The earliest placement from a moment on, which counts from the minute that it is in: a key is pressed within
        it, and what just fits before a bench closes shall still fit then."""
        if start is self.now and not there:
            key = _of(recipe, size)
            if key not in self._from_now:
                self._from_now[key] = self._after(recipe, size, minute_of(start), there)
            return self._from_now[key]
        return self._after(recipe, size, minute_of(start), there)

    def _after(
        self, recipe: Prep, size: Fraction, start: datetime, there: Mapping[int, datetime] | None
    ) -> tuple[Placed, ...]:
        start, station = self._first_day(recipe, size, start, there)
        placed = forward(self.chain(recipe, size, station), start, there)
        return placed if placed is not None else forward(chain(recipe, size, self._always), start, there) or ()

    def _first_day(
        self, recipe: Prep, size: Fraction, start: datetime, there: Mapping[int, datetime] | None
    ) -> tuple[datetime, str]:
        """From when on it can be begun, and the bench that makes it on that day: where one to which it is given for a
        day has no time left on it, the next day's bench begins."""
        station, days = self.station_on(recipe, start), self.book.kitchen.days
        for _day in range(MOST_GIVEN if self.state.given else 0):
            begins = begins_forward(self._chain_again(recipe, size, station), start, there)
            tomorrow = days.opens(days.business_day(start) + ONE_DAY)
            if begins is None or begins[0] < tomorrow:
                break
            start, station = tomorrow, self.station_on(recipe, tomorrow)
        return start, station

    def moments_after(
        self, recipe: Prep, size: Fraction, start: datetime, there: Mapping[int, datetime] | None = None
    ) -> list[datetime]:
        """Of that placement when each step begins, and last when it is ready; empty where there is none."""
        start, station = self._first_day(recipe, size, minute_of(start), there)
        steps = self._chain_again(recipe, size, station)
        begins = begins_forward(steps, start, there)
        if begins is None:
            begins = begins_forward(chain(recipe, size, self._always), start, there)
        return [*begins, begins[-1] + steps[-1].hands + steps[-1].least] if begins else []

    @property
    def let_down(self) -> frozenset[str]:
        """Lines that will not begin where they lie: nobody began what is made for them, through others or not."""
        if self._let_down[0] is not self.lies:
            lies = ((name, one.steps) for name, one in self.lies.items() if not name.startswith("run."))
            over = (name for name, steps in lies if steps and steps[0].begins + ONE_MINUTE <= self.now)
            users = frozenset(user for name in over for user in _users(name))
            self._let_down = self.lies, users
        return self._let_down[1]

    def lying(self, name: str, recipe: Prep, size: Fraction) -> tuple[Placed, ...]:
        """Where a line of this size, or a larger one, lies; nothing for one that lies nowhere yet, or should have
        begun. What nobody will begin, since it was lost, or goes into others and this plan laid it there, lies where it
        lay: begun now it might give to whom it never will, and take what others have."""
        known = self.lies.get(name)
        if (
            known is None
            or (known.size is not size and known.size < size)
            or len(known.steps) != len(recipe.steps)
            or not known.steps
        ):
            return ()
        stays = name in self.state.lost or (self.laid and goes_into_others(name))
        return known.steps if stays or known.steps[0].begins + ONE_MINUTE > self.now else ()

    def going_on(self, run: Run) -> tuple[Placed, ...]:
        """Where the rest of a run under way lies; until that is placed, its step from when it began and the next ones
        as early as hours let them be."""
        if run.code in self.under_way:
            return self.under_way[run.code]
        steps = self.chain(run.recipe, run.size, run.station or None)
        if not 0 <= run.step < len(steps):
            return ()
        step = steps[run.step]
        hands_until = run.step_began + step.hands
        ends = hands_until + step.least
        current = Placed(run.step, run.step_began, hands_until, ends)
        if run.step + 1 == len(steps):
            return (current,)
        return (current, *(forward(steps, max(ends, self.now), None, first=run.step + 1) or ()))

    def soonest(self, recipe: Prep) -> datetime:
        """When a new run of the smallest size could be ready."""
        if recipe.id not in self._soonest:
            placed = self.after(recipe, recipe.sizes.smallest, self.now)
            self._soonest[recipe.id] = placed[-1].ends if placed else self.now
        return self._soonest[recipe.id]

    def good_until(
        self,
        recipe: Prep,
        size: Fraction,
        output: str,
        steps: tuple[Placed, ...],
        ready: datetime,
        carried: Carried | None = None,
        begun: Run | None = None,
    ) -> datetime:
        """The use-by that an output of a planned run, or of one that was `begun`, would get; without `carried` as far
        as its own life goes."""
        return self.good_from_day(output, self.first_day(recipe, size, steps, ready, begun), ready, carried)

    def thaw_of(
        self,
        recipe: Prep,
        size: Fraction,
        output: str,
        steps: tuple[Placed, ...],
        ready: datetime,
        carried: Carried | None,
        until: datetime,
        begun: Run | None = None,
    ) -> Thaw | None:
        """The thaw of what a planned run would put into the freezer as it is ready, where it is good `until`."""
        if self.book.preps[output].store != "frozen":
            return None
        first, got = self.first_day(recipe, size, steps, ready, begun), carried or NOTHING
        history = History(first, ready, (Stay("frozen", ready),), got.first_day, got.safety)
        hands = self.hours(self.book.preps[output].station)
        return thaw_from(self.book, output, history, until, max(ready, self.now), hands)

    def good_at(self, run: Planned, output: str, steps: tuple[Placed, ...], ready: datetime, at: datetime) -> datetime:
        """Until when what a run would give is good if it is taken at a moment, thawed just in time for it."""
        carried = self.carried.get(run.name)
        until = self.good_until(run.recipe, run.size, output, steps, ready, carried)
        frozen = self.thaw_of(run.recipe, run.size, output, steps, ready, carried, until)
        return (frozen.good_until(at) if frozen else None) or until

    def good_from(self, recipe: Prep, output: str, moments: Sequence[datetime], ready: datetime) -> datetime:
        """The same of a run whose steps begin at these `moments`, the last of which is when it is ready."""
        at = moments[self.counts_from(recipe)] if moments else ready
        return self.good_from_day(output, self.book.kitchen.days.business_day(at), ready)

    def good_from_day(self, output: str, first_day: date, ready: datetime, carried: Carried | None = None) -> datetime:
        """The same of one whose day 1 is known."""
        carried = carried or NOTHING
        by_day = self._alike[output] or self._lives_like(output), first_day, carried.first_day, carried.safety
        known = self._by_days[by_day]
        if known is not None and ready < known[0]:
            return known[1]
        key = *by_day, ready
        found = self._lasts[key]
        if found is None:
            prep = self.book.preps[output]
            found = use_by(self.book, prep, prep.store, first_day, ready, carried.first_day, carried.safety).until
            ends = ends_by_days(self.book, prep, first_day)
            if ends is not None and ready < ends:
                self._by_days.keep(by_day, (ends, found))
            else:
                self._lasts.keep(key, found)
        return found

    def _lives_like(self, output: str) -> str:
        """The first prep that was asked for of those whose food lives as this one's does, whatever its days. What is
        kept out of temperature control lives by its steps too, and like no other."""
        prep = self.book.preps[output]
        mark = not bears_no_mark(prep)
        if prep.store in ("ambient", "time") and mark:
            return self._alike.keep(output, output)
        key = prep.store, prep.ready_to_eat, mark, prep.packed, *prep.keeps.items()
        return self._alike.keep(output, self._alike[key] or self._alike.keep(key, output))

    def first_day(
        self, recipe: Prep, size: Fraction, steps: tuple[Placed, ...], ready: datetime, begun: Run | None = None
    ) -> date:
        """Day 1 of what a run would give; of one that was `begun` the steps are those from the one under way on, and
        those before ended when that was pressed, as its batch will have it."""
        if steps and len(steps) == len(recipe.steps):
            step = self.counts_from(recipe)
            at = steps[step - 1].ends if step else steps[0].begins
            return self.book.kitchen.days.business_day(at)
        begin, ends = steps[0].begins if steps else ready, {placed.step: placed.ends for placed in steps}
        if begun is not None:
            begin, ends = begun.started, {**begun.step_ends, **ends, begun.step - 1: begun.step_began}
        return day_one(recipe, size, self.book.kitchen, started=begin, ready=ready, step_ends=ends)

    def day_one_of(self, run: Planned) -> date:
        """Day 1 of what a planned run gives, by the steps from which its life is counted."""
        return run.first_day or self.first_day(run.recipe, run.size, run.made, run.ready)

    def counts_from(self, recipe: Prep) -> int:
        """After how many of its steps day 1 begins."""
        found = self._day_one[id(recipe)]
        return (found or self._day_one.keep(id(recipe), (steps_before_day_one(recipe, self.book.kitchen), recipe)))[0]

    def _always(self, station: str) -> Hours:
        return Hours(None, self.book.kitchen.days, self.now)
