"""State: everything a plan is worked out from, read in one snapshot of the shared file.

Instants are aware datetimes in UTC, days are business days unless said, amounts are whole millionths of the
item's base unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time
from fractions import Fraction

from msgspec import Struct, field

from prepboard.book.book import Book, Prep, Store, Temperature
from prepboard.book.names import as_read
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.life import History
from prepboard.book.safety.may_use import Answer, Food, Mark, may_use
from prepboard.book.safety.stays import Stay
from prepboard.book.safety.temperatures import Reading
from prepboard.plan.given.group import Hold, Order, ToldHold, Transfer
from prepboard.plan.given.learned import Common, Learned

Sitting = tuple[str, date]
"""(service id, business day): one sitting."""


class Line(Struct, frozen=True, gc=False):
    """Names one line of the plan: this prep's n-th run for this need. It stays the same while the plan moves.

    `need` is "dinner.2026-10-31" for a service, "open.2026-10-31" for a standing par on a day without one, the
    text of the consuming line, or "run.K7F" for a run under way that no line asked for.
    """

    prep: str
    need: str
    n: int

    def __str__(self) -> str:
        return f"{self.prep}#{self.n}@{self.need}"

    @classmethod
    def read(cls, text: str) -> Line:
        """The line that `str` wrote; ValueError when it is none."""
        head, _, need = text.partition("@")
        prep, _, n = head.rpartition("#")
        if not (prep and need and n.isdigit()):
            raise ValueError(f"'{text}' names no line of the plan")
        return cls(prep, need, int(n))


class Placed(Struct, frozen=True, gc=False):
    """One step of a run in time. `hands_until` equals `begins` when nobody is needed."""

    step: int
    begins: datetime
    hands_until: datetime
    ends: datetime
    station: str = ""
    equipment: str | None = None
    at: Temperature | None = None
    places: tuple[int, ...] = ()
    """The numbers, from 1, of the equipment's places that it takes."""


class Moved(Struct, frozen=True, gc=False):
    """That an action moved a line: when, from which begin, by what that action did (a word of the log) with which prep
    or goods, "" where it was about none; of a run begun how many minutes after it was to begin, below 0 before."""

    at: datetime
    since: datetime
    did: str
    item: str = ""
    minutes: int = 0


class Placement(Struct, frozen=True, gc=False):
    """Where a line of the plan was placed when it had this size and this ready-by; or where the rest of a run under
    way lies, its step first, and by when it is needed."""

    size: Fraction
    ready_by: datetime | None
    """None for a run that nothing needs."""
    due: datetime | None
    """When a line was to begin that nobody began; when a run was to go on, fixed as its step began."""
    steps: tuple[Placed, ...]
    moved: Moved | None = None
    """What moved it here, of late."""


class Batch(Struct, gc=False):
    """One made lot with something left. `use_by` is the first instant at which it may not be used (None: exempt)."""

    code: str
    prep: str
    left: int
    made_at: datetime
    day_one: date
    use_by: datetime | None
    why: str
    """What set the use-by: a word of `UseBy`, or "no recipe"."""
    store: Store
    place: str
    station: str
    by: str
    blocked: str = ""
    """Why nobody may use it; empty when they may."""
    set_aside: str = ""
    """The service, as "dinner.2026-10-31", that alone may take it."""
    frozen_at: datetime | None = None
    called: str = ""
    """The name of a batch that no recipe knows, as the file keeps it."""
    unit: str = ""
    """Its base unit ("g", "ml", "each"), for a batch that no recipe knows."""
    run: str = ""
    """The run that it came from; the readings of that run are its own."""
    first_day: date | None = None
    """Its own day 1, frozen days not reckoned; None: `day_one`."""
    inherited: date | None = None
    safety: date | None = None
    """A maker's date, of what is opened or went in: the last day on which it is safe."""
    stays: tuple[Stay, ...] = ()
    """Where it was kept from when on; none: in `store` since it was made."""
    passes_on: date | None = None
    """The day 1 that it hands to what is made of it."""
    lot: str = ""
    pack: bool = False
    """It is opened goods, `prep` their id, and counted in packs."""
    kept: str = ""
    """Why a sous chef keeps it though nothing ahead needs it."""
    allergens: tuple[str, ...] | None = None
    """What it holds, as it was when it was made."""
    marks: tuple[Mark, ...] = ()
    """What is known of it: what refuses it, and ends that no label names."""
    unread: tuple[datetime, ...] = ()
    """Limits of its cooling that nobody showed, each from when on that is so."""
    counts_on_at: datetime | None = None
    """When a sous chef let it count on all the same."""
    label_says: datetime | None = None
    """Until when the label on the box has it, where that is later than it is good by now."""

    @property
    def name(self) -> str:
        """That name in the reader's language."""
        return as_read(self.called)

    @property
    def to_relabel(self) -> bool:
        """Whether its label says more than is so."""
        return self.label_says is not None and self.use_by is not None and self.use_by < self.label_says

    def not_shown(self, at: datetime) -> datetime | None:
        """Since when it counts though nobody showed that it cooled in time, and no sous chef answered for that."""
        answered = self.counts_on_at
        return min((one for one in self.unread if one <= at and (answered is None or one > answered)), default=None)

    def answer(self, at: datetime) -> Answer:
        """May it be used at an instant, until when, and why."""
        return may_use(Food(True, self.made_at, self.marks, self.use_by, self.why), at)

    @property
    def history(self) -> History:
        """What its life is counted from."""
        stays = self.stays or (Stay(self.store, self.frozen_at or self.made_at),)
        return History(self.first_day or self.day_one, self.made_at, stays, self.inherited, self.safety)


