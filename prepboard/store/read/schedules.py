"""Placements as the file keeps them: one row for each step, read into a State's fields."""

from __future__ import annotations

from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from prepboard.plan.given.state import Placed, Placement
from prepboard.store.file.times import instant, instant_text

KEPT = """
    SELECT line, step, size, ready_by, start_by, begins, hands_until, ends, places
    FROM schedules ORDER BY line, step"""


Known = dict[str, dict[str, Placement]]
"""The placements that were read last, under the digest that names them: they change more rarely than a plate goes."""


def placements(db: Connection, known: Known) -> dict[str, Any]:
    """The State's fields of what was placed. Of a step only its times and places are kept: the rest is the recipe's."""
    digest = kept_for(db)
    if digest not in known:
        known.clear()
        known[digest] = _read(db)
    return {"placements": known[digest], "placed_for": digest}


def _read(db: Connection) -> dict[str, Placement]:
    kept: dict[str, Placement] = {}
    steps: dict[str, list[Placed]] = {}
    for line, step, size, ready_by, start_by, begins, hands_until, ends, places in db.execute(KEPT):
        numbers = tuple(int(number) for number in places.split(",") if number)
        placed = Placed(step, instant(begins), instant(hands_until), instant(ends), places=numbers)
        steps.setdefault(line, []).append(placed)
        kept[line] = Placement(Fraction(size), instant(ready_by), instant(start_by), ())
    return {line: Placement(one.size, one.ready_by, one.start_by, tuple(steps[line])) for line, one in kept.items()}


def kept_for(db: Connection) -> str:
    """The digest of what the kept placements were worked out from; empty when there are none."""
    row = db.execute("SELECT digest FROM schedules LIMIT 1").fetchone()
    return str(row[0]) if row else ""


def rows(line: str, placement: Placement, digest: str) -> list[tuple[object, ...]]:
    """The rows of one line's placement."""
    return [
        (
            line,
            placed.step,
            str(placement.size),
            instant_text(placement.ready_by),
            instant_text(placement.start_by),
            instant_text(placed.begins),
            instant_text(placed.hands_until),
            instant_text(placed.ends),
            ",".join(map(str, placed.places)),
            digest,
        )
        for placed in placement.steps
    ]
