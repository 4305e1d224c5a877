"""What the reckoning is told: the codes' figures by their sections, and what was recorded of each food.

Moments are whole minutes from a Monday's midnight in a zone without clock changes; temperatures are degrees C.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

HOUR = 60
DAY = 1440
DAY_STARTS = 4 * HOUR
"""A business day begins at 04:00."""


@dataclass(frozen=True)
class Code:
    hot: float
    """FDA 3-501.16(A)(1) 57; UK Schedule 4 para 6: 63; FSANZ 3.2.2: 60."""
    cold: float
    """FDA 3-501.16(A)(2) 5; UK Schedule 4 para 2: 8; Ireland 5 (from memory); FSANZ 5."""
    stages: tuple[tuple[int, float], ...]
    """FDA 3-501.14(A): 21 within 2 h, 5 within 6 h in all. FSANZ 7(3): 21 in 2 h. Guidance Note 15: 3 in 150 min."""
    hot_out: int
    cold_out: int
    """FDA 3-501.19(B) 4 h; UK para 7(2) under 2 h hot, para 5 under 4 h cold."""
    further: int | None = None
    """FSANZ 7(3): a further 4 h."""
    ambient: int | None = None
    """FDA 3-501.14(B): from ingredients at room temperature, 4 h."""
    days: int | None = None
    """FDA 3-501.17(A): 7, day 1 counted. Guidance: 5."""
    guidance: bool = False
    six: tuple[int, float] | None = None
    """FDA 3-501.19(C): 6 h, never above 21."""
    back: str = ""
    """UK para 5 and 7: once. FSANZ guidance: adds up, under 2 h."""
    back_in: int = 0
    reheat: float | None = None
    """FDA 3-403.11(A) 74; Guidance Note 15: 70; FSANZ 7(4): 60."""
    reheat_in: int | None = None
    """FDA 3-403.11(D): 2 h."""
    cooked: float | None = None
    """What was cooked is held colder. Guidance Note 15 (cook-chill): 3."""
    thawed: int | None = None
    """Advice of the FSA and the FSAI (from memory): goods frozen before their date, 24 h from the thaw."""
    again: bool = False
    """Whether a missed first stage may be reheated and cooled again. FDA 3-501.14 with 3-403.11."""


CODES = {
    "food-code-2022": Code(
        57, 5, ((120, 21), (360, 5)), 240, 240, ambient=240, days=7, six=(360, 21), reheat=74, reheat_in=120, again=True
    ),
    "uk": Code(63, 8, ((90, 8),), 120, 240, days=5, guidance=True, back="once", thawed=1440),
    "ireland": Code(63, 5, ((150, 3),), 120, 120, days=5, reheat=70, cooked=3, thawed=1440),
    "fsanz": Code(60, 5, ((120, 21), (360, 5)), 240, 240, further=240, back="adds up", back_in=120, reheat=60),
}

STORES = {
    "walk-in": "chilled", "blast-chiller": "chilled", "freezer": "frozen", "bench": "ambient", "clock": "time",
    "cold-table": "time", "hot-cupboard": "hot",
}  # fmt: skip
COOL_TABLE = ("cold-table",)
"""Places of 21 °C or less by the book."""


@dataclass(frozen=True)
class Dish:
    """A recipe: its hot step's minutes, whether it is eaten as it is, its days, where it stands."""

    hot: int = 0
    ready_to_eat: bool = True
    days: int = 7
    place: str = "walk-in"
    goods: tuple[str, ...] = ()
    cooled: bool = False
    """It has a cooling step and no hot one."""


@dataclass
class Read:
    at: int
    degrees: float
    late: bool = False
    reheat: bool = False
    exposed: bool = False
    probe: bool = False
    """Read with the one probe that is checked."""


@dataclass
class Run:
    dish: str
    started: int
    seen: bool = True
    """Whether its start was recorded."""
    pressed: int | None = None
    """When its hot step was pressed as over."""
    took: list[tuple[str, int]] = field(default_factory=list)
    unopened: list[tuple[str, int]] = field(default_factory=list)
    """Goods taken of which no pack was open."""
    ended: int | None = None
    readings: list[Read] = field(default_factory=list)


