"""Loading a book, also again while stations run; and the clock that a demo kitchen keeps."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

from prepboard.book.book import Book
from prepboard.book.reading.reader import read_book
from prepboard.clock import RealClock, RunningClock
from prepboard.store.file.checked import keep_checked
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Who
from prepboard.store.food.shortening import Shorter, shorten, shortened
from prepboard.store.health.book_faults import SETTING as BOOK_FAULTS
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.store.transaction.doing import Doing, act, action
from prepboard.store.transaction.keeping_placements import placed_before
from prepboard.store.transaction.lapsing import check_days, check_measured
from prepboard.store.transaction.renaming import Left, follow, left_behind
from prepboard.texts import _, some


def load_book(file: KitchenFile, who: Who, folder: Path, *, action: str | None = None) -> Did:
    """Reads a book's folder into the file as its newest version. The reader's Faults mean that nothing changed.

    Runs under way keep the recipe they were started with. What hangs on an id that was renamed goes with it. Where the
    book gives food that is there a shorter life, that counts at once.
    """
    return load_texts(file, who, *read_book(folder), action=action)


@action("load")
def load_texts(doing: Doing, book: Book, texts: dict[str, str], *, action: str | None = None) -> Did:
    """The same of a book that was read already, with the texts that it was read from."""
    name = book.kitchen.name
    doing.db.execute("DELETE FROM settings WHERE name = ?", [BOOK_FAULTS])
    newest = doing.first("SELECT version, digest FROM book ORDER BY version DESC LIMIT 1")
    if newest and newest["digest"] == book.digest:
        doing.placements_stand = True
        return doing.answer(_("{name}: the book is as it was").format(name=name))
    version = newest["version"] + 1 if newest else 1
    before_it = doing.file.book(doing.db, newest["version"]) if newest else None
    check_days(book, book.kitchen.days.local(doing.now).date())
    if before_it is not None:
        check_measured(before_it, book)
    doing.placed = placed_before(doing, loading=True)
    doing.db.execute(
        "INSERT INTO book (version, digest, loaded_at, by, texts) VALUES (?, ?, ?, ?, ?)",
        [version, book.digest, instant_text(doing.now), doing.who.by, json.dumps(texts, ensure_ascii=False)],
    )
    keep_checked(doing.db, version, book)
    doing.file.knows(book)
    doing.loaded = version
    if before_it is not None:
        shorter = shortened(doing.db, before_it, book)
        follow(doing, version, book, before_it)
        shorten(doing, book, shorter)
    before = str(newest["version"]) if newest else ""
    doing.log("loaded", before=before, after=str(version), why=name)
    return doing.answer(f"{name}: {counted(book)}")


def counted(book: Book) -> str:
    """What is in a book: "33 preps, 1 dish, 2 services"."""
    counts = (
        some("{n} prep", "{n} preps", len(book.preps)),
        some("{n} dish", "{n} dishes", len(book.dishes)),
        some("{n} service", "{n} services", len(book.services)),
    )
    return ", ".join(counts)


def what_would_go(file: KitchenFile, book: Book) -> list[Left]:
    """What of the book in the file this one no longer has, with what hangs on it; nothing where there is none yet."""
    with file.looking() as db:
        try:
            before = file.book(db, newest_book(db))
        except StoreFault:
            return []
        return left_behind(db, before, book)


def what_is_shortened(file: KitchenFile, book: Book) -> list[Shorter]:
    """The batches that have a shorter life by this book than by the one in the file; nothing where there is none."""
    with file.looking() as db:
        try:
            before = file.book(db, newest_book(db))
        except StoreFault:
            return []
        return [] if before.digest == book.digest else shortened(db, before, book)


def set_clock(file: KitchenFile, shown: datetime, who: Who | None = None) -> Did:
    """The file's clock shows that moment from now on, and runs on at the real pace: for demo kitchens."""
    real = RealClock().now()

    def body(doing: Doing) -> Did:
        doing.put("settings", {"name": "clock shown", "value": instant_text(shown)})
        doing.put("settings", {"name": "clock real", "value": instant_text(real)})
        doing.log("clock", after=instant_text(shown))
        return doing.answer(_("the clock is set by hand"))

    did = act(file, who or Who("", ""), "clock", body)
    if isinstance(file.clock, RealClock | RunningClock):
        file.clock = file.kept_clock() or file.clock
    return did
