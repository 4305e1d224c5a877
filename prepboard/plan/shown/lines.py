"""What a Board is made of: the lines that screens, papers and scripts show.

Instants are aware datetimes in UTC, amounts whole millionths of the item's base unit, durations minutes.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Literal

from msgspec import Struct, field

from prepboard.book.names import as_read
from prepboard.plan.given.state import Batch, Line, Placed, Sitting

MINUTE = timedelta(minutes=1)
Basis = Literal["mix", "history", "money", "count", "standing", "by hand"]
Stage = Literal["guess", "learning", "measured"]


NoteKind = Literal[
    "make again by", "over", "nothing makes", "comes with", "cannot fit", "long wait", "not good long enough",
    "ends before", "too late", "waits for", "past use-by", "blocked", "older food", "late by", "in time",
    "smaller in time", "could give way", "off until", "a little short", "make more now", "next needed", "fresh no more",
    "moved",
    "on demand",
]  # fmt: skip

FACTS: Mapping[NoteKind, tuple[str, ...]] = {
    "make again by": ("at",),
    "over": ("item", "amount", "until"),  # its end
    "nothing makes": ("item", "amount"),
    "comes with": ("item", "maker", "amount", "size"),  # the smallest run that gives it
    "cannot fit": ("why", "item"),
    "long wait": ("step", "minutes", "least"),
    "not good long enough": ("until",),
    "ends before": ("item", "until"),  # what it takes would be over before it is taken
    "too late": ("at", "service", "day", "item"),  # item: which run still takes of it, though that sitting is over
    "waits for": ("item", "at"),  # at: None when nobody knows
    "past use-by": ("at", "store", "why"),
    "blocked": ("why",),
    "older food": ("until",),  # made of food that cuts its life
    "late by": ("minutes", "at"),
    "in time": ("item", "amount", "par", "at"),  # when the rest is ready
    "smaller in time": ("size", "item", "amount"),
    "could give way": ("item", "at"),  # its ready-by
    "off until": ("dishes", "at"),  # at: None until the service is over
    "a little short": ("item", "amount", "of"),  # what is asked for; the smaller size will do
    "make more now": ("item", "amount", "size", "at"),  # when it would be ready
    "moved": ("since", "did", "item", "minutes"),  # from when, by what, so long after it was to begin
    "on demand": (),
    "fresh no more": ("until", "fresh"),  # good until, on plates until
    "next needed": ("until", "at"),  # at: None when nothing needs it for a week and until then
}
"""The facts of each kind of note: amounts, instants and ids. A new kind is a row here, one in `NoteKind` and its words
in `paper/sentences/notes.py`; `tests/plan/test_kinds.py` finds what lacks one."""


class Note(Struct, frozen=True, gc=False):
    """A remark on a line, to be put into words where it is shown."""

    kind: NoteKind
    facts: Mapping[str, object] = field(default_factory=dict)


class Serves(Struct, frozen=True, gc=False):
    """What a run is for: the service at the end of the chain, or the run that takes it."""

    service: str | None
    run_of: str | None
    day: date
    amount: int


class Taken(Struct, frozen=True, gc=False):
    """What a run takes, and when it must be there."""

    item: str
    amount: int
    at: datetime


WaitKind = Literal["hands", "hours", "place", "works", "ingredient", "delivery", "life"]


class WaitsFor(Struct, frozen=True, gc=False):
    """What holds up the first delayed step of a late line.

    `what` is the bench, the equipment or the item; `until` when it is over, None when nobody knows; `by` the run or
    line that has the hands or the place, "" where none has.
    """

    kind: WaitKind
    what: str
    until: datetime | None
    step: int = 0
    by: str = ""
    """The prep of the run that has the hands or the place."""


class NotThere(Struct, frozen=True, gc=False):
    """Of what a first step takes, what is not there now, or lies frozen and is still to thaw; of goods, which nobody
    counts, no amount."""

    item: str
    amount: int | None
    frozen: bool = False


class MakeLine(Struct, frozen=True, gc=False):
    """One run to make."""

    line: Line
    prep: str
    station: str
    amount: int
    size: Fraction
    outputs: Mapping[str, int]
    begins: datetime
    """When the plan begins it, never before now."""
    can_start_from: datetime
    ready_by: datetime
    """When it is needed."""
    ready_at: datetime
    """When it is ready, and thawed, if it begins then."""
    ready_if_started_now: datetime
    """When it is ready if its first step begins this moment, `lacks` or not."""
    serves: tuple[Serves, ...]
    takes: tuple[Taken, ...]
    steps: tuple[Placed, ...]
    use_by: datetime | None
    par: int | None
    """Of its earliest need, as are the three below; None when that is a run's."""
    on_hand: int
    under_way: int
    short: int
    notes: tuple[Note, ...] = ()
    left_over: int = 0
    """What runs planned for earlier needs leave for it: beside what is on hand and under way."""
    too_late: bool = False
    """All that takes of it is over by the time it is ready, or too late itself."""
    not_for: tuple[Sitting, ...] = ()
    """Sittings that it was planned for and misses: over by then, or missed by all that takes of it for them."""
    due_at: datetime | None = None
    """When it was to begin, of one that nobody has started since."""
    waits_for: WaitsFor | None = None
    lacks: tuple[NotThere, ...] = ()
    """What is not there for whoever starts it now."""

    @property
    def late_minutes(self) -> int:
        """How long after it is needed it is ready; nothing else is late."""
        return max(0, -((self.ready_by - self.ready_at) // MINUTE))

    @property
    def misses(self) -> bool:
        """Whether it is said for which sittings it is not, and not how late it is for them: all that it is for, or one
        whose guests have it on plates, though other runs take of it."""
        return self.too_late or any(
            use.run_of is None and (use.service, use.day) in self.not_for for use in self.serves
        )

    @property
    def start_by(self) -> datetime | None:
        """The last begin that serves, with all else as planned; None when none does any more."""
        return None if self.late_minutes else self.begins


class UnderWay(Struct, frozen=True):
    run: str
    prep: str
    station: str
    amount: int
    size: Fraction
    by: str
    started: datetime
    step: int
    """Index of the step under way in `recipe steps`; -1 when the recipe has none."""
    step_under_way: str
    step_after: str
    """What to do next, as the book has it; empty when the next thing is to mark it done."""
    next_at: datetime
    """When its step is due, fixed as it began."""
    ready_at: datetime
    outputs: Mapping[str, int]
    steps: tuple[Placed, ...] = ()
    """The step under way and those after it, where hands and places are kept for them."""
    may_go_on_from: datetime | None = None
    """When its step may be over at the soonest."""
    go_on_by: datetime | None = None
    """When it has to be over: a wait in an oven or on heat must not stretch, another one up to its longest."""
    overdue_minutes: int = 0
    """How long that has passed."""
    ready_by: datetime | None = None
    """When it is needed; None for a run that nothing needs."""

    def is_due(self, now: datetime) -> bool:
        """Whether somebody is needed now. A plan of 15:40:07 begins what it places at 15:41: that is now too."""
        return self.overdue_minutes > 0 or self.next_at - now < MINUTE

    def due_at(self, now: datetime) -> datetime:
        """When somebody is needed next; of what is due since when: as it was placed, and where it has been placed anew
        since nobody came, when it had to go on, else when it could."""
        if not self.is_due(now) or self.next_at < now.replace(second=0, microsecond=0):
            return self.next_at
        since = self.go_on_by if self.overdue_minutes else self.may_go_on_from
        return min(self.next_at, since) if since else self.next_at

    @property
    def doing(self) -> str:
        return as_read(self.step_under_way)

    @property
    def next(self) -> str:
        """What to do next, in the reader's language."""
        return as_read(self.step_after)

    @property
    def late_minutes(self) -> int:
        """How long after it is needed it will be ready."""
        return 0 if self.ready_by is None else max(0, -((self.ready_by - self.ready_at) // MINUTE))


class Expiring(Struct, frozen=True, gc=False):
    batch: Batch
    use_first: bool
    """It expires by the end of the next business day."""


class LeftPrep(Struct, frozen=True, gc=False):
    prep: str
    on_hand: int
    """What may be used now, less what guests are expected to have had since it was last counted."""
    per_plate: int
    coming: tuple[tuple[datetime, int], ...] = ()
    """(when, how much), of runs under way."""
    ends_before: int = 0
    """What may be used now, and ends before the service begins: it is there, and none of its plates."""


Why = Literal["held back", "ends before", "not fresh", "counted", "unknown", "not made", "others", "expected"]
"""Why there is no plate of a prep, in the order in which it is said: it may not be used; it may be used now, and ends
before the service begins; it is good and fresh no more; a count in this service came to nothing; nobody has counted it;
it is not made yet; others of the day take what there is; by expectation it should be gone."""


class Lack(Struct, frozen=True, gc=False):
    """A prep of which there is no plate. `until` is when a run gives more of it, None where none does in time."""

    prep: str
    why: Why
    until: datetime | None = None


class Left(Struct, frozen=True, gc=False):
    """Plates left of one dish for a service that runs, else for the next."""

    dish: str
    plates_left: int
    in_mix: int
    """Plates left when the other dishes that share its preps go on as expected."""
    limiting: str | None
    """The prep that limits: of those of which there is none, one that nothing gives, else the last to come."""
    runs_out_at: datetime | None
    """As likely before as after it; None where it is more likely than not that it lasts."""
    eighty_six: bool
    """A fact: a person took it off, or a count in this service came to nothing and nothing is coming."""
    taken_off: bool
    """86 because a person said so."""
    basis: Literal["counted", "expected"]
    preps: tuple[LeftPrep, ...]
    not_yet: bool = False
    """None is there, but the service has not begun and what is lacking will be made before it ends: that is no 86."""
    low: bool = False
    """Guests are expected still, and it is more likely than not that it runs out; or there is none."""
    ends_first: str | None = None
    """The prep that is expected to run out first, at `runs_out_at`."""
    service: str = ""
    day: date = date.min
    lacks: tuple[Lack, ...] = ()
    """Where there is no plate: of what, and why, what decides first."""
    chance_out: float = 0.0
    """That guests of this service ask for more than there is."""
    counted_to: datetime | None = None
    """Where guests are expected to have had some since: the moment from which on that is not counted."""
    others: tuple[tuple[str, int], ...] = ()
    """(service, plates) that others of the day still take of what there is."""
    out: int = 0
    """Plates that went out in this service."""
    since: datetime | None = None
    """Of a dish that is 86: since when, where that is known."""


class DishSales(Struct, frozen=True):
    """What history says of one dish of a sitting."""

    dish: str
    stage: Stage
    services: int
    """Services learned."""
    covered: int
    """Of the last `out_of` services, those in which the par was enough and the dish did not run out."""
    out_of: int
    changed: bool
    """Its last misses add up to more than chance would: has something changed?"""
    expected: float | None
    """Portions; None while its par is not history's."""
    last_year: int | None = None
    """Plates that went out a year before, beside a special day."""
    usual: float | None = None
    """Portions on a usual evening of that weekday; None while its par is not history's."""
    covers_above: int = 0
    """Booked covers beyond what is usual for that weekday, below 0 fewer; 0 for a dish that does not go by them."""
    covers_shown: bool = False
    """How far it follows covers was seen, and is not only taken to be in proportion."""
    clipped: tuple[date, ...] = ()
    """Of the last services those that were so odd that they were learned in part only."""


class ParLine(Struct, frozen=True, gc=False):
    """The par of one prep for one sitting ("" for a standing par on a day without one)."""

    service: str
    day: date
    covers: int
    prep: str
    par: int
    source: Basis
    stage: Stage | None
    chance: float | None
    """That the par covers the sitting; None on a special day and where chance has no part."""
    expected: int
    on_hand: int
    under_way: int
    short: int
    thin: bool
    to_make: int
    promise: float | None = None
    """The chance that the computed par makes in whole portions; None on a special day and where chance has no part."""
    special: bool = False
    """A day that history says nothing about."""
    dishes: tuple[DishSales, ...] = ()
    left_over: int = 0
    """What runs planned for earlier needs leave for it. What is short is the par less this, on hand and under way."""

    @property
    def over(self) -> int:
        """How much more counts than the par: par + over = on hand + under way + left over + short."""
        return max(0, self.on_hand + self.under_way + self.left_over - self.par)


class SittingLine(Struct, frozen=True):
    service: str
    day: date
    covers: int
    booked: int
    """What the book says."""
    starts: datetime
    ends: datetime
    set_by: datetime
    running: bool
    chance_all_stand: float | None
    last_plates: bool = False
    """It runs on after its written end: plates go out still, and nobody is expected."""


class Pull(Struct, frozen=True, gc=False):
    item: str
    kind: Literal["goods", "prep"]
    amount: int
    """Usable."""
    as_bought: int
    take_out_at: datetime
    late: bool
    frozen: bool
    serves: tuple[str, ...]


class Bring(Struct, frozen=True):
    """What a station fetches for a sitting at its `set_by`. `batch` and `place` are "" where it is not there yet."""

    station: str
    item: str
    kind: Literal["goods", "prep"]
    amount: int
    """Usable."""
    as_bought: int
    place: str
    at: datetime
    batch: str = ""
    use_by: datetime | None = None


class Move(Struct, frozen=True):
    """A line that would take so many minutes of work off a station: begun after the service, or done at another one."""

    line: Line
    prep: str
    minutes: int
    to: str
    """The station with room for it; empty: later."""


class StationWork(Struct, frozen=True):
    """Hands-on minutes a station still has before a moment, against the hands that are there."""

    station: str
    before: datetime
    hands_minutes: int
    work_minutes: int
    moves: tuple[Move, ...] = ()
    """What would help, where it is more than the hands can do."""

    @property
    def over_minutes(self) -> int:
        return max(0, self.work_minutes - self.hands_minutes)
