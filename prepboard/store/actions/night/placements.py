"""What the plan worked out and all stations must agree on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from prepboard.plan.given.state import Placement
from prepboard.store.file.times import instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.schedules import PLACED_FOR, row_of


def end_shorts(file: KitchenFile, ended: Mapping[tuple[str, str], date]) -> None:
    """Forgets since when something was short that is all there now: (prep, need) -> its day."""
    with file.writing() as db:
        for (prep, need), day in ended.items():
            db.execute("DELETE FROM shorts WHERE day = ? AND prep = ? AND need = ?", [day.isoformat(), prep, need])


def keep_shorts(file: KitchenFile, day: date, shorts: Mapping[tuple[str, str], datetime]) -> bool:
    """Keeps since when something is short in a service under way: (prep, need) -> that moment.

    The first station to say so counts; what is known already stays and is not written again. Answers whether
    anything was new.
    """
    with file.glance() as db:
        known = set(db.execute("SELECT prep, need FROM shorts WHERE day = ?", [day.isoformat()]).fetchall())
    new = [(day.isoformat(), *key, instant_text(since)) for key, since in shorts.items() if key not in known]
    if new:
        with file.writing() as db:
            for row in new:
                db.execute("INSERT OR IGNORE INTO shorts (day, prep, need, since) VALUES (?, ?, ?, ?)", row)
    return bool(new)


def keep_placements(file: KitchenFile, digest: str, placements: Mapping[str, Placement]) -> None:
    """Keeps where runs lie in a file whose actions had nobody who plans."""
    with file.writing() as db:
        db.execute("DELETE FROM schedules")
        for line, placement in placements.items():
            row = row_of(line, placement)
            db.execute("INSERT INTO schedules VALUES (:line, :size, :ready_by, :due, :steps, :moved)", row)
        db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [PLACED_FOR, digest])
