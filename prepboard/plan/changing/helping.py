"""What helps a line that is late: each action is tried on a copy of the state before it is offered.

Nothing is offered that makes another line late, or later than it is: what it gives is what the plan says once it is
done, since the plan of a state is always the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Dish
from prepboard.book.names import plainly
from prepboard.book.otherwise import AS_WRITTEN, Otherwise, made_otherwise, places_of
from prepboard.book.safety.allergens import carried
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.begun import CODE, begun
from prepboard.plan.changing.drafts import lay_over, set_to
from prepboard.plan.changing.losses import Losses, losses, plates_of, sittings_ahead
from prepboard.plan.changing.room import has_room
from prepboard.plan.changing.staying_on import Gap, gaps, minutes_of, needed, probes
from prepboard.plan.demand.occasions import Occasion
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Sitting, State
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.runs.today import cooks
from prepboard.plan.shown.lines import MakeLine

Kind = Literal["start", "place", "instead", "give", "part", "portion", "stay", "86"]

BEGUN = frozenset({"start", "place", "instead", "part"})
"""Kinds of help that a start does; all others are numbers that are saved."""

BENCHES = 3
"""So many other benches are tried, those with most time first."""
SIZES = 3
"""So many smaller sizes are tried."""
SMALLEST_PORTION = Fraction(3, 4)
"""No portion is made smaller than this part of what it is."""
WORTH = timedelta(minutes=5)
"""What makes it sooner by less than that is no help."""
LAST: Mapping[str, int] = {"stay": 1, "86": 2}
"""What is offered after all else: somebody's break, and then the dish."""
WORST = 5
"""For so many of the latest lines the sous chef's board says what helps."""


class Help(Struct, frozen=True):
    """An action and what it gives. Amounts are millionths of the line's prep.

    "start": the line, begun now, goes before others that can wait (`pushed`). "place", "instead": it is begun now too,
    in other equipment, or with something else in it, as the book allows it (`how`). "give": another `station` makes
    the prep today. "part": a smaller `size` now, `amount` in time, the rest at `rest_at`. "portion": less of the prep
    on each plate of these `dishes`, by one more number each in `changes`. "stay": somebody of `station` stays for
    `stay_minutes` from `since` on, which a sous chef alone may ask of them. "86": these dishes are taken off.
    """

    kind: Kind
    line: MakeLine
    ready_at: datetime | None
    """When the line is ready then; None where it is not needed any more."""
    saves_minutes: int
    guests: int
    """Plates that are not lost, or do not wait, because of it."""
    size: Fraction = Fraction(0)
    amount: int = 0
    rest_at: datetime | None = None
    station: str = ""
    dishes: tuple[str, ...] = ()
    since: str = ""
    """On the kitchen's clock."""
    stay_minutes: int = 0
    portion: Fraction = Fraction(1)
    """How much of its portion is left."""
    how: Otherwise = AS_WRITTEN
    adds: tuple[str, ...] = ()
    """Allergens that it holds only because something else goes in."""
    pushed: tuple[tuple[str, datetime], ...] = ()
    """Preps that give way, with when each is ready then."""
    changes: tuple[Change, ...] = ()
    """The numbers to be saved as one; none where a run is started."""


def helps(board: Board, line: MakeLine) -> tuple[Help, ...]:
    """What helps a line, best first: by plates saved, then by minutes. Nothing where it is in time."""
    return _Trying(board, line).found() if line.late_minutes else ()


def worst(board: Board) -> tuple[MakeLine, ...]:
    """The lines that are late, the costliest first: for how many guests, then by how much. At most `WORST`."""
    held = sittings_ahead(board)
    cost = losses(board, held).by_line
    late = [line for line in board.make if line.late_minutes]
    late.sort(key=lambda line: (-cost[str(line.line)].guests, -line.late_minutes, line.ready_by, str(line.line)))
    return tuple(late[:WORST])


