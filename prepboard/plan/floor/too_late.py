"""Too late: what can still be done about a run that will not be ready in time."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cached_property
from itertools import accumulate

from prepboard.book.book import Book, Dish
from prepboard.plan.given.state import Sitting
from prepboard.plan.memory import memory_of
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.runs.stock import Lot, Need
from prepboard.plan.shown.lines import Note

MOST_SIZES = 40
"""So many smaller sizes are tried."""
MINUTE = timedelta(minutes=1)


def for_nobody(
    planned: Iterable[Planned], ready: Mapping[str, datetime], not_made: Collection[str] = frozenset()
) -> set[str]:
    """Of runs, users first, those that are `ready` when all that they are for is over, for nobody itself or `not_made`,
    and that no other run takes of; by name. Later sittings that would have some of what is left ask for themselves.
    Those of which nobody knows when they are ready are left out."""
    found: set[str] = set()
    for run in planned:
        at = ready.get(run.name)
        needs = _for_it(run)
        if (
            at is not None
            and needs
            and all(
                at >= need.occasion.ends if need.occasion is not None else need.key in found or need.key in not_made
                for need in needs
            )
        ):
            found.add(run.name)
    return found


def lost(planned: Sequence[Planned], now: datetime) -> set[str]:
    """Those that are too late where they lie, by name: all that they are for is over, too late itself, or with that
    cannot be made."""
    ready = _ready(planned, now)
    found, not_made = for_nobody(planned, ready), {run.name for run in planned if cannot_be(run)}
    return found | (for_nobody(planned, ready, not_made) - not_made) if not_made else found


def not_for(planned: Sequence[Planned], now: datetime) -> dict[str, tuple[Sitting, ...]]:
    """By name the sittings that a run was planned for and misses: over when it is ready, or whatever takes of it for
    that sitting misses it too, or cannot be made. Of runs, users first."""
    ready, not_made = _ready(planned, now), {run.name for run in planned if cannot_be(run)}
    found: dict[str, tuple[Sitting, ...]] = {}
    for run in planned:
        at, misses = ready[run.name], {(need.service or "", need.service_day): True for need, _ in run.serves}
        for need in _for_it(run):
            sitting = need.service or "", need.service_day
            if need.occasion is not None:
                missed = at >= need.occasion.ends
            else:
                missed = need.key in not_made or sitting in found.get(need.key, ())
            misses[sitting] = missed and misses.get(sitting, False)
        over = tuple(sitting for sitting, missed in misses.items() if missed and sitting[0])
        if over:
            found[run.name] = over
    return found


def _for_it(run: Planned) -> list[Need]:
    """What a run is for, and what other runs take of it."""
    return [*(need for need, _ in run.serves), *(need for need in run.draw if need.run_of is not None)]


def _ready(planned: Iterable[Planned], now: datetime) -> dict[str, datetime]:
    return {run.name: max(run.ready, now) + thaw(run.recipe) for run in planned}


def only_for(planned: Iterable[Planned], lost: Collection[str]) -> set[str]:
    """Of runs, users first, those that only such take which are `lost`, or are taken by nobody else either; by name."""
    found: set[str] = set()
    for run in planned:
        needs = [*(need for need, _ in run.serves), *run.draw]
        if needs and all(need.occasion is None and (need.key in lost or need.key in found) for need in needs):
            found.add(run.name)
    return found


def hopeless(planned: Sequence[Planned], lasts: Callable[[Planned, Need], bool]) -> Iterator[tuple[Planned, str]]:
    """Runs, givers first, that fit nowhere or whose batch does not last until anybody would take of it; and those that
    need what such a run would give, planned for them or not, with the prep that they lack. One that another takes of
    while it lasts is made, and those for which it was to be made and that have nothing else lack it."""
    lacks: dict[str, str] = {}
    for run in reversed(planned):
        asked = [need for need, _ in run.serves]
        lost = [*asked, *run.draw]
        in_vain = run.name in lacks or cannot_be(run)
        if not in_vain:
            ended = [need for need in lost if not lasts(run, need)]
            in_vain = bool(lost) and len(ended) == len(lost)
            lost = lost if in_vain else [need for need in ended if not need.drawn]
        if in_vain:
            yield run, lacks.get(run.name, "")
        lacks |= {need.key: need.prep for need in lost if need.run_of is not None}


def cannot_be(run: Planned) -> bool:
    """Whether it is said that a run cannot be made."""
    return any(note.kind == "cannot fit" for note in run.notes)


def wasted(run: Planned) -> bool:
    """Whether the batch has ended by the time anybody would take of it."""
    needs = [*(need for need, _ in run.serves), *run.draw]
    return bool(needs) and not any(lasts(run, need) for need in needs)


def lasts(run: Planned, need: Need) -> bool:
    """Whether some of the batch is good when it is taken."""
    return _alive(run.lots.get(need.prep), need)


def _alive(lot: Lot | None, need: Need) -> bool:
    """Whether some of a batch is good when it is taken; late is no reason that it is not."""
    if lot is None or (lot.good_until is None and lot.fresh_for is None):
        return True
    first = max(need.at if need.occasion is not None else need.ready_by, lot.there)
    ends = lot.for_guests(first) if need.occasion is not None else lot.ends_at(first)
    return ends is None or ends > first


def late_amounts(planned: Iterable[Planned]) -> dict[int, int]:
    """By `id` of a need, how much of it is made by runs that are ready later than it is needed: those too that follow
    while its guests come, since what keeps too short for all of them was made before."""
    late: dict[int, int] = defaultdict(int)
    for run in planned:
        for need, amount in run.serves:
            if run.ready > need.ready_by:
                late[id(need)] += amount
    return late


def late_notes(
    run: Planned,
    ready: datetime,
    alone: datetime,
    there: Mapping[int, datetime],
    giving_way: GivingWay,
    late: Mapping[int, int],
    run_times: RunTimes,
) -> Iterator[Note]:
    """For a run that would be `ready` after its ready-by (`alone`: with all hands and places to itself): by how much,
    what of the par is there in time, a smaller size that is not late, who could give way, and what is 86. `late` are
    the `late_amounts`."""
    if ready <= run.ready_by:
        return
    yield Note("late by", {"minutes": -((run.ready_by - ready) // MINUTE), "at": ready})
    for need, _ in run.serves:
        if need.par is not None and need.ready_by < ready:
            yield from _of_par(need, ready, late, run_times)
    size = _smaller(run, there, run_times)
    if size is not None:
        amount = scaled(run.recipe.outputs[run.need.prep], size)
        yield Note("smaller in time", {"size": size, "item": run.need.prep, "amount": amount})
    if alone <= run.ready_by:
        rival = giving_way.to(run, ready)
        if rival is not None:
            yield Note("could give way", {"item": rival.recipe.id, "at": rival.ready_by})


def _of_par(need: Need, ready: datetime, late: Mapping[int, int], run_times: RunTimes) -> Iterator[Note]:
    """What of a par is there by its ready-by, and when the rest is; the dishes that cannot be plated until then."""
    reachable = max(0, need.amount - late.get(id(need), 0))
    yield Note("in time", {"item": need.prep, "amount": reachable, "par": need.amount, "at": ready})
    occasion = need.occasion
    if occasion is not None and not reachable and ready > occasion.starts:
        dishes = [
            dish.id for dish in _dishes_of(run_times.book).get(need.prep, ()) if occasion.service.id in dish.services
        ]
        if dishes:
            yield Note("off until", {"dishes": tuple(dishes), "at": None if ready >= occasion.ends else ready})


def _dishes_of(book: Book) -> Mapping[str, Sequence[Dish]]:
    """By prep or good the dishes that it is on, in the book's order."""
    return memory_of(book).once("dishes of items", lambda: _by_item(book))


