"""The checked books: beside each book's texts what they came to, so that a start need not check them again."""

from __future__ import annotations

import json
from sqlite3 import Connection

from prepboard.book.book import Book
from prepboard.book.checked_json import form, from_kept, kept_text


def book_of_version(db: Connection, version: int) -> Book:
    """The book of one version: the checked one where this program wrote it, else checked again from its texts."""
    row = db.execute("SELECT checked FROM checked_books WHERE version = ? AND form = ?", [version, form()]).fetchone()
    return from_kept(row[0]) if row else _from_texts(db, version)


def keep_checked(db: Connection, version: int, book: Book) -> None:
    """Keeps what this program made of a book, in the caller's transaction."""
    db.execute("INSERT OR REPLACE INTO checked_books VALUES (?, ?, ?)", [version, form(), kept_text(book)])


def unchecked_book(db: Connection) -> int | None:
    """The version of the newest book, when this program has not kept it yet."""
    row = db.execute(
        """SELECT version FROM book WHERE version = (SELECT max(version) FROM book)
           AND version NOT IN (SELECT version FROM checked_books WHERE form = ?)""",
        [form()],
    ).fetchone()
    return int(row[0]) if row else None


def checked_again(db: Connection, version: int) -> Book:
    """A book that an older program checked, as this one reads it."""
    return _from_texts(db, version)


def _from_texts(db: Connection, version: int) -> Book:
    from prepboard.book.reading.reader import read_accepted  # the checks and their models: a start does without them

    (texts,) = db.execute("SELECT texts FROM book WHERE version = ?", [version]).fetchone()
    return read_accepted(json.loads(texts))