class _Trying:
    """Tries what could help one line of one board."""

    def __init__(self, board: Board, line: MakeLine) -> None:
        self._board, self._line, self._now = board, line, board.now
        self._state: State = board.state
        self._recipe = board.state.book.preps[line.prep]
        self._held: Mapping[Sitting, Occasion] = sittings_ahead(board)
        self._before = losses(board, self._held)
        self._late = {str(one.line): one.late_minutes for one in board.make}

    def found(self) -> tuple[Help, ...]:
        tried = [*self._starts(), *self._otherwise(), *self._benches(), *self._portions(), *self._stays()]
        if self._line.too_late:
            tried += self._offs()
        tried.sort(key=lambda one: (LAST.get(one.kind, 0), -one.guests, -one.saves_minutes))
        return tuple(tried)

    # --- starting it now -------------------------------------------------------------------------------------

    def _starts(self) -> Iterator[Help]:
        """The line begun now, whole; else a smaller size that is in time."""
        whole = self._start(self._line.size)
        if whole and whole.ready_at and whole.ready_at <= self._line.ready_by:
            yield whole
            return
        part = next((one for size in self._smaller() if (one := self._start(size))), None)
        yield from (one for one in (whole, part) if one)

    def _otherwise(self) -> Iterator[Help]:
        """Begun now in other equipment, or with something else in it, where the book says that this does as well; only
        where that is more help than beginning it as it is written."""
        recipe, plain = self._recipe, self._start(self._line.size)
        others = dict.fromkeys(step.or_in for step in recipe.steps if step.or_in)
        ways: list[tuple[Kind, Otherwise]] = [("place", Otherwise(places=places_of(recipe, one))) for one in others]
        ways += [("instead", Otherwise(instead={item: other})) for item, other in recipe.instead.items()]
        for kind, how in ways:
            found = self._start(self._line.size, how, kind)
            if found and (plain is None or _sooner(found, plain)):
                yield found

    def _smaller(self) -> Iterator[Fraction]:
        """Smaller sizes, a half and the smallest among them, the larger first."""
        sizes, size = self._recipe.sizes, self._line.size
        steps = (size - sizes.smallest) // sizes.step if size > sizes.smallest else 0
        chosen = sorted({max(1, steps * number // SIZES) for number in range(1, SIZES + 1)}) if steps else []
        yield from (size - number * sizes.step for number in chosen)

    def _start(self, size: Fraction, how: Otherwise = AS_WRITTEN, kind: Kind = "start") -> Help | None:
        if not self._recipe.steps or not self._can_begin(size, how) or not self._is_there(size):
            return None
        if not has_room(self._board, made_otherwise(self._recipe, how).steps[0], size):
            return None
        after = plan(begun(self._state, self._line, size, self._now, how), self._now, moving=True)
        run = next((one for one in after.under_way if one.run == CODE), None)
        if run is None:
            return None
        ready = run.ready_at
        if size < self._line.size and ready > self._line.ready_by:
            return None
        costs = losses(after, self._held, [(self._line, ready)])
        rest = max((one.ready_at for one in after.make if _is_rest(one, self._line)), default=None)
        pushed = self._pushed(after)
        if pushed is None or (size == self._line.size and ready > self._line.ready_at - WORTH):
            return None
        saved = self._saved(costs)
        if size < self._line.size:
            saved = max(saved, self._part_saved(size))
        kind = kind if size == self._line.size else "part"
        minutes = self._minutes(ready)
        amount = scaled(self._recipe.outputs[self._line.prep], size)
        return Help(
            kind, self._line, ready, minutes, saved, size, amount, rest_at=rest, how=how, adds=self._adds(how),
            pushed=pushed,
        )  # fmt: skip

    def _adds(self, how: Otherwise) -> tuple[str, ...]:
        book = self._state.book
        own = {name for use in self._recipe.uses for name in carried(book, use.item)}
        own.update(self._recipe.allergens)
        return tuple(sorted({name for other in how.instead.values() for name in carried(book, other)} - own))

    def _is_there(self, size: Fraction) -> bool:
        """Whether somebody of the bench is there for the first step's hands, from now on."""
        first = self._recipe.steps[0]
        bench = self._line.station if first.station == self._recipe.station else first.station
        minutes, day = max(1, first.hands_minutes(size)), self._state.book.kitchen.days.business_day(self._now)
        if bench not in self._state.book.stations or not cooks(self._state, self._state.book.stations[bench], day):
            return False
        return RunTimes(self._state, self._now).hours(bench).earliest_start(minutes, self._now) == self._now

    def _can_begin(self, size: Fraction, how: Otherwise) -> bool:
        """Whether what the first step takes is there, and what goes in instead; goods that did not come are not."""
        others = how.instead.values()
        uses = made_otherwise(self._recipe, how).uses
        at_once = [use for use in uses if use.step in (None, 0) or use.item in others]
        if any(use.item in self._state.missing for use in at_once):
            return False
        there: dict[str, int] = {}
        for batch in self._state.batches:
            if not batch.blocked and (batch.use_by is None or batch.use_by > self._now):
                there[batch.prep] = there.get(batch.prep, 0) + batch.left
        preps = [use for use in at_once if use.item in self._state.book.preps]
        named = [use for use in preps if use.step == 0 or use.item in others]
        return all(there.get(use.item, 0) >= scaled(use.amount, size) for use in named)

    def _pushed(self, after: Board) -> tuple[tuple[str, datetime], ...] | None:
        """What gives way, still in time; None where something would be late because of it."""
        were = {str(one.line): one for one in self._board.make}
        given: list[tuple[str, datetime]] = []
        for one in after.make:
            old = were.get(str(one.line))
            if _is_rest(one, self._line):
                continue
            if one.late_minutes > (old.late_minutes if old else 0):
                return None
            if old and one.ready_at > old.ready_at and one.station == self._line.station:
                given.append((one.prep, one.ready_at))
        return tuple(given[:3])

    def _part_saved(self, size: Fraction) -> int:
        """Plates that a part in time is for."""
        return round(self._before.by_line[str(self._line.line)].guests * float(size / self._line.size))

    # --- another bench ---------------------------------------------------------------------------------------

    def _benches(self) -> list[Help]:
        """Another bench makes it today: the one that is ready first, of those with most time."""
        days = self._state.book.kitchen.days
        free = {work.station: work.hands_minutes - work.work_minutes for work in self._board.work}
        others = [one for one in self._state.book.stations if one != self._line.station]
        found: list[Help] = []
        # A line that was put off is given on the day on which it should have begun.
        for day in dict.fromkeys((days.business_day(self._now), days.business_day(self._line.begins))):
            number = Number("given", item=self._line.prep, day=day)
            for station in sorted(others, key=lambda one: -free.get(one, 0))[:BENCHES]:
                changes = (Change(number, set_to(self._state, number), station),)
                gives = self._with(changes)
                if gives and gives[0]:
                    found.append(Help("give", self._line, *gives, station=station, changes=changes))
        return sorted(found, key=lambda one: (-one.guests, -one.saves_minutes))[:1]

    def _with(self, changes: tuple[Change, ...]) -> tuple[datetime | None, int, int] | None:
        """When the line is ready with these numbers, the minutes and the plates that saves; None where it is no
        help."""
        after = plan(lay_over(self._state, changes), self._now, moving=True)
        line = next((one for one in after.make if one.line == self._line.line), None)
        ready = line.ready_at if line else None
        costs = losses(after, self._held)
        if self._pushed_by(after) or (ready is not None and ready > self._line.ready_at - WORTH):
            return None
        if costs.order >= self._before.order:
            return None
        return ready, self._minutes(ready), self._saved(costs)

    def _pushed_by(self, after: Board) -> bool:
        """Whether another line would be late, or later, than it is."""
        own = str(self._line.line)
        return any(one.late_minutes > self._late.get(str(one.line), 0) for one in after.make if str(one.line) != own)

    def _minutes(self, ready: datetime | None) -> int:
        late = -((self._line.ready_by - ready).total_seconds() // 60) if ready else 0
        return max(0, self._line.late_minutes - max(0, int(late)))

    def _saved(self, after: Losses) -> int:
        before = self._before
        return max(0, round(before.lost + before.waiting - after.lost - after.waiting))

    # --- staying -------------------------------------------------------------------------------------------

    def _stays(self) -> list[Help]:
        """Somebody stays in a break, or after hours, no longer than that takes: the shortest of the best."""
        if self._line.waits_for is None:  # it just takes so long
            return []
        found = [help for gap in gaps(self._state, self._line, self._now) if (help := self._stay_in(gap))]
        return sorted(found, key=lambda one: (-one.guests, -one.saves_minutes, one.stay_minutes))[:1]

    def _stay_in(self, gap: Gap) -> Help | None:
        """The shortest stay that helps, for the line where it would lie then or begun at once."""
        asked: set[Change] = set()
        for probe in probes(self._state, gap):
            with_it = lay_over(self._state, (probe,))
            after = plan(with_it, self._now, moving=True)
            lies = next((one.steps for one in after.make if one.line == self._line.line), ())
            at_once = RunTimes(with_it, self._now).after(self._recipe, self._line.size, self._now)
            for steps in (lies, at_once):
                asked.update(needed(self._state, gap, steps, probe))
        for change in sorted(asked, key=lambda one: (minutes_of(one), one.number.on)):
            gives = self._with((change,))
            if gives:
                number, minutes = change.number, minutes_of(change)
                return Help(
                    "stay", self._line, *gives, station=number.item, since=number.on, stay_minutes=minutes,
                    changes=(change,),
                )  # fmt: skip
        return None

    # --- less on a plate, or none ----------------------------------------------------------------------------

    def _portions(self) -> Iterator[Help]:
        """A smaller portion, so that what is there does for all."""
        line, measure = self._line, self._state.book.measure(self._line.prep)
        there = (line.par or 0) - line.short
        if not line.par or there <= 0 or line.short <= 0 or measure.kind == "count" or len(line.serves) != 1:
            return
        part = Fraction(there, line.par)
        if part < SMALLEST_PORTION:
            return
        dishes = self._dishes()
        changes = tuple(self._portion(dish, part) for dish in dishes)
        found = self._with(changes) if changes else None
        if found:
            names = tuple(dish.id for dish in dishes)
            yield Help("portion", line, *found, dishes=names, portion=part, changes=changes)

    def _portion(self, dish: Dish, part: Fraction) -> Change:
        """Rounded down to whole grams or millilitres."""
        use = self._line.serves[0]
        number = Number("portion", item=self._line.prep, day=use.day, on=dish.id)
        seen = set_to(self._state, number)
        now = seen if isinstance(seen, int) else dish.plate[self._line.prep]
        return Change(number, seen, int(now * part) // 1_000_000 * 1_000_000)

    def _dishes(self) -> list[Dish]:
        """The dishes of the line's sitting that take the prep."""
        use = self._line.serves[0]
        occasion = self._held.get((use.service, use.day)) if use.service and not use.run_of else None
        return (
            [self._state.book.dishes[dish] for dish in plates_of(self._board, self._line.prep, occasion)]
            if occasion
            else []
        )

    def _offs(self) -> Iterator[Help]:
        """The dishes that cannot be without it are taken off."""
        if not self._line.serves:
            return
        use, dishes = self._line.serves[0], self._dishes()
        if not dishes or not use.service or self._line.on_hand + self._line.under_way > 0:
            return
        why = plainly(self._state.book.called(self._line.prep))
        numbers = [Number("off", (use.service, use.day), dish.id) for dish in dishes]
        changes = tuple(Change(number, None, why) for number in numbers if set_to(self._state, number) is None)
        if not changes:
            return
        after = plan(lay_over(self._state, changes), self._now, moving=True)
        if not any(one.line == self._line.line for one in after.make):
            yield Help("86", self._line, None, 0, 0, dishes=tuple(dish.id for dish in dishes), changes=changes)


def _sooner(one: Help, other: Help) -> bool:
    """Whether one help saves more plates than another, or is ready sooner by more than is worth nothing."""
    if one.ready_at is None or other.ready_at is None:
        return one.guests > other.guests
    return one.guests > other.guests or one.ready_at <= other.ready_at - WORTH


def _is_rest(one: MakeLine, line: MakeLine) -> bool:
    """Whether a line is the rest of what another one was for, or that one itself."""
    return one.prep == line.prep and one.line.need == line.line.need
