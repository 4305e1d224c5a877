"""What goes between kitchens, read into a State; nothing is asked in a kitchen by itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from sqlite3 import Connection
from typing import Any

from prepboard.book.book import Book
from prepboard.plan.given.group import Hold, Order, ToldHold, Transfer
from prepboard.store.file.times import day_or_none, instant, instant_or_none, instant_text
from prepboard.store.read.delivery_note import sent_of

KEPT_IN_SIGHT = timedelta(days=14)
"""So long a transfer, an order or a hold stays in sight (common practice, no source); what is open stays until it is
settled."""

OPEN = """settled_at IS NULL AND (got = '' AND back_at IS NULL OR got = 'refused' AND back_at IS NULL
    OR got = 'taken in' AND (back_at IS NOT NULL OR got_amount < amount))"""
"""Of a transfer that somebody has yet to take in or to answer for; as its index in m140 says it, word for word."""

TRANSFERS = f"""
    SELECT * FROM transfers WHERE sent_at >= ?1
    UNION ALL SELECT * FROM transfers WHERE sent_at < ?1 AND {OPEN} ORDER BY sent_at, note"""
ORDERS = "SELECT * FROM orders WHERE day >= ? ORDER BY day, van, kitchen, prep, at"
HOLDS = "SELECT * FROM holds_kept WHERE lifted_at IS NULL OR seen_at IS NULL OR at >= ? ORDER BY at, id"
TOLD = "SELECT * FROM holds_told WHERE lifted_at IS NULL ORDER BY at, code, goods"
SEEN = "SELECT kitchen, at, by FROM holds_seen WHERE hold = ? ORDER BY at"
HELD_BATCH = "SELECT why FROM holds_kept WHERE sender = ? AND code = ? AND lifted_at IS NULL"
WITHDRAWN_GOODS = "SELECT goods, lot, why FROM withdrawals WHERE lifted_at IS NULL AND goods != ''"
HERE = "SELECT ours FROM received_as WHERE sender = ? AND code = ? ORDER BY ours"


def group_of(db: Connection, book: Book, now: datetime) -> dict[str, Any]:
    """The State's fields of the group."""
    if not book.kitchen.member:
        return {}
    text, day = in_sight(book, now)
    return {
        "transfers": tuple(transfer(row, _why_held(db, row)) for row in rows(db, TRANSFERS, text)),
        "orders": tuple(_order(row) for row in rows(db, ORDERS, day)),
        "holds": tuple(_hold(db, row) for row in rows(db, HOLDS, text)),
        "told_holds": tuple(_told(db, book)),
    }


def in_sight(book: Book, now: datetime) -> tuple[str, str]:
    """From when on everything stays in sight, as instants and as business days are kept."""
    since = now - KEPT_IN_SIGHT
    return instant_text(since), book.kitchen.days.business_day(since).isoformat()


def rows(db: Connection, sql: str, *values: Any) -> list[dict[str, Any]]:
    cursor = db.execute(sql, values)
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor]


def _why_held(db: Connection, row: Mapping[str, Any]) -> str:
    """Why what is still on the van is held back: the batch by its sender, or a lot in it by anybody."""
    if row["got"] or row["back_at"]:
        return ""
    for (why,) in db.execute(HELD_BATCH, [row["sender"], row["batch"]]):
        return str(why)
    found = db.execute(WITHDRAWN_GOODS).fetchall()
    for goods, lot, why in found:
        for its_goods, its_lot in sent_of(row["sent"]).lots:
            same = its_lot and lot and _plain_lot(its_lot) == _plain_lot(lot)
            if same or (goods == its_goods and not (its_lot and lot)):
                return str(why)
    return ""


def _plain_lot(lot: str) -> str:
    """A lot as it is compared: without case and blanks."""
    return "".join(lot.split()).casefold()


def transfer(row: Mapping[str, Any], held: str = "") -> Transfer:
    """A row of `transfers`."""
    sent = sent_of(row["sent"])
    return Transfer(
        id=row["id"],
        note=row["note"],
        sender=row["sender"],
        receiver=row["receiver"],
        van=row["van"],
        day=day_or_none(row["day"] or None),
        batch=row["batch"],
        prep=row["prep"],
        name=row["name"],
        unit=row["unit"],
        amount=row["amount"],
        use_by=sent.use_by,
        lots=sent.lots,
        allergens=sent.allergens,
        degrees=f"{sent.degrees} °{sent.degrees_unit}",
        sent_at=instant(row["sent_at"]),
        sent_by=row["sent_by"],
        back_at=instant_or_none(row["back_at"]),
        got=row["got"],
        got_amount=row["got_amount"] or 0,
        got_at=instant_or_none(row["got_at"]),
        got_by=row["got_by"],
        got_degrees=row["got_degrees"],
        got_why=row["got_why"],
        ours=row["ours"],
        settled=row["settled_at"] is not None,
        held=held,
        passes_on=min(filter(None, (sent.first_day, sent.inherited))),
        safety=sent.safety,
        made_at=sent.made_at,
        shipped=row["sent_in"] != ON_PAPER,
    )


ON_PAPER = "paper"
"""Of a half that is only known by the paper that came with the food: in the place of the action that wrote it."""


def _order(row: Mapping[str, Any]) -> Order:
    return Order(
        row["id"], row["van"], date.fromisoformat(row["day"]), row["kitchen"], row["maker"], row["prep"], row["amount"],
        row["unit"], instant(row["at"]), row["by"], bool(row["late"]), row["answer"], row["answer_why"],
    )  # fmt: skip


def _hold(db: Connection, row: Mapping[str, Any]) -> Hold:
    here = [ours for (ours,) in db.execute(HERE, [row["sender"], row["code"]])] if row["code"] else []
    return Hold(
        row["id"], row["sender"], row["code"], row["goods"], row["lot"], row["why"], instant(row["at"]), row["by"],
        instant_or_none(row["lifted_at"]), instant_or_none(row["seen_at"]), row["seen_by"], tuple(here),
    )  # fmt: skip


def _told(db: Connection, book: Book) -> Iterator[ToldHold]:
    """A batch that several kitchens were told of is one."""
    others = tuple(one for one in book.kitchens if one != book.kitchen.member)
    held: dict[tuple[str, str, str], list[dict[str, Any]]] = defaultdict(list)
    for row in rows(db, TOLD):
        held[row["code"], row["goods"], row["lot"]].append(row)
    for (code, goods, lot), told in held.items():
        first = told[0]
        receivers = tuple(row["receiver"] for row in told) if code else others
        seen = {kitchen: (instant(at), by) for row in told for kitchen, at, by in db.execute(SEEN, [row["id"]])}
        yield ToldHold(first["id"], receivers, code, goods, lot, first["why"], instant(first["at"]), first["by"], seen)
