"""The Book: everything a kitchen has written down, checked and ready to compute with.

Plain frozen structs. Amounts are whole millionths of the item's base unit (`amounts.py`); waits are whole
minutes; wall-clock times are naive `time`s of the kitchen's zone. Ids are the book's own keys.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from fractions import Fraction
from typing import Generic, Literal, TypeVar

from msgspec import Struct, field

from prepboard.book.amounts import Measure
from prepboard.book.days import Days
from prepboard.book.evidence import Evidence, Parasites, Plan
from prepboard.book.rules import RuleBook
from prepboard.texts import told

T = TypeVar("T")

Store = Literal["chilled", "frozen", "ambient", "hot", "time"]


class Weekly(Struct, Generic[T], frozen=True, gc=False):
    """A value for each weekday, Monday first; None where the book names no value for that day."""

    days: tuple[T | None, ...]

    def on(self, day: date) -> T | None:
        return self.days[day.weekday()]


class Life(Struct, frozen=True, gc=False):
    """How long something keeps: so many calendar days with day 1 counted, or so many minutes. One of the two."""

    days: int | None = None
    minutes: int | None = None


class Temperature(Struct, frozen=True, gc=False):
    """A temperature as it was written; the two units are never mixed up by rounding."""

    degrees: Fraction
    unit: Literal["C", "F"]


class Called(Struct, frozen=True, gc=False):
    """What has a name that people read, in one language or in several (`names.py`)."""

    id: str
    called: str
    """The name as the book has it, every language in it."""

    @property
    def name(self) -> str:
        """The name in the reader's language; kept in all of them while an action works."""
        return told(self.called)


