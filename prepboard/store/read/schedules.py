"""Placements as the file keeps them: one row for each line and each run under way, read into a State's fields."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from prepboard.plan.given.state import Moved, Placed, Placement
from prepboard.store.file.times import instant, instant_text

PLACED_FOR = "placed for"
"""The setting that says what the placements were worked out from: a digest, the action that kept them, the lines that
were lost then, and when."""

Known = dict[str, dict[str, Placement]]
"""The placements that were read last, under what names them: they change more rarely than a plate goes."""


def placements(db: Connection, known: Known) -> dict[str, Any]:
    """The State's fields of what was placed. Of a step only its times and places are kept: the rest is the recipe's."""
    kept = _kept_for(db)
    if kept not in known:
        found = read_all(db)
        known.clear()
        known[kept] = found
    digest, *by = kept.split(" ")
    at = instant(by[-1]) if len(by) > 1 else None
    return {"placements": known[kept], "placed_for": digest, "placed_at": at, "lost": frozenset(by[1:-1])}


def kept_for(digest: str, action: str, lost: Iterable[str], at: datetime) -> str:
    """What that setting says."""
    return " ".join((digest, action, *sorted(lost), instant_text(at)))


def read_all(db: Connection) -> dict[str, Placement]:
    """Every placement that is kept, by line."""
    return {line: _placement(*row) for line, *row in db.execute("SELECT * FROM schedules ORDER BY line")}


def _placement(size: str, ready_by: str | None, due: str | None, steps: str, moved: str | None) -> Placement:
    return Placement(
        Fraction(size),
        instant(ready_by) if ready_by else None,
        instant(due) if due else None,
        tuple(
            Placed(
                one["step"],
                instant(one["begins"]),
                instant(one["hands_until"]),
                instant(one["ends"]),
                places=tuple(one["places"]),
            )
            for one in json.loads(steps)
        ),
        _moved(moved) if moved else None,
    )


def _moved(text: str) -> Moved:
    kept = json.loads(text)
    return Moved(instant(kept["at"]), instant(kept["since"]), kept["did"], kept["item"], kept["minutes"])


def _moved_text(moved: Moved) -> str:
    return json.dumps(
        {
            "at": instant_text(moved.at),
            "since": instant_text(moved.since),
            "did": moved.did,
            "item": moved.item,
            "minutes": moved.minutes,
        }
    )


def _kept_for(db: Connection) -> str:
    row = db.execute("SELECT value FROM settings WHERE name = ?", [PLACED_FOR]).fetchone()
    return str(row[0]) if row else ""


def row_of(line: str, placement: Placement) -> dict[str, str | None]:
    """The row of one line's placement."""
    steps = [
        {
            "step": placed.step,
            "begins": instant_text(placed.begins),
            "hands_until": instant_text(placed.hands_until),
            "ends": instant_text(placed.ends),
            "places": placed.places,
        }
        for placed in placement.steps
    ]
    return {
        "line": line,
        "size": str(placement.size),
        "ready_by": instant_text(placement.ready_by) if placement.ready_by else None,
        "due": instant_text(placement.due) if placement.due else None,
        "steps": json.dumps(steps),
        "moved": _moved_text(placement.moved) if placement.moved else None,
    }
