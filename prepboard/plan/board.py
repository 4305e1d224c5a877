"""The Board: everything that screens, papers and scripts show, worked out from a State at one moment."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from functools import cached_property
from math import prod

from msgspec import Struct, field

from prepboard.book.days import ONE_DAY
from prepboard.plan.bringing import bring
from prepboard.plan.closing import close, use_first
from prepboard.plan.counts import left, under_way_or_next
from prepboard.plan.handover import open_closes, tasks
from prepboard.plan.history import usual_error
from prepboard.plan.horizon import horizon
from prepboard.plan.learning import fold, keepable
from prepboard.plan.lines import (
    Bring,
    Change,
    Closing,
    Expiring,
    Left,
    LeftOver,
    MakeLine,
    OpenClose,
    ParLine,
    Pull,
    SittingLine,
    TaskLine,
    UnderWay,
    UseFirst,
    Work,
)
from prepboard.plan.morning import Morning, morning
from prepboard.plan.needs import work_out
from prepboard.plan.occasions import Occasion, ahead
from prepboard.plan.pars import Par, pars
from prepboard.plan.placing.kitchen import NOT_PLACED, Placing, place_runs
from prepboard.plan.placing.settling import settle
from prepboard.plan.pulling import pull
from prepboard.plan.readiness import make_lines
from prepboard.plan.runs import Bench
from prepboard.plan.state import CoversError, HandOver, Learned, Placed, Run, Sitting, State
from prepboard.plan.stock import Lot
from prepboard.plan.today import changes
from prepboard.plan.using_up import using_up
from prepboard.plan.walking import Answer
from prepboard.plan.watching import Watch, held_back, watch
from prepboard.plan.work import work_left


class Board(Struct, frozen=True, dict=True):
    """`plan`'s answer. `make` is in order of start-by, `sittings` and `pars` by time, `expiring` by use-by."""

    state: State
    now: datetime
    sittings: tuple[SittingLine, ...]
    make: tuple[MakeLine, ...]
    under_way: tuple[UnderWay, ...]
    expiring: tuple[Expiring, ...]
    left: tuple[Left, ...]
    pars: tuple[ParLine, ...]
    pull: tuple[Pull, ...]
    work: tuple[Work, ...]
    left_over: tuple[LeftOver, ...] = ()
    """By prep in book order, then by use-by."""
    bring: tuple[Bring, ...] = ()
    """To the line, for the sitting under way or next, by station."""
    tasks: tuple[TaskLine, ...] = ()
    """Of this business day, done or not, by when they are due."""
    notes: tuple[HandOver, ...] = ()
    """Those not ticked off, and those ticked off on this business day; the oldest first."""
    watch: Watch = field(default_factory=Watch)
    placing: Placing = NOT_PLACED

    @property
    def new_placing(self) -> Placing | None:
        """Where the runs were placed, when that is not what the file has: whoever changed it keeps it."""
        return self.placing if self.placing.digest != self.state.placed_for else None

    @property
    def new_shorts(self) -> dict[tuple[str, str], date]:
        """(prep, need) -> day of what is short in a sitting under way and not yet known to be: whoever works the
        plan out first keeps the moment, so that a ready-by does not move every minute."""
        running = {(line.service, line.day) for line in self.sittings if line.running}
        short = {
            (par.prep, f"{par.service}.{par.day.isoformat()}"): par.day
            for par in self.pars
            if par.short and par.to_make and (par.service, par.day) in running
        }
        return {key: day for key, day in short.items() if key not in self.state.short_since}

    @property
    def learned(self) -> Mapping[str, Learned]:
        """What is known of each dish by now."""
        return fold(self.state, self.now).now.dishes

    @property
    def covers_error(self) -> float:
        """The usual relative error of booked covers; 0 until enough sittings are known."""
        return usual_error(fold(self.state, self.now).now.covers_error)

    @property
    def new_run_outs(self) -> dict[Sitting, tuple[str, ...]]:
        """The dishes of the sitting under way of which plates went out and nothing is left, not yet known to be."""
        sitting = next((line for line in self.sittings if line.running), None)
        if sitting is None:
            return {}
        key = (sitting.service, sitting.day)
        known = self.state.tonight[key].out if key in self.state.tonight else {}
        out = tuple(
            line.dish
            for line in self.left
            if line.eighty_six
            and not line.taken_off
            and line.dish not in known
            and self.state.plated.get((*key, line.dish), 0) > 0
        )
        return {key: out} if out else {}

    @cached_property
    def new_learned(self) -> tuple[date, Mapping[str, Learned], CoversError] | None:
        """What closed services taught that may be kept: up to which day, of which dishes, and how far covers were
        off. Whoever works it out first keeps it, so that no evening is learned anew each time."""
        return keepable(self.state, fold(self.state, self.now))

    @cached_property
    def open_closes(self) -> tuple[OpenClose, ...]:
        """The closes that a station has not signed, oldest first."""
        return open_closes(self.state)

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """What is different from the book, today and on the days ahead."""
        return changes(self.state, self.now)

    @cached_property
    def closing(self) -> Closing:
        """The close's lists as if the kitchen closed now; worked out when first asked for: it looks further."""
        return close(self.state, self.now, self.make, self.pull)

    @cached_property
    def morning(self) -> Morning:
        """What the night left, until the day's first sitting begins."""
        return morning(self.state, self.now, self.under_way, self.tasks, self.open_closes)

    @cached_property
    def using_up(self) -> tuple[UseFirst, ...]:
        """Where what expires or is left over could go; worked out when first asked for."""
        return using_up(self.state, self.now)


