"""What a Board is made of: the lines that screens, papers and scripts show.

Instants are aware datetimes in UTC, amounts whole millionths of the item's base unit, durations minutes.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from fractions import Fraction
from typing import Literal

from msgspec import Struct, field

from prepboard.plan.state import Batch, Line, Placed, TaskDone

Basis = Literal["mix", "history", "money", "count", "standing", "by hand"]
Stage = Literal["guess", "learning", "measured"]


class Note(Struct, frozen=True, gc=False):
    """A remark on a line, to be put into words where it is shown; `facts` are amounts, instants and ids.

    Kinds, with their facts: "make again by" (at), "over" (item, amount), "nothing makes" (item, amount), "comes with"
    (item, maker, amount, size: what would give it), "cannot fit" (why), "long wait" (step, minutes, least),
    "not good long enough" (until), "ends before" (item, until: what it takes would be over before it is taken),
    "too late" (at), "waits for" (item, at: None when nobody knows), "past use-by" (at, store, why),
    "blocked" (why), "older food" (until: made of food that cuts its life),
    "late by" (minutes, at), "in time" (item, amount, par, at: when the rest is ready), "smaller in time" (size, item,
    amount), "could give way" (item, at: its ready-by), "off until" (dishes, at: None until the service is over),
    "make more now" (item, amount, size, at: when it would be ready),
    "next needed" (until, at: None when nothing needs it for a week and until then).
    """

    kind: str
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


class MakeLine(Struct, frozen=True, gc=False):
    """One run to make."""

    line: Line
    prep: str
    station: str
    amount: int
    size: Fraction
    outputs: Mapping[str, int]
    start_by: datetime
    can_start_from: datetime
    ready_by: datetime
    late_minutes: int
    ready_if_started_now: datetime
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
    doing: str
    next: str
    """What to do next; empty when the next thing is to mark it done."""
    next_at: datetime
    ready_at: datetime
    outputs: Mapping[str, int]
    steps: tuple[Placed, ...] = ()
    """The step under way and those after it, where hands and places are kept for them."""


class Expiring(Struct, frozen=True, gc=False):
    batch: Batch
    use_first: bool
    """It expires by the end of the next business day."""


class LeftPrep(Struct, frozen=True, gc=False):
    prep: str
    on_hand: int
    per_plate: int


class Left(Struct, frozen=True, gc=False):
    """Plates left of one dish for the service under way, else the next."""

    dish: str
    plates_left: int
    in_mix: int
    """Plates left when the other dishes that share its preps go on as expected."""
    limiting: str | None
    runs_out_at: datetime | None
    eighty_six: bool
    taken_off: bool
    """86 because a person said so."""
    basis: Literal["counted", "expected"]
    preps: tuple[LeftPrep, ...]
    not_yet: bool = False
    """None is there, but the service has not begun and what is lacking will be made before it ends: that is no 86."""
    low: bool = False
    """The service is under way, and it is expected to run out before the end."""
    ends_first: str | None = None
    """The prep that is expected to run out first, at `runs_out_at`."""


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


class Parting(Struct, frozen=True):
    """A batch on the discard or decide list. `reason` is a word of the closed list of reasons."""

    batch: Batch
    reason: str
    note: Note
    cost: Fraction | None


class CarryOver(Struct, frozen=True):
    batch: Batch
    use_first: bool


class Outlet(Struct, frozen=True):
    """Where some of what expires can go. "service" and "run" are planned: it goes there anyway. "if there": a run
    that is planned without it would take it too; "recipe": a further run of something that coming services need;
    "dish": plates beyond what is expected; "staff meal"."""

    kind: Literal["service", "run", "if there", "recipe", "dish", "staff meal"]
    item: str
    """The prep that a run makes, or the dish; empty for a service and the staff meal."""
    service: str | None
    day: date | None
    amount: int
    by: datetime
    """The last moment: it is good up to, not at, this."""
    plates: int = 0


class UseFirst(Struct, frozen=True):
    """What expires by the end of the next business day, or will be left over; `name` is a batch's code, the code of
    a run under way, or the text of a planned run's line."""

    name: str
    source: Literal["batch", "run", "planned"]
    prep: str
    amount: int
    left_over: int
    """What nothing in the plan takes."""
    there: datetime
    good_until: datetime
    outlets: tuple[Outlet, ...]


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


class Closing(Struct, frozen=True):
    discard: tuple[Parting, ...]
    decide: tuple[Parting, ...]
    carry_over: tuple[CarryOver, ...]
    start_tonight: tuple[MakeLine, ...]
    pull: tuple[Pull, ...]


class LeftOver(Struct, frozen=True):
    """What is expected to be left of a prep when all needs that the plan looks at have taken theirs. Frozen food and
    what carries no date mark is not in it."""

    prep: str
    amount: int
    good_until: datetime


class TaskLine(Struct, frozen=True):
    """A task of the book on this business day. `at` is when it is due."""

    task: str
    station: str
    at: datetime
    hands_minutes: int
    reads: Literal["C", "F"] | None
    """The unit of the reading that it asks for."""
    done: TaskDone | None


class OpenClose(Struct, frozen=True):
    """The close of a business day that these stations have not signed; `ended` is when its last service did."""

    day: date
    ended: datetime
    stations: tuple[str, ...]


class Change(Struct, frozen=True):
    """One thing that is different from the book on a business day.

    Kinds, with what they name: "hands" (what: station; n: cooks), "equipment" (what; n: places that work), "given"
    (what: prep; of: the station that makes it), "missing" (what: goods; at: when they come), "portion" (what: prep;
    of: dish; n: amount), "added", "cancelled" and "special" (what: service), "taken off" (what: dish; of: service;
    why).
    """

    kind: str
    day: date
    what: str
    known: bool
    """Whether the book still has what it names; where it does not, the change has no effect."""
    of: str = ""
    n: int | None = None
    at: datetime | None = None
    why: str = ""


class Move(Struct, frozen=True):
    """A line that would take so many minutes of work off a station: begun after the service, or done at another one."""

    line: Line
    prep: str
    minutes: int
    to: str
    """The station with room for it; empty: later."""


class Work(Struct, frozen=True):
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
