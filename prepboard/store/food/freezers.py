"""A freezer that is not frozen: what stands in it counts as thawed since the freezer was last read frozen, until it is
read so again. FDA Food Code 2022, 3-501.11: frozen food is maintained frozen; 3-501.18(A)(1) leaves out only the time
that it is. That 0 °C is the figure for it is from memory."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from msgspec.structs import replace

from prepboard.book.book import Place
from prepboard.book.safety.holding import HowKept
from prepboard.book.safety.life import LONGEST_THAWED
from prepboard.book.safety.stays import Stay, and_then
from prepboard.book.safety.temperatures import Reading, within
from prepboard.store.file.times import instant_text
from prepboard.store.food.handing_down import hand_down
from prepboard.store.food.use_by import food_in, history_of, life_columns
from prepboard.store.read.measured import of_place
from prepboard.store.read.stays import stays_text
from prepboard.store.read.storage import storage_of
from prepboard.store.transaction.doing import Doing, Row

LIMIT = "frozen_storage"


def follow(doing: Doing, place: Place, reading: Reading) -> None:
    """Every batch that stands in a freezer that was just read: thawing, or frozen again."""
    if place.store != "frozen" or LIMIT not in doing.book.kitchen.rules.rules:
        return
    frozen = within(doing.book.kitchen.rules, LIMIT, reading)
    if frozen and reading.doubtful:
        return  # Typed late it improves nothing.
    good = _last_frozen(doing, place, reading.at)
    for batch in doing.rows("SELECT * FROM batches WHERE place = ? AND state = 'live' ORDER BY code", place.id):
        if (batch["store"] == "frozen") != frozen:
            _put(doing, batch, _stays(batch, good, reading.at, frozen=frozen))


def _last_frozen(doing: Doing, place: Place, at: datetime) -> datetime | None:
    rules = doing.book.kitchen.rules
    read = (one for one in of_place(doing.db, place.id) if one.at < at and one.meant != "exposed" and not one.doubtful)
    return max((one.at for one in read if within(rules, LIMIT, one)), default=None)


def _stays(batch: Row, good: datetime | None, at: datetime, *, frozen: bool) -> tuple[Stay, ...]:
    stays = history_of(batch).stays
    if frozen:
        return and_then(stays, "frozen", at)
    since = stays[-1].since
    if good is not None and good > since:
        return and_then(stays, "chilled", good)
    return and_then(stays[:-1], "chilled", since)


def follow_again(doing: Doing, place: Place, codes: Iterable[str]) -> None:
    """The same by all readings of a freezer for what stood in it, there or gone by now, and for what was made of that:
    one of its readings shows nothing any more, since its probe was found out."""
    if place.store != "frozen" or LIMIT not in doing.book.kitchen.rules.rules:
        return
    for code in codes:
        batch, food = doing.row("batches", code=code), storage_of(doing.files, code)
        if batch is None or food is None:
            continue
        stays = _by_all_readings(doing, batch, food.held)
        if stays != history_of(batch).stays:
            _put(doing, batch, stays)
            hand_down(doing, code)


def _by_all_readings(doing: Doing, batch: Row, held: HowKept) -> tuple[Stay, ...]:
    """Where a batch was kept from when on, by its moves and by what its freezers read meanwhile."""
    rules, then = doing.book.kitchen.rules, dict(batch)
    stays: tuple[Stay, ...] = ()
    for index, stood in enumerate(held.stood):
        stays = and_then(stays, stood.store, stood.since)
        place, until = doing.book.places.get(stood.place), held.until(index)
        if place is None or place.store != "frozen":
            continue
        for one in of_place(doing.db, place.id):
            gone = one.at < stood.since or (until is not None and one.at > until)
            frozen = within(rules, LIMIT, one)
            if gone or one.meant == "exposed" or frozen == (stays[-1].store == "frozen") or (frozen and one.doubtful):
                continue
            then["stays"] = stays_text(stays)
            stays = _stays(then, _last_frozen(doing, place, one.at), one.at, frozen=frozen)
    return stays


def _put(doing: Doing, batch: Row, stays: tuple[Stay, ...]) -> None:
    change = life_columns(doing.book, batch["prep"], replace(history_of(batch), stays=stays))
    if food_in(doing.book, batch["prep"]) is None and stays[-1].store != "frozen":
        change["use_by"] = instant_text(stays[-1].since + LONGEST_THAWED)  # What no recipe knows has a day.
    doing.put("batches", {"code": batch["code"], **change})
    did = "frozen" if stays[-1].store == "frozen" else "thawed"
    doing.log(did, batch=batch["code"], prep=batch["prep"], after=batch["place"], why="read")
