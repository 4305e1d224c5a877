"""What this program made of each book: derived, and made again whenever it would read the texts otherwise."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute(
        """CREATE TABLE checked_books (
            version INTEGER PRIMARY KEY REFERENCES book (version), form TEXT NOT NULL,
            checked TEXT NOT NULL CHECK (json_valid(checked))) STRICT"""
    )
