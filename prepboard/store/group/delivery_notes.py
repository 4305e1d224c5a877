"""Delivery notes: all that stands on them, of what left this kitchen."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import Sent, sent_of

NOTE = "SELECT sent FROM transfers WHERE note = ? ORDER BY sent_at DESC LIMIT 1"


def notes_of(file: KitchenFile, notes: Iterable[str]) -> list[Sent]:
    """What left or comes by these notes, of those that are known here."""
    with file.looking() as db:
        found = [db.execute(NOTE, [note.strip().upper()]).fetchone() for note in notes]
    return [sent_of(row[0]) for row in found if row]
