"""The written form of a book: every key that a chef may use, as pydantic models.

A key that is not here is a fault. Nothing is required by these models, so that one missing key never hides the
other faults; what a book must say is checked in `checking/`, and defaults are filled in by `compiling.py`.
The description beside a key goes into the JSON Schema.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import time
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from prepboard.book.amounts import UNITS
from prepboard.book.book import Store
from prepboard.book.reading.written_values import (
    AmountText,
    ByDay,
    ByLanguage,
    Chance,
    Clock,
    Cooks,
    Day,
    Degrees,
    Density,
    Duration,
    Guests,
    HandsOn,
    Height,
    HourFormat,
    Hours,
    Items,
    Joins,
    Keeps,
    LifeText,
    Measured,
    Money,
    Name,
    Note,
    Part,
    Pieces,
    Plural,
    Racks,
    Said,
    SaidNote,
    Share,
    SizeNumber,
    StepUses,
    Weekday,
    Word,
    Words,
    evidence_no_text,
    plan_no_text,
)


class Written(BaseModel):
    # Built once, as parts of the whole book, when a book is read first: building each by itself costs as much again.
    model_config = ConfigDict(extra="forbid", strict=True, defer_build=True)


class StationWritten(Written):
    name: Said | None = None
    cooks: ByDay[Cooks] | None = Field(default=None, description="How many cooks are there; default 1")
    hours: ByDay[Hours] | None = Field(
        default=None, description="When hands are there; default always. May pass midnight"
    )
    language: Word = ""


class EquipmentWritten(Written):
    name: Said | None = None
    places: Pieces = Field(default=1, description="Each holds one temperature at a time")
    racks: Pieces = Field(default=1, description="Runs share a place at the same temperature while racks last")
    heats_up: Duration = Field(default=Fraction(0), description="From cold to hot")


class PlaceWritten(Written):
    name: Said | None = None
    store: Store | None = Field(
        default=None, description="time: out of temperature control, on a clock. Default chilled"
    )
    temperature: Degrees | None = None
    note: SaidNote = ""


class ServiceWritten(Written):
    name: Said | None = None
    days: list[Weekday] | None = Field(default=None, description="Default every day")
    not_on: list[Day] | None = None
    on: Day | None = Field(default=None, description="A function: once, on this day")
    starts: Clock | None = None
    ends: Clock | None = Field(default=None, description="Not after `starts`: the next morning")
    set_by: Clock | None = Field(default=None, description="When what it needs must be ready; default `starts`")
    covers: ByDay[Guests] | None = None
    arrivals: dict[Clock, Part] | None = Field(
        default=None, description="Share of the guests from that time on; default even"
    )
    counts: dict[str, Guests] | None = Field(default=None, description="Of dishes, instead of a mix")
    over: Part = Field(default=Fraction(0), description="Made beyond the counts")
    courses: dict[str, Clock] | None = Field(
        default=None, description="When each course of a function is plated; default `starts`"
    )
    plate_up: Duration = Field(
        default=Fraction(0), description="So long the plating of a course takes the hands of its benches"
    )


class DishWritten(Written):
    name: Said | None = None
    services: Words | None = Field(default=None, description="Default every service that is no function")
    course: Word | None = None
    share: Share = Field(default=Fraction(0), description="Of covers; with a course at most 1")
    price: Money | None = None
    first_day: Day | None = Field(default=None, alias="from")
    last_day: Day | None = Field(default=None, alias="until")
    finish: SaidNote = ""
    plate: Items = Field(default={}, description="What one plate takes of each prep or good")
    use_covers: bool = True
    was: Word | None = Field(default=None, description="The id that it had before: what hangs on that stays with it")


class MenuWritten(Written):
    name: Said | None = None
    services: Words | None = None
    share: Part = Fraction(0)
    dishes: Words = Field(default_factory=list)


class SizesWritten(Written):
    smallest: SizeNumber | None = None
    largest: SizeNumber | None = None
    step: SizeNumber | None = None


class StepWritten(Written):
    do: Said | None = None
    hands_on: HandsOn = Fraction(0)
    hands_on_each: HandsOn = Field(default=Fraction(0), description="Times the size")
    wait: Duration = Fraction(0)
    wait_up_to: Duration | None = None
    attended: bool = False
    equipment: Word | None = None
    or_in: Word | None = Field(default=None, description="Other equipment that does as well, when that is taken")
    racks: Racks | None = Field(default=None, description="At size 1; default 1")
    holds: Literal["all", "hands"] | None = None
    at: Degrees | None = None
    core: Degrees | None = Field(default=None, description="A temperature to reach and record")
    cook_as: Literal["poultry", "ground", "whole", "fish", "eggs", "reheat", "undercooked"] | None = Field(
        default=None, description="What `core` is held to; default the rule book's highest"
    )
    cools: bool = False
    place: Word | None = None
    station: Word | None = Field(default=None, description="When another bench does it")
    uses: StepUses = Field(default_factory=dict)
    life_starts: bool = False
    note: SaidNote = ""


class ExemptWritten(Written):
    why: Name | None = None
    measured: Measured | None = Field(default=None, description='"pH 3.6", "aw 0.86" or both')
    on: Day | None = None
    by: Name | None = None


class ParasitesWritten(Written):
    how: Literal["frozen", "farmed", "species", "cooked"] | None = None
    by: Name | None = None
    on: Day | None = None


class PlanWritten(Written):
    number: Name | None = None
    by: Name | None = Field(default=None, description="Who approved it")
    on: Day | None = None


Exempting = Annotated[ExemptWritten | None, BeforeValidator(evidence_no_text)]
Planned = Annotated[PlanWritten | None, BeforeValidator(plan_no_text)]


class PrepWritten(Written):
    name: Said | None = None
    station: Word | None = None
    store: Store | None = None
    keeps: Keeps | None = Field(default=None, description="Days count day 1; hours count to the minute")
    ready_to_eat: bool | None = Field(default=None, description="false: raw, cooked before it is eaten")
    makes: AmountText | None = Field(default=None, description="One full recipe, after all losses")
    also_makes: Items = Field(default_factory=dict)
    driven_by: Words | None = Field(default=None, description="Whose need decides the size; default the prep itself")
    sizes: SizesWritten | None = None
    uses: Items = Field(default_factory=dict)
    takes_if_there: Items = Field(default_factory=dict)
    instead: dict[str, Word] = Field(
        default_factory=dict, description="Of what it uses: what may go in instead, as much of it, when it is not there"
    )
    held_in: Items = Field(default_factory=dict, description="Containers, and what one holds")
    plural: Plural = Field(default="", description="Several of its container, where it is no plain s")
    thaw: Duration = Fraction(0)
    par: ByDay[AmountText] | None = Field(default=None, description="A standing par, whatever the covers say")
    make_below: AmountText | None = None
    joins: Joins = Field(default=0, description="Days beyond the first that one run also covers")
    ready_before: Duration | None = Field(
        default=None, description="A cushion; default the kitchen's for what stands on plates or has a par, else none"
    )
    serve_from: list[Literal["chilled", "frozen"]] | None = Field(
        default=None, description="Where it is taken from: fresh, out of the freezer, or both"
    )
    fresh_for: Duration | None = Field(default=None, description="After so long it goes onto no plate, and stays good")
    on_demand: bool = Field(default=False, description="Nothing is made for it, nor before others, until it is started")
    allergens: Words = Field(default_factory=list)
    density: Density | None = Field(default=None, description="Grams in a millilitre")
    each: AmountText | None = Field(default=None, description="What one piece weighs or holds")
    exempt: Exempting = Field(default=None, description="What was measured, so that it needs no cold and no date mark")
    stable: Word | None = Field(default=None, description="One of a closed list of what needs no cold")
    place: Word | None = Field(default=None, description="Where it stands, where several places fit")
    packed: Literal["vacuum"] | None = Field(default=None, description="The rule book's reduced-oxygen section applies")
    enough: Chance | None = None
    service_level: Chance | None = None
    cost_short: Money | None = None
    cost_over: Money | None = None
    note: SaidNote = ""
    was: Word | None = Field(default=None, description="The id that it had before: what hangs on that stays with it")
    steps: list[StepWritten] = Field(default_factory=list)
    comes_from: Word | None = Field(
        default=None, description="The kitchen of the group that makes it; elsewhere it is ordered"
    )


class GoodsWritten(Written):
    name: Said | None = None
    unit: Literal[tuple(UNITS)] = "kg"  # type: ignore[valid-type]
    usable: Part = Field(default=Fraction(1), description="What trimming leaves")
    store: Store = "ambient"
    thaw: Duration = Fraction(0)
    supplier: Name = Field(default="", description="Who brings it: the order list goes by supplier")
    pack: AmountText | None = Field(default=None, description="What is bought as one, such as a 5 kg sack")
    order_by: Clock | None = Field(default=None, description="The last time of day for an order")
    lead: Duration = Field(default=Fraction(0), description="Whole days until it comes, such as 1 day")
    keeps_open: LifeText | None = None
    ready_to_eat: bool | None = Field(default=None, description="false: raw, cooked before it is eaten")
    cost: Money | None = Field(default=None, description="Per unit, as bought")
    allergens: Words | None = Field(default=None, description="[] says that there are none; unsaid, nothing is stated")
    species: Name | None = Field(default=None, description="Which fish or crustacean it is")
    exempt: Exempting = Field(default=None, description="Why it needs no date mark, and with figures no cold")
    stable: Word | None = Field(default=None, description="One of a closed list of what needs no cold")
    parasites: ParasitesWritten | None = Field(
        default=None, description="Of fish: why nothing is to be feared of it raw"
    )
    place: Word | None = Field(default=None, description="Where it stands once opened")
    density: Density | None = None
    each: AmountText | None = None
    held_in: Items = Field(default_factory=dict)
    plural: Plural = ""
    note: SaidNote = ""
    was: Word | None = Field(default=None, description="The id that it had before: what hangs on that stays with it")


class ContainerWritten(Written):
    name: ByLanguage = Field(default_factory=dict)
    plural: Name | ByLanguage = ""


class TaskWritten(Written):
    name: Said | None = None
    station: Word | None = None
    when: Word | None = Field(default=None, description="open, close, or a time")
    days: list[Weekday] | None = None
    hands_on: HandsOn = Fraction(0)
    reads: Literal["C", "F"] | None = Field(
        default=None, description="Asks for a temperature, which goes into the record"
    )
    place: Word | None = Field(default=None, description="What it reads: the place is held to its limit by it")


class KitchenWritten(Written):
    name: Name | None = None
    letter: Word | None = Field(default=None, description="Stands before the codes of what comes from it: C-K7F")


class VanWritten(Written):
    name: Name | None = None
    comes_from: Word | None = Field(default=None, alias="from")
    to: Words | None = None
    days: list[Weekday] | None = Field(default=None, description="Default every day")
    closes: Clock | None = Field(default=None, description="The last time of day for orders; default `leaves`")
    leaves: Clock | None = None
    arrives: Clock | None = Field(default=None, description="At the last of its kitchens; default `leaves`")


class PersonWritten(Written):
    name: Name | None = None
    role: Literal["cook", "sous", "closing"] = "cook"
    language: Word = ""


class BookWritten(Written):
    """A whole book, all files of its folder merged."""

    name: Name = "Kitchen"
    time_zone: Word = Field(default="UTC", description="IANA name")
    day_starts: Clock = time(4)
    rules: Word = Field(default="food-code-2022", description="One of the rule books")
    rules_of_the_house: dict[str, Any] = Field(default={}, description="Tightened limits, by the rule book's own keys")
    approved_plan: Planned = Field(
        default=None, description="The kitchen's own approved plan, which may loosen a limit"
    )
    unread_cooling: Literal["count", "hold"] = Field(
        default="count", description="What becomes of food whose cooling nobody showed"
    )
    altitude: Height = Field(default=None, description="The kitchen's height above the sea: at how much water boils")
    service_level: Chance = Fraction(95, 100)
    enough: Chance = Fraction(85, 100)
    spread: Part = Field(
        default=Fraction(1, 10),
        description="How far a whole night strays from the mix (0: guests choose independently)",
    )
    plan_ahead: Duration = Fraction(2 * 86400)
    ready_before: Duration = Field(default=Fraction(15 * 60), description="Slack before what a service needs")
    units: Literal["metric", "us"] = "metric"
    clock: HourFormat = 24
    language: Word = "en"
    allergens: Literal["eu", "us"] = "eu"
    bell: bool = True
    runs_over: Duration = Field(default=Fraction(3600), description="A service goes on after its end, at most so long")
    copies_kept: int = Field(default=24, description="Copies of the file that are kept, 2 to 1000")
    copies_also_to: Note = Field(default="", description="A second folder for them, as a whole path")
    this_kitchen: Word = Field(default="", description="Which kitchen of the group this is")
    stations: dict[str, StationWritten] = Field(default_factory=dict)
    equipment: dict[str, EquipmentWritten] = Field(default_factory=dict)
    places: dict[str, PlaceWritten] = Field(default_factory=dict)
    services: dict[str, ServiceWritten] = Field(default_factory=dict)
    dishes: dict[str, DishWritten] = Field(default_factory=dict)
    menus: dict[str, MenuWritten] = Field(default_factory=dict)
    preps: dict[str, PrepWritten] = Field(default_factory=dict)
    goods: dict[str, GoodsWritten] = Field(default_factory=dict)
    containers: dict[str, ContainerWritten] = Field(default_factory=dict)
    tasks: dict[str, TaskWritten] = Field(default_factory=dict)
    people: dict[str, PersonWritten] = Field(default_factory=dict)
    kitchens: dict[str, KitchenWritten] = Field(default_factory=dict)
    vans: dict[str, VanWritten] = Field(default_factory=dict)


SECTIONS: Mapping[str, type[Written]] = {
    "stations": StationWritten,
    "equipment": EquipmentWritten,
    "places": PlaceWritten,
    "services": ServiceWritten,
    "dishes": DishWritten,
    "menus": MenuWritten,
    "preps": PrepWritten,
    "goods": GoodsWritten,
    "containers": ContainerWritten,
    "tasks": TaskWritten,
    "people": PersonWritten,
    "kitchens": KitchenWritten,
    "vans": VanWritten,
}


def keys_of(model: type[Written]) -> list[str]:
    """The keys that a chef may write in this table."""
    return [field.alias or name for name, field in model.model_fields.items()]
