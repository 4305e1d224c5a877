"""Batches that another book gives a shorter life: the shorter date counts at once, and until the box is labelled anew
boards and close say what its label says and until when it is good."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from sqlite3 import Connection

from msgspec import Struct

from prepboard.book.book import Book
from prepboard.book.safety.life import History, good_until
from prepboard.plan.given.state import Batch
from prepboard.store.file.times import instant_text
from prepboard.store.food.use_by import food_in, life_columns
from prepboard.store.read.live_batches import live_batches
from prepboard.store.transaction.doing import Doing
from prepboard.store.transaction.saying import end_of
from prepboard.texts import _


class Shorter(Struct, frozen=True):
    """One batch: until when it counts now, and until when by the new book."""

    batch: str
    prep: str
    name: str
    until: datetime
    was: datetime

    history: History

    def said(self, book: Book, now: datetime) -> str:
        """ "Lamb jus K7F: Thu instead of Sun by this book: label it anew"."""
        kitchen = book.kitchen
        said = _("{name} {batch}: {until} instead of {was} by this book: label it anew")
        if self.until <= now:
            said = _("{name} {batch}: {until} instead of {was} by this book, which is past: bin it")
        return said.format(
            name=self.name, batch=self.batch, until=end_of(kitchen, self.until, now), was=end_of(kitchen, self.was, now)
        )


def shortened(db: Connection, before: Book, book: Book) -> list[Shorter]:
    """What is there, not frozen, and has a shorter life by the new book or its rule book than by the one before."""
    became = {one.was: id_ for table in (book.preps, book.goods) for id_, one in table.items() if one.was}
    found = []
    for _row, batch in live_batches(db, {}).values():
        id_ = batch.prep if batch.prep in book.preps or batch.prep in book.goods else became.get(batch.prep, "")
        then, until = _end(before, batch.prep, batch), _end(book, id_, batch)
        if batch.left <= 0 or batch.use_by is None or until is None or (then is not None and then <= until):
            continue
        if until < batch.use_by:
            name = batch.name or book.name(id_)
            found.append(Shorter(batch.code, id_, name, until, batch.use_by, batch.history))
    return sorted(found, key=lambda one: (one.until, one.batch))


def shorten(doing: Doing, book: Book, found: Iterable[Shorter]) -> None:
    """The shorter date counts from now on; what the label says is kept until somebody labelled the box anew."""
    for one in found:
        row = doing.row("batches", code=one.batch)
        assert row is not None, one.batch
        change = life_columns(book, one.prep, one.history)
        change["label_says"] = row["label_says"] or row["use_by"] or instant_text(one.was)
        doing.put("batches", {"code": one.batch, **change})


def _end(book: Book, item: str, batch: Batch) -> datetime | None:
    food = food_in(book, item)
    limit = good_until(book.kitchen, food, batch.history) if food else None
    return limit.until if limit else None
