"""What hangs on ids of a book when another one is loaded: it follows a new id (`was`), or is left behind and named."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from sqlite3 import Connection

from msgspec import Struct

from prepboard.book.amounts import MILLION
from prepboard.book.book import Book, Dish, Goods, Prep, Station
from prepboard.book.saying import say_amount
from prepboard.store.read.group import OPEN, in_sight
from prepboard.store.transaction.doing import Doing
from prepboard.store.transaction.tables import KEYS
from prepboard.texts import _, some

OF_ITEMS = (
    ("batches", "prep"), ("pars", "prep"), ("standing_pars", "prep"), ("standing_by_weekday", "prep"),
    ("portions", "prep"), ("given", "prep"), ("missing", "goods"), ("goods_discarded", "goods"),
    ("goods_counted", "goods"),
)  # fmt: skip
OF_DISHES = (
    ("plates", "dish"), ("mixes", "dish"), ("counts", "dish"), ("taken_off", "dish"), ("portions", "dish"),
    ("resets", "dish"), ("ran_out", "dish"),
)  # fmt: skip
"""Tables and the columns that hold an id of the book. The log keeps what was written; readings name batches."""


class Left(Struct, frozen=True):
    """One entry that a new book no longer has: its kind, its id, the name that it had, and what hangs on it."""

    kind: str
    id: str
    name: str
    hangs: tuple[str, ...]

    def __str__(self) -> str:
        said = _("{name} is gone from the book ({kind} '{id}')").format(name=self.name, kind=_(self.kind), id=self.id)
        return said + (": " + ", ".join(self.hangs) if self.hangs else _(": nothing hangs on it"))


def follow(doing: Doing, version: int, book: Book, before: Book) -> None:
    """Gives what hangs on ids that were renamed their new ids, row by row, so that the log holds them."""
    items: dict[str, Prep | Goods] = {**book.preps, **book.goods}
    for item in (one for one in items.values() if one.was):
        for table, column in OF_ITEMS:
            _rename(doing, table, column, item.was, item.id)
        _between_kitchens(doing, item.was, item.id)
        _withdrawn_too(doing, item.was, item.id)
    for dish in (one for one in book.dishes.values() if one.was):
        for table, column in OF_DISHES:
            _rename(doing, table, column, dish.was, dish.id)
        doing.db.execute("UPDATE OR IGNORE learned SET dish = ? WHERE dish = ?", [dish.id, dish.was])
    renamed = {one.was: one.id for one in items.values() if one.was}
    if renamed:
        _follow_runs(doing, version, book, before, renamed)


def _rename(doing: Doing, table: str, column: str, was: str, now: str) -> None:
    """Rows of the old id; one whose new id is there already stays behind, since nothing may be overwritten unseen."""
    names = KEYS[table]
    for row in doing.rows(f"SELECT * FROM {table} WHERE {column} = ?", was):
        renamed = {**row, column: now}
        if column not in names:
            doing.put(table, {**{name: row[name] for name in names}, column: now})
        elif doing.row(table, **{name: renamed[name] for name in names}) is None:
            doing.drop(table, **{name: row[name] for name in names})
            doing.put(table, renamed)


def _between_kitchens(doing: Doing, was: str, now: str) -> None:
    """What was ordered, what is on a van and what is still to be answered for goes by the new id; what is long over
    keeps the one that it had."""
    text, day = in_sight(doing.book, doing.now)
    for row in doing.rows("SELECT id FROM orders WHERE prep = ? AND day >= ?", was, day):
        doing.put("orders", {"id": row["id"], "prep": now})
    for row in doing.rows(f"SELECT id FROM transfers WHERE prep = ? AND (sent_at >= ? OR {OPEN})", was, text):
        doing.put("transfers", {"id": row["id"], "prep": now})


def _withdrawn_too(doing: Doing, was: str, now: str) -> None:
    """Goods that are withdrawn stay so under their new id; runs of before go on naming the old one."""
    for row in doing.rows("SELECT * FROM withdrawals WHERE goods = ? AND lifted_at IS NULL", was):
        (last,) = doing.rows("SELECT max(number) AS number FROM withdrawals")
        doing.put("withdrawals", {**row, "goods": now, "number": last["number"] + 1})


def _follow_runs(doing: Doing, version: int, book: Book, before: Book, renamed: Mapping[str, str]) -> None:
    """Runs under way go on under the new ids, where the new recipe is as long as the one they were started with."""
    for row in doing.rows("SELECT code, prep, line, outputs FROM runs WHERE state = 'under way'"):
        prep, outputs = row["prep"], json.loads(row["outputs"])
        gives = {renamed.get(item, item): amount for item, amount in outputs.items()}
        own = renamed.get(prep, prep)
        if (own, list(gives)) == (prep, list(outputs)) or not _alike(before.preps.get(prep), book, own):
            continue
        line = row["line"] and row["line"].replace(f"{prep}#", f"{own}#", 1)
        doing.put(
            "runs",
            {"code": row["code"], "prep": own, "line": line, "outputs": json.dumps(gives), "book": version},
        )


def _alike(before: Prep | None, book: Book, own: str) -> bool:
    now = book.preps.get(own)
    if before is None or now is None:
        return False
    uses = [len(one.uses) + len(one.takes_if_there) for one in (before, now)]
    return len(before.steps) == len(now.steps) and uses[0] == uses[1]


def left_behind(db: Connection, before: Book, book: Book) -> list[Left]:
    """What the new book no longer has and nothing became, in the old book's order, with what hangs on it."""
    became = {one.was for table in (book.preps, book.goods, book.dishes) for one in table.values()}
    found = []
    for kind, old, new in (
        ("prep", before.preps, book.preps), ("dish", before.dishes, book.dishes),
        ("goods", before.goods, book.goods), ("station", before.stations, book.stations),
    ):  # fmt: skip
        for id_, entry in old.items():
            if id_ not in new and id_ not in became:
                found.append(Left(kind, id_, entry.name, tuple(_hangs(db, kind, entry))))
    return found


