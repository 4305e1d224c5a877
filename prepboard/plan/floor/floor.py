"""The floor: a kitchen's hands and places as lanes, minute by minute from a first one on."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from hashlib import sha256
from typing import Any

from prepboard.book.book import Equipment, Temperature
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.hands_plating import hands_plating, plating_facts
from prepboard.plan.given.state import Placed, State
from prepboard.plan.memory import MOST, Pages, memory_of, remembered
from prepboard.plan.runs.heating import hot_times
from prepboard.plan.runs.hours import without
from prepboard.plan.runs.staying import stays
from prepboard.plan.runs.today import cooks
from prepboard.plan.solver.jobs import Pool, PoolUse
from prepboard.plan.solver.lanes import Lane, Opening, SettableLane, Taken

MINUTE = timedelta(minutes=1)
NAMES = 16
"""So many letters name facts."""
GROUNDS = 8
"""Grounds of which a page is full: a plan stands on two, and one that is tried may stand on others."""


class _Ground:
    """Hands and places over a span of minutes, and what recipes come to there, for all floors on it: a floor after the
    other has them lie as they do there."""

    def __init__(self, facts: tuple[object, ...]) -> None:
        self.facts = facts
        """All that they follow from beside the book and the minutes."""
        self.floor: Floor | None = None
        """As on which they lie now."""
        self.empty: dict[Lane, Taken] = {}
        """How each lane is with nothing booked."""
        self.hands: dict[str, Lane] = {}
        self.places: dict[str, Pool] = {}
        self.pairs: dict[str, PoolUse] = {}
        self.hot: dict[str, Lane | None] = {}
        self.heats: dict[Fraction | None, int] = {}
        self.heats_as_written: dict[tuple[int, int, str] | None, int] = {}
        self.works: dict[Hashable, Any] = {}


class Floor:
    """What stations and equipment there are from `origin` (a whole minute) on for `length` minutes."""

    def __init__(self, state: State, origin: datetime, length: int, shared: bool = False) -> None:
        """`shared` with other floors of the same minutes: then it is to `lie` before anything is booked or sought."""
        self.state, self.book = state, state.book
        self.origin, self.length = origin, length
        days = self.book.kitchen.days
        first, last = days.business_day(origin) - ONE_DAY, days.business_day(self.instant(length))
        self._days = [first + number * ONE_DAY for number in range((last - first).days + 1)]
        self._plating = hands_plating(state, origin)
        self._wholes: dict[date, tuple[int, int]] = {}
        self._hours: dict[tuple[date, time, time], tuple[int, int]] = {}
        self._ground = self._known_ground() if shared else _Ground(())
        self._taken: dict[Lane, Taken] = {}
        """How lanes lie here, while they lie as on another floor."""
        self.works = self._ground.works
        """What recipes come to here (`work_of`)."""
        self.under_way: Mapping[str, tuple[Placed, ...]] = {}
        """Where the rest of every run under way is booked, by code."""
        self.waits: Mapping[str, Mapping[int, datetime]] = {}
        """By code, before when its steps ahead cannot begin."""

    def _known_ground(self) -> _Ground:
        """The ground of a moment ago, where hands and places are what they were."""
        grounds: Pages[tuple[datetime, int], _Ground] = memory_of(self.book).pages("grounds", GROUNDS)
        key, facts = (self.origin, self.length), (self.state.hands, self.state.equipment, self.state.staying)
        known = grounds[key]
        if known is None or known.facts != (*facts, self._plating) or len(known.works) > MOST:
            known = grounds.keep(key, _Ground((*facts, self._plating)))
        return known

    def lie(self) -> None:
        """Has hands and places lie as they do on this floor, whatever other floor of the same minutes they lay on."""
        ground = self._ground
        if ground.floor is not self:
            if ground.floor is not None:
                ground.floor._taken = {lane: lane.taken for lane in ground.empty}
            for lane, empty in ground.empty.items():
                lane.taken = self._taken.get(lane, empty)
            ground.floor = self

    def minute(self, at: datetime) -> int:
        """The minute that an instant is in, or at the beginning of."""
        return (at - self.origin) // MINUTE

    def minute_after(self, at: datetime) -> int:
        """The first minute that begins at or after an instant."""
        return -((self.origin - at) // MINUTE)

    def instant(self, minute: int) -> datetime:
        return self.origin + minute * MINUTE

    def hands(self, station: str) -> Lane | None:
        """The hands of a station; None for one that the book does not know: there they are never short."""
        found = self._ground.hands.get(station)
        if found is None and station in self.book.stations:
            found = self._ground.hands[station] = self._lane_of_hands(station)
            self._ground.empty[found] = found.taken
        return found

    def pair_of_hands(self, station: str) -> PoolUse:
        """One pair of the hands of a station that is known: a pool of one lane."""
        found = self._ground.pairs.get(station)
        if found is None:
            lane = self.hands(station)
            assert lane is not None
            found = self._ground.pairs[station] = PoolUse(Pool((lane,)))
        return found

    def places(self, equipment: str) -> Pool:
        """The places of a piece of equipment, each with its racks."""
        found = self._ground.places.get(equipment)
        if found is None:
            found = self._ground.places[equipment] = self._pool_of_places(equipment)
            self._ground.empty.update({lane: lane.taken for lane in found.lanes})
        return found

    def hot(self, equipment: str) -> Lane | None:
        """When something may begin in a piece of equipment since it is hot; None where it always is."""
        known = self._ground.hot
        if equipment not in known:
            times = hot_times(self.state, self.book.equipment[equipment], self._days)
            spans = [] if times is None else [(self.minute_after(on), self.minute(off) + 1, 1) for on, off in times]
            known[equipment] = Lane(1, self.length, self._one_after_the_other(spans)) if spans else None
        return known[equipment]

    def open_on(self, days: Sequence[date], besides: Lane | None) -> Lane:
        """The minutes of these business days, as far as a lane `besides` is open then."""
        found = Lane(1, self.length, self._one_after_the_other([(*self._whole_day(day), 1) for day in days]))
        found.closed |= besides.closed if besides is not None else 0
        return found

    def days(self) -> Sequence[date]:
        """The business days whose minutes these are."""
        return self._days

    def heat(self, at: Temperature | None) -> int:
        """Names a temperature: equal ones, in whichever unit, have one name."""
        key = (*at.degrees.as_integer_ratio(), at.unit) if at is not None else None
        ground = self._ground
        found = ground.heats_as_written.get(key)
        if found is None:
            found = ground.heats_as_written[key] = ground.heats.setdefault(degrees(at), len(ground.heats))
        return found

    def _lane_of_hands(self, station: str) -> Lane:
        openings = sorted(self._openings(station))
        most = max((units for _, _, units in openings), default=1) or 1
        there = self._one_after_the_other(openings)
        busy = [(self.minute(one.begins), self.minute_after(one.ends)) for one in self._plating.get(station, ())]
        if not busy:
            return Lane(most, self.length, there)
        return Lane(
            most,
            self.length,
            ((since, until, units) for begin, end, units in there for since, until in without(begin, end, busy)),
        )

    def _openings(self, station: str) -> Iterator[Opening]:
        found = self.book.stations[station]
        for day in self._days:
            there = cooks(self.state, found, day)
            if found.hours is None:
                yield *self._whole_day(day), there
            else:
                for opens, closes in found.hours.on(day) or ():
                    yield *self._between(day, opens, closes), there
        yield from self._staying(station)

    def _staying(self, station: str) -> Iterator[Opening]:
        """One pair of hands where somebody stays outside the station's hours."""
        spans = stays(self.state, station)
        written = self.book.stations[station].hours
        if not spans or written is None:
            return
        open_ = sorted(self._between(day, *window) for day in self._days for window in written.on(day) or ())
        free_from = 0
        for since, until in spans:
            begin, end = max(self.minute(since), free_from), self.minute_after(until)
            yield from ((*part, 1) for part in without(begin, end, open_))
            free_from = max(free_from, end)

    def _whole_day(self, day: date) -> tuple[int, int]:
        days = self.book.kitchen.days
        if day not in self._wholes:
            self._wholes[day] = self.minute(days.opens(day)), self.minute(days.opens(day + ONE_DAY))
        return self._wholes[day]

    def _between(self, day: date, opens: time, closes: time) -> tuple[int, int]:
        """Hours of a business day; several stations have the same."""
        key = day, opens, closes
        if key not in self._hours:
            begin, end = self.book.kitchen.days.span(day, opens, closes)
            self._hours[key] = self.minute(begin), self.minute(end)
        return self._hours[key]

    def _one_after_the_other(self, openings: list[Opening]) -> Iterator[Opening]:
        """Cut to the lane, and where two overlap the second begins after the first."""
        free_from = 0
        for begin, end, units in openings:
            begin, end = max(begin, free_from), min(end, self.length)
            if end > begin:
                yield begin, end, units
                free_from = end

    def _pool_of_places(self, equipment: str) -> Pool:
        found = self.book.equipment[equipment]
        works = {day: n for (what, day), n in self.state.equipment.items() if what == equipment}
        lanes: list[Lane] = []
        for number in range(max([found.places, *works.values()])):
            there = self._there(found, number, works) if works else None
            # With one rack nobody shares, whatever the temperature.
            one = found.racks == 1
            lanes.append(Lane(1, self.length, there) if one else SettableLane(found.racks, self.length, there))
        return Pool(lanes)

    def _there(self, equipment: Equipment, number: int, works: Mapping[date, int]) -> Iterator[Opening]:
        """When one place of a piece of equipment works."""
        return self._one_after_the_other(
            [
                (*self._whole_day(day), equipment.racks if number < works.get(day, equipment.places) else 0)
                for day in self._days
            ]
        )


def degrees(at: Temperature | None) -> Fraction | None:
    """A temperature in exact degrees Celsius: 320 °F and 160 °C are one."""
    return None if at is None else _celsius(at)


@remembered
def _celsius(at: Temperature) -> Fraction:
    return at.degrees if at.unit == "C" else (at.degrees - 32) / Fraction(9, 5)


def there_is(state: State) -> str:
    """Names the book, the hands and places there are, what they plate and when, and what is missing."""
    changes: tuple[tuple[str, Mapping[Any, Any]], ...] = (
        ("hands", state.hands),
        ("equipment", state.equipment),
        ("missing", state.missing),
        ("given", state.given),
        ("staying", state.staying),
    )
    facts = (f"{name} {key} {value}" for name, of in changes for key, value in sorted(of.items()))
    return name_of([state.book.digest, *facts, *plating_facts(state)])


def there_was(placed_for: str) -> str:
    """Of a digest of what placements follow from only the part that `there_is` names."""
    return placed_for[:NAMES]


def name_of(facts: Sequence[str]) -> str:
    """A short name of facts."""
    return sha256("\n".join(facts).encode()).hexdigest()[:NAMES]
