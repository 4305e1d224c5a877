"""Stock: the lots that needs draw on, and what of them counts for a need.

A lot is a batch on hand, what a run under way will give, or what a planned run would give. Lots stand in the order
in which they expire.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Literal

from msgspec import Struct, field

from prepboard.book.amounts import DUST
from prepboard.book.book import Book
from prepboard.plan.demand.occasions import Curve, Occasion, come
from prepboard.plan.demand.pars import Par
from prepboard.plan.service.freshness import fresh_for
from prepboard.plan.service.thawing import Thaw


class Lot(Struct, gc=False):
    """Some of one prep that is, or will be, there. `source` is "batch", "run", "van" or "planned", `name` its
    code, its note or the text of its line."""

    prep: str
    left: int
    there: datetime
    good_until: datetime | None
    source: Literal["batch", "run", "van", "planned"]
    name: str
    set_aside: str = ""
    thaw: Thaw | None = None
    """Of what is frozen, or will be."""
    fresh_for: timedelta | None = None
    """How long it goes onto plates once it is ready or thawed; None: as long as it is good."""
    fresh_until: datetime | None = None
    """Of what is ready by itself, or will be: until when that is."""

    def copy(self) -> Lot:
        return Lot(
            self.prep,
            self.left,
            self.there,
            self.good_until,
            self.source,
            self.name,
            self.set_aside,
            self.thaw,
            self.fresh_for,
            self.fresh_until,
        )

    @property
    def frozen(self) -> bool:
        """A batch that is to be taken out of the freezer for whoever needs it."""
        return self.thaw is not None and self.source == "batch"

    def good_at(self, at: datetime) -> bool:
        """Good up to, not at, its use-by."""
        return self.good_until is None or at < self.good_until

    def ends(self, need: Need) -> datetime | None:
        """Until when it is good for a need: what is frozen counts on from the thaw for it."""
        return self.ends_at(self.taken_at(need))

    def taken_at(self, need: Need) -> datetime:
        """When a need takes of it: later where what lies in a freezer, thawed by when it is asked for, would be over by
        then. What is still to be made has to last until then."""
        return self.thaw.soonest(need.ready_by) if self.thaw and self.frozen else need.ready_by

    def ends_at(self, at: datetime) -> datetime | None:
        """Until when it is good if it is taken at a moment, thawed just in time for it."""
        return self.thaw.good_until(at) if self.thaw else self.good_until

    def for_guests(self, at: datetime) -> datetime | None:
        """Until when it goes onto plates if it is taken at a moment, thawed just in time for it."""
        ends = self.ends_at(at)
        if self.fresh_for is None:
            return ends
        fresh = at + self.fresh_for if self.thaw else self.fresh_until
        return min((one for one in (ends, fresh) if one is not None), default=None)


class Need(Struct, gc=False):
    """One call on a prep: a par, or what a run takes.

    `at` is when it must be there, `until` up to when it must be good (a service ends just before its end),
    `amount` the par or what the run takes, `expected` what will be gone afterwards. `service` and `service_day`
    name the service at the end of the chain.
    """

    prep: str
    key: str
    at: datetime
    ready_by: datetime
    until: datetime
    amount: int
    expected: int
    day: date
    order: int
    service: str | None
    service_day: date
    run_of: str | None = None
    in_vain: bool = False
    """What takes it fits no hours, or helps nobody: a run under way does, however late, and others come first."""
    nowhere: bool = False
    """What takes it soon lies nowhere yet: what somebody is about to begin comes first."""
    par: Par | None = None
    occasion: Occasion | None = None
    """The par's sitting."""
    drawn: list[tuple[Lot, int]] = field(default_factory=list)
    to_thaw: list[tuple[Lot, int]] = field(default_factory=list)
    """What stands ready of a par beyond what is expected to be gone, and is frozen still: who leaves it in the freezer
    lacks it once it can no longer be thawed in time."""

    @property
    def goes(self) -> Curve:
        """When which share of it goes out at its sitting: as its dishes do, else as the guests come."""
        occasion = self.occasion
        return (self.par.goes if self.par else ()) or (occasion.arrivals if occasion else ())

    def short(self, counts: int) -> int:
        """What is short of it when so much counts; less than a thousandth of a portion is nothing."""
        short = self.amount - counts
        return short if short > DUST and (self.par is None or short > self.par.tolerance) else 0


class Counted(Struct, frozen=True, gc=False):
    """What counts for a need: how much of which lot, and by when the rest must be ready."""

    lots: list[tuple[Lot, int]]
    rest_by: datetime
    total: int

    @property
    def by_source(self) -> tuple[int, int, int]:
        """Of batches, of what is under way, be it runs or vans, and of planned runs."""
        batches = under_way = planned = 0
        for lot, amount in self.lots:
            source = lot.source
            if source == "batch":
                batches += amount
            elif source == "planned":
                planned += amount
            else:
                under_way += amount
        return batches, under_way, planned


def keep_fresh(lot: Lot, book: Book, ready: datetime) -> None:
    """Says until when what is ready at a moment goes onto plates."""
    lot.fresh_for = fresh_for(book, lot.prep)
    lot.fresh_until = ready + lot.fresh_for if lot.fresh_for is not None else None