class Run(Struct, gc=False):
    """A run under way. `recipe` is the one it was started with, whatever the book says by now."""

    code: str
    line: Line | None
    recipe: Prep
    size: Fraction
    outputs: Mapping[str, int]
    """What it is expected still to give, by prep."""
    started: datetime
    step: int
    """Index of the step under way."""
    step_began: datetime
    taken: frozenset[str]
    """Ingredients that it has taken already."""
    by: str
    station: str
    first_day: date | None = None
    """The day 1 that its ingredients pass on so far."""
    first_safety: date | None = None
    """The maker's date that they pass on so far."""
    marks: tuple[Mark, ...] = ()
    """What is known of it so far."""
    step_ends: Mapping[int, datetime] = field(default_factory=dict)
    """When steps that are over ended, by index, as far as somebody pressed that."""

    @property
    def key(self) -> str:
        """How its placement is named."""
        return f"run.{self.code}"


class Tonight(Struct, frozen=True):
    """What a sous chef set for one sitting; what is not set is the book's."""

    covers: int | None = None
    came: int | None = None
    percent: int = 0
    shares: Mapping[str, Fraction] = field(default_factory=dict)
    counts: Mapping[str, int] = field(default_factory=dict)
    pars: Mapping[str, int] = field(default_factory=dict)
    off: frozenset[str] = frozenset()
    cancelled: bool = False
    why_off: Mapping[str, str] = field(default_factory=dict)
    """Dish -> why a person took it off."""
    special: bool = False
    """A day that history does not learn and has no promise for."""
    listed: frozenset[str] | None = None
    """Of a sitting that was counted elsewhere: the only dishes that were offered."""
    out: Mapping[str, datetime] = field(default_factory=dict)
    """Dishes of which nothing was left -> when."""
    ended: datetime | None = None
    """When somebody said that the last plate is out."""
    moved_to: time | None = None
    """The wall-clock time at which it begins instead of the written one."""
    off_since: Mapping[str, datetime] = field(default_factory=dict)
    """Dish -> when a person took it off."""
    was_off: tuple[tuple[str, datetime, datetime], ...] = ()
    """(dish, since, until): taken off for a while, and back."""
    at_start: int | None = None
    """The covers as they were when it began, where they were set to something else since."""


class HandOver(Struct, frozen=True):
    """A line of text that somebody left for a station (`whom`: its id), a run (its code), the benches of a sitting
    ("dinner.2026-10-31", then the dishes it is about, else all: see `about_guests`) or the whole kitchen ("")."""

    number: int
    at: datetime
    by: str
    station: str
    whom: str
    text: str
    done_at: datetime | None = None
    done_by: str = ""


class Timer(Struct, frozen=True):
    """A timer that a bench set for itself; it rings at `ends`, until somebody goes on."""

    number: int
    station: str
    ends: datetime
    by: str
    text: str


class TaskDone(Struct, frozen=True):
    """That a task was done; `degrees` and `unit` are its reading, "" where it asks for none."""

    at: datetime
    by: str
    station: str
    degrees: str = ""
    unit: str = ""


class Lies(Struct, frozen=True):
    """Where everything lies in a plan, as an action keeps it."""

    digest: str
    """Of what that follows from."""
    placements: Mapping[str, Placement]
    nowhere: Mapping[str, Placement]
    """Lines that there is no place for, without steps."""
    lost: frozenset[str]
    """Those that nobody is to begin."""
    plates: int = 0
    """What guests do not get, since what it needs is lost."""
    late: Fraction = Fraction(0)
    """What the lateness of the rest costs, in weighed minutes, to the last part of one."""
    news: bool = False
    """Whether something happened that was not foreseen when placements were last kept."""