class Step(Struct, frozen=True, gc=False):
    """One step of a recipe: hands-on, then a wait of at least `wait` and at most `wait_up_to` minutes."""

    do: str
    station: str
    hands_on: int = 0
    """Seconds of hands-on, whatever the size."""
    hands_on_each: int = 0
    """Seconds of hands-on for each full recipe."""
    wait: int = 0
    wait_up_to: int = 0
    attended: bool = False
    equipment: str | None = None
    or_in: str | None = None
    """Another piece of equipment that does as well, when that one is taken."""
    racks: Fraction = Fraction(1)
    holds: Literal["all", "hands"] = "all"
    at: Temperature | None = None
    core: Temperature | None = None
    cools: bool = False
    cook_as: str = ""
    """Which of the book's cooking figures `core` is held to; none said: its highest."""
    place: str | None = None
    life_starts: bool = False
    note: str = ""

    def hands_minutes(self, size: Fraction) -> int:
        """Minutes of hands-on for a run of this size, rounded up."""
        parts = size.denominator
        return -(-(self.hands_on * parts + self.hands_on_each * size.numerator) // (60 * parts))


class Use(Struct, frozen=True, gc=False):
    """What one full recipe takes of an item, and at which step (None: no step names it)."""

    item: str
    amount: int
    step: int | None = None


class Sizes(Struct, frozen=True, gc=False):
    """Allowed sizes in recipes: smallest, then by step, up to largest (None: as many as it takes)."""

    smallest: Fraction = Fraction(1)
    step: Fraction = Fraction(1)
    largest: Fraction | None = None


class Prep(Called, frozen=True, gc=False):
    order: int
    """Place in the book; breaks ties."""
    measure: Measure
    station: str
    store: Store
    keeps: Mapping[str, Life]
    """By storage; the one for `store` is always there."""
    ready_to_eat: bool = True
    """Eaten as it is, unless the book says that it is not: what is unsaid counts as eaten so."""
    makes: int | None = None
    """What one full recipe gives of the prep itself; None when it only comes with another prep."""
    outputs: Mapping[str, int] = field(default_factory=dict)
    """Everything one full recipe gives, the prep itself first; empty without a recipe of its own."""
    made_by: tuple[str, ...] = ()
    """The preps whose runs give it, its own recipe first, then book order."""
    driven_by: tuple[str, ...] = ()
    sizes: Sizes = Sizes()
    uses: tuple[Use, ...] = ()
    takes_if_there: tuple[Use, ...] = ()
    instead: Mapping[str, str] = field(default_factory=dict)
    """Of what it uses: what may go in instead, as much of it, when it is not there. Never planned for."""
    steps: tuple[Step, ...] = ()
    thaw: int = 0
    """Minutes to thaw when it is kept frozen."""
    par: Weekly[int] | None = None
    make_below: int | None = None
    joins: int | None = 0
    """Days beyond the business day of the earliest need that one run also covers; None joins nothing."""
    ready_before: int = 0
    """Minutes of cushion."""
    serve_from: tuple[str, ...] = ()
    """Which of cold and freezer it is taken from; () where the book does not say: from wherever it is."""
    fresh_for: int = 0
    """Minutes from when it is ready, or thawed, after which it goes onto no plate; 0: as long as it is good."""
    on_demand: bool = False
    """Its run waits until somebody starts it."""
    allergens: tuple[str, ...] = ()
    """Its own; those of what it uses come with them."""
    exempt: Evidence | None = None
    stable: str = ""
    """One of a closed list of what needs no cold; printed on the label."""
    place: str = ""
    """Where it stands, where several places of its storage fit."""
    packed: str = ""
    enough: float | None = None
    service_level: float | None = None
    cost_short: Fraction | None = None
    cost_over: Fraction | None = None
    note: str = ""
    was: str = ""
    """The id that it had before; what hangs on that one is its own."""
    comes_from: str = ""
    """The kitchen of the group that makes it; nothing makes it here."""

    @property
    def may_take(self) -> tuple[str, ...]:
        """Every item that may go in: what it uses, what it takes if it is there, and what may go in instead."""
        return (*(use.item for use in (*self.uses, *self.takes_if_there)), *self.instead.values())

    def is_served_from(self, store: str) -> bool:
        """Whether what lies there may go onto plates and into runs: only cold and freezer are ever ruled out."""
        return not self.serve_from or store not in ("chilled", "frozen") or store in self.serve_from


class Goods(Called, frozen=True, gc=False):
    order: int
    measure: Measure
    usable: Fraction = Fraction(1)
    store: Store = "ambient"
    thaw: int = 0
    keeps_open: Life | None = None
    ready_to_eat: bool = True
    cost: Fraction | None = None
    """Per own unit, as bought."""
    allergens: tuple[str, ...] = ()
    exempt: Evidence | None = None
    stable: str = ""
    """One of a closed list of what needs no cold, opened or not."""
    parasites: Parasites | None = None
    species: str = ""
    """Which fish or crustacean it is: the US list asks for it."""
    stated: bool = True
    """Whether the book says anything of its allergens, be it that there are none."""
    place: str = ""
    note: str = ""
    was: str = ""
    supplier: str = ""
    pack: int = 0
    """Millionths in what is bought as one; 0: any amount."""
    order_by: time | None = None
    """The last time of day at which its supplier takes an order; None: any."""
    lead: int = 0
    """Whole days from that day to the one on which it comes."""


class Dish(Called, frozen=True, gc=False):
    order: int
    services: tuple[str, ...]
    course: str | None = None
    share: Fraction = Fraction(0)
    """Portions a cover, of the guests who choose."""
    price: Fraction | None = None
    first_day: date | None = None
    last_day: date | None = None
    finish: str = ""
    plate: Mapping[str, int] = field(default_factory=dict)
    """Millionths of each prep or good on one plate."""
    use_covers: bool = True
    was: str = ""


class Menu(Called, frozen=True):
    services: tuple[str, ...]
    share: Fraction
    dishes: tuple[str, ...]


class Service(Called, frozen=True):
    order: int
    starts: time
    ends: time
    set_by: time
    weekdays: frozenset[int] = frozenset()
    """Monday is 0."""
    not_on: frozenset[date] = frozenset()
    on: date | None = None
    also_on: frozenset[date] = frozenset()
    """Further business days for which it was added."""
    covers: Weekly[int] = Weekly((None,) * 7)
    arrivals: tuple[tuple[time, Fraction], ...] = ()
    """(from this time on, share of the guests), in order of the evening; empty: evenly from starts to ends."""
    counts: Mapping[str, int] | None = None
    over: Fraction = Fraction(0)
    courses: Mapping[str, time] = field(default_factory=dict)
    """When each course of a function is plated; one that is not here, when it starts."""
    plate_up: int = 0
    """Minutes that the plating of a course takes."""

    @property
    def function(self) -> bool:
        """Whether its dishes are counted and plated whole, course by course."""
        return self.counts is not None

    def held_on(self, day: date) -> bool:
        """Whether a business day has a sitting of it, by the book."""
        if day in self.also_on:
            return True
        return day == self.on if self.on else day.weekday() in self.weekdays and day not in self.not_on


class Station(Called, frozen=True):
    order: int
    cooks: Weekly[int]
    hours: Weekly[tuple[tuple[time, time], ...]] | None = None
    """Open windows by business weekday; None: hands are always there. A window that ends not after it starts
    ends the next morning."""
    language: str = ""
    """What is read there; empty: the kitchen's."""


class Equipment(Called, frozen=True):
    places: int = 1
    racks: int = 1
    heats_up: int = 0
    """Minutes from cold to hot."""


class Place(Called, frozen=True):
    store: Store
    temperature: Temperature | None = None
    note: str = ""


class Task(Called, frozen=True):
    station: str
    when: Literal["open", "close"] | time
    weekdays: frozenset[int]
    hands_on: int = 0
    """Minutes."""
    reads: Literal["C", "F"] | None = None
    place: str = ""
    """The place that it reads; empty where its reading is held to nothing."""


class Member(Called, frozen=True):
    """A kitchen of the group, this one too. `letter` stands before the codes of what comes from it: "C-K7F"."""

    letter: str


class Van(Called, frozen=True):
    """A van that takes food from one kitchen of the group to others, on a business day of its weekdays."""

    order: int
    comes_from: str
    to: tuple[str, ...]
    weekdays: frozenset[int]
    closes: time
    """The last time of day for orders: the last one that is not after it leaves."""
    leaves: time
    arrives: time
    """At the last of its kitchens."""


class Person(Struct, frozen=True):
    initials: str
    name: str
    role: Literal["cook", "sous", "closing"]
    language: str = ""
    """What they read; empty: as their bench or the kitchen."""


class Kitchen(Struct, frozen=True):
    name: str
    days: Days
    rules: RuleBook
    service_level: float = 0.95
    enough: float = 0.85
    spread: float = 0.1
    """How far a whole night strays from the mix; 0: guests choose independently."""
    plan_ahead: int = 2 * 24 * 60
    """Minutes."""
    units: Literal["metric", "us"] = "metric"
    clock: Literal[12, 24] = 24
    language: str = "en"
    allergens: Literal["eu", "us"] = "eu"
    bell: bool = True
    approved_plan: Plan | None = None
    runs_over: int = 60
    """Minutes that a service goes on after its written end, unless somebody ends it before."""
    unread_cooling: Literal["count", "hold"] = "count"
    """Whether food whose cooling nobody showed counts until the close, or is held."""
    altitude: int | None = None
    """Metres above the sea; None where the book does not say."""
    copies_kept: int = 24
    """So many of the copies of the file that are made by themselves are kept."""
    copies_also_to: str = ""
    """A second folder for them; "" for none."""
    member: str = ""
    """Which kitchen of the group this is; "" for a kitchen by itself."""


class Book(Struct, frozen=True, eq=False):
    """A whole book. Two books are the same only if they are the same object: compare `digest` instead."""

    digest: str
    kitchen: Kitchen
    stations: Mapping[str, Station]
    equipment: Mapping[str, Equipment]
    places: Mapping[str, Place]
    services: Mapping[str, Service]
    dishes: Mapping[str, Dish]
    menus: Mapping[str, Menu]
    preps: Mapping[str, Prep]
    goods: Mapping[str, Goods]
    tasks: Mapping[str, Task]
    people: Mapping[str, Person]
    kitchens: Mapping[str, Member] = field(default_factory=dict)
    """Those of the group, this one too; none for a kitchen by itself."""
    vans: Mapping[str, Van] = field(default_factory=dict)
    together: tuple[tuple[str, ...], ...] = ()
    """Preps in planning order, plates first: each group is what comes out of the same runs, and stands after
    every prep whose runs use any of it."""

    def measure(self, item: str) -> Measure:
        """How amounts of a prep or a good are counted; KeyError for an unknown id."""
        found = self.preps.get(item)
        return found.measure if found else self.goods[item].measure

    def name(self, item: str) -> str:
        """The name that people read, for a prep, a good, a dish or a place; the id itself when the book has lost it."""
        return told(self.called(item))

    def called(self, item: str) -> str:
        """The same as the book has it, every language in it."""
        tables: tuple[Mapping[str, Called], ...]
        tables = (self.preps, self.goods, self.dishes, self.places)
        for table in tables:
            if item in table:
                return table[item].called
        return item