def minute_of(at: datetime) -> datetime:
    """The minute in which something is there: keys are pressed within the minute, plans know whole ones."""
    return at.replace(second=0, microsecond=0) if at.second or at.microsecond else at


def what_counts(need: Need, lots: Iterable[Lot], soonest: datetime, now: datetime) -> Counted:
    """What of the lots, in order of use-by, counts for a need.

    For a service what is good to its end counts whole; what ends during it counts for the guests who have come by
    then, and what is late as long as guests come; frozen only if a new run could not be there sooner (`soonest`). For a
    run: what is there, or is made sooner than a new run could be, and good when taken.
    """
    fit = [lot for lot in lots if lot.left > 0 and (not lot.set_aside or lot.set_aside == need.key)]
    if not fit:
        return Counted([], need.ready_by, 0)
    occasion = need.occasion
    return _for_run(need, fit, soonest) if occasion is None else _for_service(need, occasion, fit, soonest, now)


def _for_run(need: Need, lots: list[Lot], soonest: datetime) -> Counted:
    counted, total, until = [], 0, need.until
    latest = need.at if need.at > need.ready_by else need.ready_by
    for lot in lots:
        there = max(lot.there, lot.taken_at(need)) if lot.frozen else lot.there
        # A planned lot that comes later is of a late run, and no new run could be sooner.
        if there <= latest or lot.source == "planned" or (not lot.frozen and (need.in_vain or there <= soonest)):
            ends = lot.ends(need) if lot.thaw else lot.good_until
            if ends is None or (until < ends and there < ends):
                counted.append((lot, lot.left))
                total += lot.left
    return Counted(counted, need.ready_by, total)


def _for_service(need: Need, occasion: Occasion, lots: list[Lot], soonest: datetime, now: datetime) -> Counted:
    counted: list[tuple[Lot, int]] = []
    total, ending, rest_by = 0, 0, need.ready_by
    for lot in lots:
        there = max(lot.there, lot.taken_at(need)) if lot.frozen else lot.there
        if there > need.at and (there >= occasion.ends or (lot.frozen and there > soonest)):
            continue
        ends = lot.ends(need) if lot.thaw else lot.good_until
        if lot.fresh_for is not None:
            ends = lot.for_guests(need.ready_by)
        if ends is None or ends >= need.until:
            counted.append((lot, lot.left))
            total += lot.left
        elif ends > need.at and ends > lot.there:
            gone = round(need.amount * _come_between(need.goes, now, ends))
            amount = min(lot.left, gone - ending)
            if amount > 0:
                counted.append((lot, amount))
                total += amount
                ending += amount
            if ending >= gone > 0:
                rest_by = max(rest_by, ends)
    return Counted(counted, rest_by, total)


def _come_between(goes: Curve, now: datetime, until: datetime) -> float:
    """Of what has not gone out yet, the share that has by an instant."""
    by_now = come(goes, now)
    return (come(goes, until) - by_now) / (1 - by_now) if by_now < 1 else 1.0


def take(need: Need, counted: Counted, kept: Mapping[str, int] | None = None) -> None:
    """Takes what the need uses from what counts, first to expire first; `kept` says by planned run what of it was made
    for others."""
    if counted.lots:
        lots = [(lot, amount - kept.get(lot.name, 0)) for lot, amount in counted.lots] if kept else counted.lots
        need.drawn += draw(need.expected, Counted(lots, counted.rest_by, counted.total))
        if need.amount > need.expected:
            need.to_thaw = _to_thaw(need, counted)


def _to_thaw(need: Need, counted: Counted) -> list[tuple[Lot, int]]:
    """Of what counts beyond what a need draws, the frozen part that its par asks for: what is thawed counts first."""
    found = [(lot, amount) for lot, amount in counted.lots if lot.frozen]
    if not found:
        return found
    of_frozen = sum(amount for lot, amount in need.drawn if lot.frozen)
    thawed = counted.total - sum(amount for _, amount in found)
    wanted, to_thaw = need.amount - thawed - of_frozen, []
    for lot, amount in found:
        part = min(wanted, amount - sum(drawn for other, drawn in need.drawn if other is lot))
        if part > 0:
            wanted -= part
            to_thaw.append((lot, part))
    return to_thaw


def draw(wanted: int, counted: Counted) -> list[tuple[Lot, int]]:
    """Takes so much from what counts, first to expire first; answers how much of which lot."""
    drawn = []
    for lot, amount in counted.lots:
        part = amount if amount < wanted else wanted
        if part <= 0:
            if wanted <= 0:
                break
            continue
        lot.left -= part
        wanted -= part
        drawn.append((lot, part))
    return drawn


def by_use_by(lots: list[Lot]) -> None:
    """Puts lots in the order in which they expire, those that never do last."""
    if len(lots) > 1:
        lots.sort(key=_expires)


def put_in(lots: list[Lot], lot: Lot) -> None:
    """Puts one more lot among those that stand in that order."""
    if lots:
        insort(lots, lot, key=_expires)
    else:
        lots.append(lot)


def _expires(lot: Lot) -> tuple[bool, datetime, datetime, str]:
    return lot.good_until is None, lot.good_until or lot.there, lot.there, lot.name
