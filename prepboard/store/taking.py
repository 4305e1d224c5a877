"""Batches: which one is taken from, what comes in and what goes out.

First to expire first. A batch's `left` changes only here, together with its move.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from prepboard.book.amounts import BASE, DUST, Measure
from prepboard.book.book import Prep, Store
from prepboard.book.saying import say_amount
from prepboard.store.doing import Doing, Row
from prepboard.store.held import why_held
from prepboard.store.times import day_text, instant_text

# What is frozen waits while anything is thawed; what has no date waits for what has one.
FIRST_TO_EXPIRE = "ORDER BY store = 'frozen', use_by IS NULL, use_by, made_at, code"

LIVE = f"SELECT * FROM batches WHERE state = 'live' AND prep = ? {FIRST_TO_EXPIRE}"


@dataclass(frozen=True, slots=True)
class Cause:
    """Why an amount moves, as the move keeps it."""

    kind: str
    run: str | None = None
    plate: int | None = None
    why: str = ""
    gives_back: int | None = None


def live(doing: Doing, prep: str) -> list[Row]:
    """All batches of a prep with something left, good or not, first to expire first."""
    return doing.rows(LIVE, prep)


def is_good(doing: Doing, batch: Row) -> bool:
    """Good up to, not at, its use-by; not held back, by a person or by its readings; and there by now."""
    now = instant_text(doing.now)
    in_time = batch["use_by"] is None or now < batch["use_by"]
    return in_time and not batch["blocked"] and batch["made_at"] <= now and not why_held(doing, batch)


def good(doing: Doing, prep: str, *, set_aside_for: str = "") -> list[Row]:
    """The batches that may be taken from: good, and not set aside for another."""
    return [batch for batch in live(doing, prep) if is_good(doing, batch) and batch["set_aside"] in ("", set_aside_for)]


def take(doing: Doing, batches: list[Row], amount: int, cause: Cause) -> list[tuple[Row, int]]:
    """Takes an amount from batches in their order, as far as they go; answers what came from which."""
    taken: list[tuple[Row, int]] = []
    for batch in batches:
        part = min(amount, batch["left"])
        if part > 0:
            move(doing, batch["code"], -part, cause)
            taken.append((batch, part))
            amount -= part
    return taken


def move(doing: Doing, code: str, amount: int, cause: Cause) -> int:
    """Changes what is left of a batch, with its move; answers what is left. Less than a thousandth of a base unit
    closes a batch, and something given back opens it again."""
    batch = doing.row("batches", code=code)
    assert batch is not None, code
    left = batch["left"] + amount
    if 0 < left < DUST and amount < 0:
        amount -= left
        left = 0
    add_move(doing, code, amount, cause)
    doing.put("batches", {"code": code, "left": left, "state": "live" if left else "closed"})
    return int(left)


def add_move(doing: Doing, code: str, amount: int, cause: Cause) -> None:
    doing.db.execute(
        "INSERT INTO moves (action, at, batch, kind, amount, run, plate, why, gives_back)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            doing.id, instant_text(doing.now), code, cause.kind, amount,
            cause.run, cause.plate, cause.why, cause.gives_back,
        ],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class NewBatch:
    """What is known of a batch as it comes in."""

    prep: str
    amount: int
    unit: str
    made_at: datetime
    day_one: date
    passes_on: date | None
    use_by: datetime | None
    why: str
    store: Store
    place: str
    station: str
    name: str = ""
    run: str | None = None


def add_batch(doing: Doing, new: NewBatch, kind: str) -> str:
    """Adds a batch with its first move; answers its code."""
    code = doing.new_code()
    row: Row = {
        "code": code,
        "prep": new.prep,
        "name": new.name,
        "run": new.run,
        "state": "live",
        "left": new.amount,
        "unit": new.unit,
        "made_at": instant_text(new.made_at),
        "day_one": new.day_one.isoformat(),
        "passes_on": day_text(new.passes_on),
        "use_by": instant_text(new.use_by) if new.use_by else None,
        "why": new.why,
        "store": new.store,
        "place": new.place,
        "station": new.station,
        "by": doing.who.by,
        "frozen_at": instant_text(new.made_at) if new.store == "frozen" else None,
    }
    doing.put("batches", row)
    add_move(doing, code, new.amount, Cause(kind, run=new.run))
    return code


def place_for(doing: Doing, store: Store) -> str:
    """The first place of the book with that storage; the storage itself where the book names none."""
    return next((place.id for place in doing.book.places.values() if place.store == store), store)


def unit_of(prep: Prep) -> str:
    return BASE[prep.measure.kind]


def measure_of(doing: Doing, batch: Row) -> Measure:
    """How amounts of a batch are counted, also of one that no recipe knows."""
    found = doing.book.preps.get(batch["prep"])
    if found:
        return found.measure
    kind = next(kind for kind, unit in BASE.items() if unit == batch["unit"])
    return Measure(kind, batch["unit"])


def say(doing: Doing, batch: Row, amount: int) -> str:
    return say_amount(measure_of(doing, batch), amount, doing.book.kitchen.units)


def name_of(doing: Doing, batch: Row) -> str:
    return str(batch["name"] or doing.book.name(batch["prep"]))