def _by_item(book: Book) -> Mapping[str, Sequence[Dish]]:
    found: dict[str, list[Dish]] = defaultdict(list)
    for dish in book.dishes.values():
        for item in dish.plate:
            found[item].append(dish)
    return dict(found)


def _smaller(run: Planned, there: Mapping[int, datetime], run_times: RunTimes) -> Fraction | None:
    """The largest smaller size that by itself would still be ready in time."""
    sizes = run.recipe.sizes
    steps = min(MOST_SIZES, -((sizes.smallest - run.size) // sizes.step))
    if not any(step.hands_on_each for step in run.recipe.steps):
        # All sizes take as long.
        steps = min(steps, 1)
    for number in range(1, steps + 1):
        size = run.size - number * sizes.step
        if size < sizes.smallest:
            return None
        moments = run_times.moments_after(run.recipe, size, run_times.now, there)
        if moments and moments[-1] <= run.ready_by:
            return size
    return None


Begins = tuple[list[datetime], list[int]]
"""Moments at which something begins, in order, and up to each the first of the runs that do."""
NOBODY: Begins = [], []


class GivingWay:
    """Which run could give way to a late one: the least urgent that takes the same hands or places then."""

    def __init__(self, planned: Sequence[Planned], now: datetime) -> None:
        self._runs = sorted(planned, key=lambda run: run.recipe.order)
        self._runs.sort(key=lambda run: run.ready_by, reverse=True)
        self._now = now

    def to(self, run: Planned, ready: datetime) -> Planned | None:
        """Of those needed later than the run that begin something on its benches or in its equipment before it is
        `ready`; None where there is none."""
        firsts = []
        for at, of in {(placed.station, placed.equipment) for placed in run.steps}:
            for what in (("station", at), ("equipment", of)):
                begins, first = self._by_begin.get(what, NOBODY)
                before = bisect_left(begins, ready)
                firsts += first[before - 1 : before]
        rival = self._runs[min(firsts)] if firsts else run
        return rival if rival.ready_by > run.ready_by else None

    @cached_property
    def _by_begin(self) -> Mapping[tuple[str, str | None], Begins]:
        """By bench and by piece of equipment what begins there from now on."""
        found: dict[tuple[str, str | None], list[tuple[datetime, int]]] = defaultdict(list)
        for number, run in enumerate(self._runs):
            for placed in run.steps:
                if placed.begins >= self._now:
                    if placed.station:
                        found["station", placed.station].append((placed.begins, number))
                    if placed.equipment:
                        found["equipment", placed.equipment].append((placed.begins, number))
        in_order = {what: sorted(here) for what, here in found.items()}
        return {
            what: ([at for at, _ in here], list(accumulate((number for _, number in here), min)))
            for what, here in in_order.items()
        }
