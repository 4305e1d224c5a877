"""A book folder that somebody is writing in while boards run: what is wrong with it, until it is right again.

The book in the file stays as it was. What is wrong with the folder is kept beside it, so that the sous chef's board can
say it, and goes with the next book that is loaded.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from sqlite3 import Connection

from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import _, recognized, some

SETTING = "book faults"
NAMED = 3
"""So many faults are kept in words; the rest is counted."""


def keep_book_faults(file: KitchenFile, folder: str, faults: Sequence[str]) -> None:
    """Keeps what is wrong with a book's folder; without a fault, that nothing is."""
    with file.writing() as db:
        if not faults:
            db.execute("DELETE FROM settings WHERE name = ?", [SETTING])
            return
        kept = json.dumps({"folder": folder, "faults": list(faults[:NAMED]), "more": max(0, len(faults) - NAMED)})
        db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [SETTING, kept])


def said_of_book(db: Connection) -> Iterable[str]:
    """What a sous chef must know of the folder, a sentence; nothing while it is right."""
    row = db.execute("SELECT value FROM settings WHERE name = ?", [SETTING]).fetchone()
    if row is None:
        return
    kept = json.loads(row[0])
    n = len(kept["faults"]) + kept["more"]
    faults = some("{n} fault", "{n} faults", n)
    said = _("{folder} has {faults} and is not loaded, the book before it stays: {first}")
    yield said.format(folder=kept["folder"], faults=faults, first=recognized(kept["faults"][0]))