class State(Struct, frozen=True):
    book: Book
    version: int = 0
    """Grows with every change of the file."""
    batches: tuple[Batch, ...] = ()
    """Those with something left, good or not."""
    runs: tuple[Run, ...] = ()
    """Those under way."""
    tonight: Mapping[Sitting, Tonight] = field(default_factory=dict)
    standing: Mapping[str, int] = field(default_factory=dict)
    """Standing pars set by hand for good; they take the book's place."""
    standing_on: Mapping[tuple[str, int], int] = field(default_factory=dict)
    """(prep, weekday) -> the standing par of that weekday, set by hand for good; Monday is 0."""
    plated: Mapping[tuple[str, date, str], int] = field(default_factory=dict)
    """Plates out by (service, day, dish), of sittings not long over."""
    plated_at: Mapping[tuple[str, date, str], datetime] = field(default_factory=dict)
    """(service, day, dish) -> when its last plate went out, of the last days."""
    counted_at: Mapping[str, datetime] = field(default_factory=dict)
    """Prep -> when somebody last counted it, of the last days."""
    portions: Mapping[tuple[date, str, str], int] = field(default_factory=dict)
    """(business day, dish, prep) -> amount on a plate, where it was changed for that day."""
    lines_run: Mapping[tuple[str, str], int] = field(default_factory=dict)
    """(prep, need) -> how many runs were ever started or done for it."""
    short_since: Mapping[tuple[str, str], datetime] = field(default_factory=dict)
    """(prep, need) -> when a short of a service under way first appeared."""
    unsigned: Mapping[date, datetime] = field(default_factory=dict)
    """Closes that some station has not signed yet: business day -> when its service ended."""
    signed: Mapping[tuple[date, str], str] = field(default_factory=dict)
    """(business day, station) -> who signed its close, of the last days."""
    notes: tuple[HandOver, ...] = ()
    """Those not ticked off, and those ticked off on this business day; the oldest first."""
    timers: tuple[Timer, ...] = ()
    """Those that nobody has stopped, the next to ring first."""
    tasks_done: Mapping[tuple[str, date], TaskDone] = field(default_factory=dict)
    """(task, business day) -> who did it when."""
    hands: Mapping[tuple[str, date], int] = field(default_factory=dict)
    """(station, business day) -> how many cooks are there, where that is not the book's number."""
    equipment: Mapping[tuple[str, date], int] = field(default_factory=dict)
    """(equipment, business day) -> how many places of it work, where that is not the book's number."""
    given: Mapping[tuple[str, date], str] = field(default_factory=dict)
    """(prep, business day) -> the station that makes it that day instead of its own."""
    staying: Mapping[tuple[str, date, str], int] = field(default_factory=dict)
    """(station, business day, since on the kitchen's clock: "15:00") -> for how many minutes one cook is there in a
    break or after hours."""
    missing: Mapping[str, datetime | None] = field(default_factory=dict)
    """Goods that are not there -> when they come; None when nobody knows."""
    added: frozenset[Sitting] = frozenset()
    """Sittings that are not the book's: they were added for their day."""
    readings: tuple[Reading, ...] = ()
    """Of live batches, of the runs they came from and of those under way; of places and goods the recent ones."""
    cooling_from: Mapping[str, Start] = field(default_factory=dict)
    """Run -> from when its food cools, of runs that were read."""
    corrected: Mapping[str, datetime] = field(default_factory=dict)
    """Batch -> when the code's corrective action was last recorded for it."""
    learned: Mapping[str, Learned] = field(default_factory=dict)
    """What the services up to `learned_to` have taught, by dish; `plated` and `tonight` reach back to those since."""
    common: Common = Common()
    """What they have taught about the kitchen as a whole."""
    learned_to: date | None = None
    resets: tuple[tuple[datetime, str], ...] = ()
    """New recipes since then: (moment, dish)."""
    last_year: Mapping[Sitting, tuple[date, Mapping[str, int]]] = field(default_factory=dict)
    """Special sittings ahead -> the day a year before them that they are like, and the plates that went out then."""
    placements: Mapping[str, Placement] = field(default_factory=dict)
    """Line -> where it was placed; "run." and the code of a run under way -> where the rest of it lies."""
    placed_for: str = ""
    """The digest of what the placements were worked out from."""
    placed_at: datetime | None = None
    """When an action kept them; None where nobody knows."""
    nowhere: frozenset[str] = frozenset()
    """Lines that had no place when somebody last pressed a key, for a press that plans; a file does not keep them."""
    lost: frozenset[str] = frozenset()
    """Lines that nobody was to begin any more when somebody last pressed a key; before a press that plans, as boards
    showed it."""
    slipped: frozenset[str] = frozenset()
    """Lines that nobody began in time and that were lost with it since, for a press that plans; a file does not keep
    them."""
    clock_set_by_hand: bool = False
    transfers: tuple[Transfer, ...] = ()
    """What left for other kitchens of the group or comes from them, of the last days; the oldest first."""
    orders: tuple[Order, ...] = ()
    """By vans of the last days and those ahead."""
    holds: tuple[Hold, ...] = ()
    """What other kitchens hold back."""
    told_holds: tuple[ToldHold, ...] = ()
    """What is held back here, with who in the other kitchens has looked for it."""
    new_at: datetime | None = None
    """When a book was first loaded: what was needed before, and what that day's services asked for, could not have been
    made before there was a plan."""