@dataclass
class Batch:
    dish: str
    ready: int
    made: list[tuple[str, int]] = field(default_factory=list)
    whole: tuple[str, int] | None = None
    stood: list[tuple[int, str]] = field(default_factory=list)
    readings: list[Read] = field(default_factory=list)
    blocked: str = ""
    """ "" | "unsafe" | "taste"."""
    corrected: list[int] = field(default_factory=list)
    pack: str = ""
    lot: str = ""
    safety: int | None = None
    """The last day on which a maker says it is safe."""
    first_day: int | None = None
    """As a sous chef put the label right, """
    righted: int = 0
    """when that was."""


@dataclass(frozen=True)
class Fact:
    """`row` 2 withheld, 3 missed, 4 held, 6 out of control, 7 maker's date, 8 date mark, 9 the recipe's days."""

    row: int
    since: int
    until: int | None = None
    what: str = ""
    of: str = ""
    over: int | None = None
    """From here on it is so no more, for what is taken then."""


@dataclass
class Kitchen:
    code: Code
    dishes: dict[str, Dish]
    hold: bool = False
    """What nobody read cooling is held until it is read."""
    runs: dict[str, Run] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    places: dict[str, list[Read]] = field(default_factory=dict)
    blocked: dict[str, int] = field(default_factory=dict)
    checks: list[tuple[int, bool]] = field(default_factory=list)
    """When the probe was checked in ice water, and whether it was in tolerance."""
    withdrawn: list[tuple[str, str, str]] = field(default_factory=list)
    """(batch, goods, lot) in force."""


def cold(kitchen: Kitchen, batch: Batch) -> float:
    """At what it is cold enough."""
    dish = kitchen.dishes.get(batch.dish)
    cooked = kitchen.code.cooked is not None and dish is not None and bool(dish.hot)
    return kitchen.code.cooked if cooked and kitchen.code.cooked is not None else kitchen.code.cold


def business_day(at: int) -> int:
    return (at - DAY_STARTS) // DAY


def shown(kitchen: Kitchen, found: list[Read]) -> list[Read]:
    """In order, each in doubt where its probe was out at the last check before it or at the next one after: 4-203.11,
    from memory. It shows nothing good from then on, as what was typed late."""
    return sorted((replace(one, late=one.late or _in_doubt(kitchen, one)) for one in found), key=lambda one: one.at)


def _in_doubt(kitchen: Kitchen, one: Read) -> bool:
    before = [ok for at, ok in kitchen.checks if at < one.at]
    after = [ok for at, ok in kitchen.checks if at > one.at]
    return (one.probe and not (before[-1] if before else True)) or (one.probe and not (after[0] if after else True))


def of_place(kitchen: Kitchen, place: str) -> list[Read]:
    return shown(kitchen, kitchen.places.get(place, []))


# What is known of one batch, that of the whole before it was divided off first.


def stood(kitchen: Kitchen, batch: Batch) -> list[tuple[int, str]]:
    if batch.whole is None:
        return sorted(batch.stood)
    whole, at = batch.whole
    return [one for one in stood(kitchen, kitchen.batches[whole]) if one[0] <= at] + sorted(batch.stood)


def readings(kitchen: Kitchen, batch: Batch) -> list[Read]:
    before = []
    if batch.whole is not None:
        whole, at = batch.whole
        before = [one for one in readings(kitchen, kitchen.batches[whole]) if one.at <= at]
    elif batch.made:
        run, at = batch.made[0]
        before = [one for one in kitchen.runs[run].readings if one.at <= at]
    return shown(kitchen, [*before, *batch.readings])


def made(kitchen: Kitchen, batch: Batch) -> list[tuple[str, int]]:
    if batch.whole is None:
        return batch.made
    whole, at = batch.whole
    return [one for one in made(kitchen, kitchen.batches[whole]) if one[1] <= at] + batch.made


def corrected(kitchen: Kitchen, batch: Batch) -> list[int]:
    above = corrected(kitchen, kitchen.batches[batch.whole[0]]) if batch.whole else []
    return batch.corrected + above


def where(stays: list[tuple[int, str]], at: int) -> str:
    """In the minute in which it is brought elsewhere it still stands where it was."""
    return next((place for since, place in reversed(stays) if since < at), stays[0][1])
