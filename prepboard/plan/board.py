"""The Board: everything that screens, papers and scripts show, worked out from a State at one moment."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from functools import cached_property

from msgspec import Struct, field

from prepboard.plan.as_lines import all_expiring, all_left_over, all_under_way, par_lines, sitting_line
from prepboard.plan.demand.closed_evenings import fold, keepable
from prepboard.plan.demand.occasions import Occasion
from prepboard.plan.floor.placing import NOT_PLACED, Placing
from prepboard.plan.floor.readiness import make_lines
from prepboard.plan.floor.settling import settle
from prepboard.plan.floor.work import work_left
from prepboard.plan.given.learned import Common, Learned
from prepboard.plan.given.state import HandOver, Sitting, State
from prepboard.plan.leftovers.bringing import bring
from prepboard.plan.leftovers.closing import close
from prepboard.plan.leftovers.pulling import pull
from prepboard.plan.leftovers.use_first import using_up
from prepboard.plan.memory import planning
from prepboard.plan.outline import Outline, outline
from prepboard.plan.probes.watching import Watch, held_back
from prepboard.plan.runs.stock import Lot
from prepboard.plan.runs.today import changes
from prepboard.plan.service.coming import coming
from prepboard.plan.service.counts import left, serving
from prepboard.plan.service.handover import current, open_closes, tasks
from prepboard.plan.service.morning import Morning, morning
from prepboard.plan.service.on_vans import on_vans
from prepboard.plan.shown.closing_lines import Closing, LeftOver, UseFirst
from prepboard.plan.shown.day_lines import DayChange, OpenClose, TaskLine
from prepboard.plan.shown.lines import (
    Bring,
    Expiring,
    Left,
    MakeLine,
    ParLine,
    Pull,
    SittingLine,
    StationWork,
    UnderWay,
)


class Board(Struct, frozen=True, dict=True):
    """`plan`'s answer. `make` is in order of start-by, `sittings` and `pars` by time, `expiring` by use-by."""

    state: State
    now: datetime
    sittings: tuple[SittingLine, ...]
    make: tuple[MakeLine, ...]
    under_way: tuple[UnderWay, ...]
    expiring: tuple[Expiring, ...]
    pars: tuple[ParLine, ...]
    pull: tuple[Pull, ...]
    work: tuple[StationWork, ...]
    given_left: tuple[Left, ...] | None = None
    """`left`, where that is not worked out of the rest: it is that of some benches, or was known already."""
    lots: Mapping[str, Sequence[Lot]] = field(default_factory=dict)
    """What there is and what runs will give, by prep, less what the needs take of it."""
    bring: tuple[Bring, ...] = ()
    """To the line, for the sitting under way or next, by station."""
    tasks: tuple[TaskLine, ...] = ()
    """Of this business day, done or not, by when they are due."""
    notes: tuple[HandOver, ...] = ()
    """Those not ticked off, and those ticked off on this business day; the oldest first."""
    watch: Watch = field(default_factory=Watch)
    served: tuple[Occasion, ...] = ()
    """The sittings that plates are counted for: those that run, the one last begun at the end; else the next one."""
    placing: Placing = NOT_PLACED

    @cached_property
    def left(self) -> tuple[Left, ...]:
        """Plates left of every dish of the sittings that are `served`; worked out when first asked for."""
        if self.given_left is not None:
            return self.given_left
        state, now = self.state, self.now
        return left(state, now, self.served, coming(state, now, self.make, self.under_way, on_vans(state, now)))

    @property
    def looked_at_left(self) -> tuple[Left, ...] | None:
        """`left`, if anybody asked for it."""
        return self.__dict__.get("left", self.given_left)

    @cached_property
    def left_over(self) -> tuple[LeftOver, ...]:
        """What no need takes, by prep in book order, then by use-by."""
        return all_left_over(self.state, self.lots)

    @property
    def new_shorts(self) -> dict[tuple[str, str], date]:
        """(prep, need) -> day of what is short in a sitting under way and not yet known to be: whoever works the
        plan out first keeps the moment, so that a ready-by does not move every minute."""
        short = {
            key: par.day
            for key, par in self._pars_of_now()
            if par.short and par.to_make and not self._there_for_now(key, par)
        }
        return {key: day for key, day in short.items() if key not in self.state.short_since}

    @property
    def ended_shorts(self) -> dict[tuple[str, str], date]:
        """(prep, need) -> day of what was short in a sitting under way and is there now, if only for a while: when it
        is short once more it is so from then on. What is only under way may still fail, and ends nothing."""
        known = self.state.short_since
        return {key: par.day for key, par in self._pars_of_now() if key in known and self._there_for_now(key, par)}

    def _pars_of_now(self) -> Iterator[tuple[tuple[str, str], ParLine]]:
        running = {(line.service, line.day) for line in self.sittings if line.running}
        for par in self.pars:
            if (par.service, par.day) in running:
                yield (par.prep, f"{par.service}.{par.day.isoformat()}"), par

    def _there_for_now(self, key: tuple[str, str], par: ParLine) -> bool:
        """Whether what guests take now is on hand: all that they will, or all up to when the next of it must be
        ready."""
        if par.on_hand >= par.par:
            return True
        lines = [line for line in self.make if (line.line.prep, line.line.need) == key]
        return par.on_hand > 0 and bool(lines) and all(line.ready_by > self.now for line in lines)

    @property
    def learned(self) -> Mapping[str, Learned]:
        """What is known of each dish by now."""
        return fold(self.state, self.now).now.dishes

    @property
    def learned_of_kitchen(self) -> Common:
        """What is known of the kitchen as a whole by now."""
        return fold(self.state, self.now).now.common

    @property
    def new_run_outs(self) -> dict[Sitting, dict[str, datetime]]:
        """By sitting, the dishes that a count in it found to be 86, of which plates went out, not yet known to be; each
        with when what it lacks was last counted, or the last plate of it went out."""
        found: dict[Sitting, dict[str, datetime]] = {}
        running = {(line.service, line.day) for line in self.sittings if line.running}
        for line in self.left if running else ():
            key = (line.service, line.day)
            known = self.state.tonight[key].out if key in self.state.tonight else {}
            went_out = self.state.plated.get((*key, line.dish), 0) > 0
            if key in running and line.eighty_six and not line.taken_off and line.dish not in known and went_out:
                found.setdefault(key, {})[line.dish] = self._last_known(line, key)
        return found

    def _last_known(self, left: Left, sitting: Sitting) -> datetime:
        """When somebody last knew how much there was of what a dish lacks in a sitting."""
        preps = {lack.prep for lack in left.lacks if lack.why == "counted" and lack.until is None}
        takers = (dish.id for dish in self.state.book.dishes.values() if not preps.isdisjoint(dish.plate))
        plates = (self.state.plated_at.get((*sitting, dish)) for dish in takers)
        moments = [*(self.state.counted_at.get(prep) for prep in preps), *plates]
        return max((at for at in moments if at is not None and at <= self.now), default=self.now)

    @cached_property
    def new_learned(self) -> tuple[date, Mapping[str, Learned], Common] | None:
        """What closed services taught that may be kept: up to which day, of which dishes, and of the kitchen as a
        whole. Whoever works it out first keeps it, so that no evening is learned anew each time."""
        return keepable(self.state, fold(self.state, self.now))

    @cached_property
    def open_closes(self) -> tuple[OpenClose, ...]:
        """The closes that a station has not signed, oldest first."""
        return open_closes(self.state)

    @cached_property
    def changes(self) -> tuple[DayChange, ...]:
        """What is different from the book, today and on the days ahead."""
        return changes(self.state, self.now)

    @cached_property
    def closing(self) -> Closing:
        """The close's lists as if the kitchen closed now; worked out when first asked for: it looks further."""
        with planning:
            return close(self.state, self.now, self.make, self.pull)

    @cached_property
    def morning(self) -> Morning:
        """What the night left, until the day's first sitting begins."""
        return morning(self.state, self.now, self.under_way, self.tasks, self.open_closes)

    @cached_property
    def using_up(self) -> tuple[UseFirst, ...]:
        """Where what expires or is left over could go; worked out when first asked for."""
        with planning:
            return using_up(self.state, self.now)


