"""Batches: which one is taken from, what comes in and what goes out.

First to expire first. A batch's `left` changes only here, together with its move.
"""

from __future__ import annotations

from datetime import date, datetime

from msgspec import Struct

from prepboard.book.amounts import BASE, DUST, Measure
from prepboard.book.book import Prep, Store
from prepboard.book.freshness import fresh_until
from prepboard.book.safety.life import History
from prepboard.book.safety.may_use import earliest
from prepboard.book.safety.stays import Stay
from prepboard.book.saying import say_amount
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Unsure
from prepboard.store.food.refused import answer, food, why_not, why_refused
from prepboard.store.food.use_by import life_columns
from prepboard.store.read.stays import stays_of
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _

# What is frozen waits while anything is thawed; what has no date waits for what has one.
FIRST_TO_EXPIRE = "ORDER BY store = 'frozen', use_by IS NULL, use_by, made_at, code"

LIVE = f"SELECT * FROM batches WHERE state = 'live' AND prep = ? {FIRST_TO_EXPIRE}"


class Cause(Struct, frozen=True):
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
    """Whether it may be used now, by the one answer; a frozen one with something left of its life once it is thawed."""
    return answer(doing, batch).may


def why_blocked(doing: Doing, batch: Row) -> str:
    """Why nobody may use a batch whatever its dates: blocked, withdrawn, a limit missed, or held until it is read."""
    return why_refused(doing, batch)


def good(doing: Doing, prep: str, *, set_aside_for: str = "") -> list[Row]:
    """The batches that may be taken from: good, and not set aside for another."""
    return [batch for batch in live(doing, prep) if is_good(doing, batch) and batch["set_aside"] in ("", set_aside_for)]


def fresh_first(doing: Doing, prep: str, batches: list[Row]) -> list[Row]:
    """For guests: what is fresh no more comes last, and goes out only where nothing else is there."""
    known = doing.book.preps.get(prep)
    if known is None or not known.fresh_for:
        return batches

    def is_stale(batch: Row) -> bool:
        until = fresh_until(known, instant(batch["made_at"]), batch["store"], stays_of(batch["stays"]))
        return until is not None and until <= doing.now

    return sorted(batches, key=is_stale)


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


def ask_or_take(doing: Doing, item: str, amount: int, cause: Cause, *, sure: bool) -> list[tuple[Row, int]]:
    """What is there of a prep and may not be used is asked about where the good is not enough; never left out in
    silence. Said to be sure, it went in, and what comes of it may not be used either."""
    bad = [batch for batch in live(doing, item) if not is_good(doing, batch) and there(doing, batch)]
    if not bad or amount <= 0:
        return []
    if not sure:
        raise Unsure(_did_it_go_in(doing, bad))
    return take(doing, bad, amount, cause)


def _did_it_go_in(doing: Doing, bad: list[Row]) -> str:
    named = "; ".join(
        _("{name} {batch} may not be used ({why})").format(
            name=name_of(doing, batch), batch=batch["code"], why=why_not(doing, batch)
        )
        for batch in bad[:3]
    )
    return _("{food}. Did it go in? Then what comes of it may not be used. If not, discard it first").format(food=named)


def there(doing: Doing, batch: Row) -> bool:
    return bool(batch["made_at"] <= instant_text(doing.now))


def name_packs(doing: Doing, goods: str, cause: Cause, *, sure: bool) -> list[Row]:
    """Opened packs of goods that something takes from: each that is good, since nobody says from which it came. What
    is in them is not counted. Where none is good, and packs stand open, that is asked."""
    packs = good(doing, goods)
    if not packs and (bad := [pack for pack in live(doing, goods) if there(doing, pack)]):
        if not sure:
            raise Unsure(_did_it_go_in(doing, bad))
        packs = bad
    for pack in packs:
        add_move(doing, pack["code"], 0, cause)
    return packs


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


class NewBatch(Struct, frozen=True):
    """What is known of a batch as it comes in. `use_by` and `why` count where the book does not know it; else its
    life is worked out."""

    prep: str
    amount: int
    unit: str
    made_at: datetime
    first_day: date
    store: Store
    place: str
    station: str
    inherited: date | None = None
    safety: date | None = None
    use_by: datetime | None = None
    why: str = ""
    name: str = ""
    run: str | None = None
    lot: str = ""
    pack: bool = False
    allergens: str | None = None
    blocked: str = ""
    blocked_for: str = ""
    place_sure: bool = True
    """Whether somebody said where it stands, or only one place fits."""
    code: str = ""
    """What it was called before, where it comes back; else a new one is drawn."""


def add_batch(doing: Doing, new: NewBatch, kind: str) -> str:
    """Adds a batch with its first move; answers its code."""
    code = new.code or doing.new_code()
    stays = (Stay(new.store, new.made_at),)
    history = History(new.first_day, new.made_at, stays, new.inherited, new.safety)
    row: Row = {
        "code": code,
        "prep": new.prep,
        "name": new.name,
        "run": new.run,
        "state": "live",
        "left": new.amount,
        "unit": new.unit,
        "made_at": instant_text(new.made_at),
        "passes_on": new.first_day.isoformat(),
        "use_by": instant_text(new.use_by) if new.use_by else None,
        "why": new.why,
        "place": new.place,
        "station": new.station,
        "by": doing.who.by,
        "lot": new.lot,
        "pack": int(new.pack),
        "allergens": new.allergens,
        "blocked": new.blocked,
        "blocked_for": new.blocked_for,
        **life_columns(doing.book, new.prep, history),
    }
    doing.put("batches", row)
    add_move(doing, code, new.amount, Cause(kind, run=new.run, why=new.place if new.place_sure else f"{new.place}?"))
    return code


def use_by_of(doing: Doing, code: str) -> datetime | None:
    """The earliest of its ends."""
    batch = doing.row("batches", code=code)
    end = earliest(food(doing, batch, taken=False)) if batch else None
    return end.until if end else None


def place_for(doing: Doing, store: Store, item: str = "", recipe: Prep | None = None) -> str:
    """Where food of a storage stands: the place of its recipe's last step there, its own `place`, else the first of the
    book; the storage itself where the book names none."""
    return _stands_in(doing, store, item, recipe)[0]


def place_sure(doing: Doing, store: Store, item: str = "", recipe: Prep | None = None) -> bool:
    """Whether the book says where it stands, or only one place fits."""
    return _stands_in(doing, store, item, recipe)[1]


def _stands_in(doing: Doing, store: Store, item: str, recipe: Prep | None) -> tuple[str, bool]:
    places = doing.book.places
    fit = [place.id for place in places.values() if place.store == store]
    said = [step.place for step in (recipe.steps if recipe else ()) if step.place in fit]
    own = doing.book.preps.get(item) or doing.book.goods.get(item)
    if own is not None and own.place in fit:
        said.insert(0, own.place)
    if said:
        return str(said[-1]), True
    return (fit[0], len(fit) == 1) if fit else (store, True)


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