def _hangs(db: Connection, kind: str, entry: Prep | Dish | Goods | Station) -> Iterator[str]:
    if isinstance(entry, Prep):
        yield from _batches(db, entry)
        codes = [row[0] for row in db.execute(_RUNS.format(column="prep"), [entry.id])]
        if codes:
            yield _("under way: {runs}").format(runs=", ".join(codes))
        n = _count(db, "SELECT (SELECT count(*) FROM pars WHERE prep = ?1) +"
                       " (SELECT count(*) FROM standing_pars WHERE prep = ?1)", entry.id)  # fmt: skip
        if n:
            yield some("{n} par by hand", "{n} pars by hand", n)
    elif isinstance(entry, Dish):
        n = _count(db, "SELECT count(DISTINCT day || service) FROM plates WHERE dish = ?", entry.id)
        if n:
            yield some("plates of {n} sitting, and what they taught", "plates of {n} sittings, and what they taught", n)
    elif isinstance(entry, Station):
        codes = [row[0] for row in db.execute(_RUNS.format(column="station"), [entry.id])]
        if codes:
            yield _("under way there: {runs}").format(runs=", ".join(codes))
        n = _count(db, "SELECT count(*) FROM notes WHERE whom = ? AND done_at IS NULL", entry.id)
        if n:
            yield some("{n} note", "{n} notes", n)


_RUNS = "SELECT code FROM runs WHERE state = 'under way' AND {column} = ? ORDER BY started, code"


def _batches(db: Connection, prep: Prep) -> Iterator[str]:
    rows = db.execute("SELECT code, left FROM batches WHERE state = 'live' AND prep = ? AND left > 0", [prep.id])
    for code, left in rows:
        amount = say_amount(prep.measure, left) if prep.measure else str(left // MILLION)
        yield _("{amount} in batch {code}").format(amount=amount, code=code)


def _count(db: Connection, sql: str, id_: str) -> int:
    return int(db.execute(sql, [id_]).fetchone()[0])
