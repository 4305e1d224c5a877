"""How far this file has heard what the others tell. It lies in the file, so that a copy that is put back knows what it
has not heard."""

from __future__ import annotations

from msgspec import Struct

from prepboard.store.kitchen_file import KitchenFile

HEARD = "group heard"
"""The setting: a number, and the group's own token of the news that had it."""


class HeardTo(Struct, frozen=True):
    number: int = 0
    token: str = ""


def heard_to(file: KitchenFile) -> HeardTo:
    with file.looking() as db:
        kept = db.execute("SELECT value FROM settings WHERE name = ?", [HEARD]).fetchone()
    if kept is None:
        return HeardTo()
    number, _blank, token = kept[0].partition(" ")
    return HeardTo(int(number), token)


def keep_heard(file: KitchenFile, to: HeardTo) -> None:
    """NotSaved where it cannot be written; then the same news comes again."""
    with file.writing() as db:
        db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [HEARD, f"{to.number} {to.token}"])