def plan(state: State, now: datetime) -> Board:
    """Works out the board of a kitchen at one moment; pure, the same answer for the same state and moment."""
    seen, runs = watch(state, now), state.runs
    state = held_back(state, seen)
    bench = Bench(state, now)
    until = horizon(state, now)
    held = ahead(state, now, until)
    known = pars(state, now, until, held)
    needs = work_out(state, now, until, known, bench)
    placing = place_runs(state, needs.planned, runs, bench)
    settle(needs.planned, placing, bench)
    make = tuple(make_lines(needs.planned, bench))
    under_way, counted = all_under_way(runs, bench, placing.under_way), under_way_or_next(state, now)
    of_day = tasks(state, now)
    return Board(
        state=state,
        now=now,
        sittings=tuple(_sitting(state, occasion, known, now) for occasion in held),
        make=make,
        under_way=under_way,
        expiring=all_expiring(state, now),
        left=left(state, now, counted, coming(counted, make, under_way)),
        pars=_par_lines(needs.answers),
        pull=pull(state.book, make, needs.answers, now),
        work=work_left(state, now, held[0] if held else None, make, under_way, of_day, bench),
        bring=bring(state, now, counted, known),
        tasks=of_day,
        notes=state.notes,
        left_over=_left_over(state, needs.left),
        watch=seen,
        placing=placing,
    )


def all_under_way(runs: Iterable[Run], bench: Bench, placed: Mapping[str, tuple[Placed, ...]]) -> tuple[UnderWay, ...]:
    shown = (_under_way(run, bench, placed.get(run.code, ())) for run in runs)
    return tuple(sorted(shown, key=lambda run: (run.next_at, run.run)))


def coming(occasion: Occasion | None, make: tuple[MakeLine, ...], under_way: tuple[UnderWay, ...]) -> set[str]:
    """The preps that a run gives before a sitting ends."""
    if occasion is None:
        return set()
    there = {prep for run in under_way if run.ready_at < occasion.ends for prep in run.outputs}
    return there | {prep for line in make if line.ready_if_started_now < occasion.ends for prep in line.outputs}


def _sitting(state: State, occasion: Occasion, known: Iterable[Par], now: datetime) -> SittingLine:
    chances = [chance for par in known if par.occasion is occasion and (chance := par.chance(par.amount)) is not None]
    booked = occasion.service.covers.on(occasion.day) or 0
    return SittingLine(
        occasion.service.id,
        occasion.day,
        occasion.covers,
        booked,
        occasion.starts,
        occasion.ends,
        occasion.set_by,
        occasion.running(now),
        prod(chances) if chances and not occasion.tonight.special else None,
    )


def _under_way(run: Run, bench: Bench, placed: tuple[Placed, ...]) -> UnderWay:
    steps = run.recipe.steps
    current = placed[0] if placed else None
    last = run.step + 1 >= len(steps)
    return UnderWay(
        run.code,
        run.recipe.id,
        run.station,
        run.outputs.get(run.recipe.id, 0),
        run.size,
        run.by,
        run.started,
        run.step if current else -1,
        steps[run.step].do if current else "",
        "" if last else steps[run.step + 1].do,
        current.ends if current else run.started,
        placed[-1].ends if placed else bench.now,
        run.outputs,
        placed,
    )


def all_expiring(state: State, now: datetime) -> tuple[Expiring, ...]:
    """What ends within three business days, today the first, and what has ended already."""
    days = state.book.kitchen.days
    limit = days.opens(days.business_day(now) + 3 * ONE_DAY)
    ending = [batch for batch in state.batches if batch.use_by is not None and batch.use_by <= limit]
    ending.sort(key=lambda batch: (batch.use_by, batch.prep, batch.code))
    return tuple(Expiring(batch, use_first(days, batch, now)) for batch in ending)


def _left_over(state: State, lots: Iterable[Lot]) -> tuple[LeftOver, ...]:
    amounts: dict[tuple[int, datetime, str], int] = defaultdict(int)
    for lot in lots:
        if lot.good_until is not None and not lot.frozen:
            amounts[state.book.preps[lot.prep].order, lot.good_until, lot.prep] += lot.left
    return tuple(LeftOver(prep, amounts[order, good, prep], good) for order, good, prep in sorted(amounts))


def _par_lines(answers: Iterable[Answer]) -> tuple[ParLine, ...]:
    lines = [_par_line(answer, answer.need.par) for answer in answers if answer.need.par]
    return tuple(lines)


def _par_line(answer: Answer, par: Par) -> ParLine:
    occasion = par.occasion
    special = occasion is not None and occasion.tonight.special
    return ParLine(
        service=occasion.service.id if occasion else "",
        day=par.day,
        covers=occasion.covers if occasion else 0,
        prep=par.prep,
        par=par.amount,
        source=par.source,
        stage=par.stage,
        chance=None if special else par.chance(par.amount),
        expected=par.expected,
        on_hand=answer.on_hand,
        under_way=answer.under_way,
        short=answer.short,
        thin=answer.thin,
        to_make=sum(run.outputs.get(par.prep, 0) for run in answer.planned),
        promise=par.promise,
        special=special,
        dishes=par.dishes,
    )