def plan(state: State, now: datetime, moving: bool = False) -> Board:
    """Works out the board of a kitchen at one moment; pure, the same answer for the same state and moment. One at a
    time, whatever thread asks: what is remembered between plans belongs to the one that plans.

    `moving` is for what an action keeps, and for what one would come to that is tried or typed: only then does what
    lies somewhere move for the sake of others.
    """
    with planning:
        return write_out(outline(state, now, moving), state)


def write_out(found: Outline, given: State) -> Board:
    """The lines of an outline, once; `given` is the state as it is now, in which nothing but what was kept of this very
    outline may differ from the one that was planned."""
    state, now, run_times, placing = found.state, found.now, found.run_times, found.placing
    settle(found.needs.planned, placing, run_times)
    make = tuple(make_lines(found.needs.planned, placing, found.floor, run_times, given.placements))
    under_way = all_under_way(found.runs, run_times, placing.under_way, placing.placements)
    served = serving(state, now)
    of_day = tasks(state, now)
    shown = (*_last_plates(served, now), *found.held)
    return Board(
        state=held_back(given, found.watch),
        now=now,
        sittings=tuple(sitting_line(state, occasion, found.pars, now) for occasion in shown),
        make=make,
        under_way=under_way,
        expiring=all_expiring(state, now),
        pars=par_lines(found.needs.answers),
        pull=pull(run_times, make, found.needs.answers),
        work=work_left(state, now, found.held[0] if found.held else None, make, under_way, of_day, run_times),
        bring=bring(state, now, served[-1] if served else None, found.pars),
        tasks=of_day,
        notes=current(state, now),
        lots=found.needs.lots,
        watch=found.watch,
        served=served,
        placing=placing,
    )


def _last_plates(served: tuple[Occasion, ...], now: datetime) -> list[Occasion]:
    """Those that run on after their written end."""
    return [occasion for occasion in served if occasion.ends <= now]
