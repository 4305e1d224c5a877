"""Checks of probes, as the record needs them beside each reading: the one before it, and a bad one after it."""

from __future__ import annotations

from datetime import datetime
from sqlite3 import Connection

from msgspec import Struct

from prepboard.store.file.times import instant

COLUMNS = "SELECT at, water, degrees || ' °' || unit, ok FROM probe_checks WHERE probe = ?"
BEFORE = COLUMNS + " AND at <= ? ORDER BY at DESC, number DESC"


class Check(Struct, frozen=True):
    """What a probe read in "ice" or "boiling" water, as it was typed."""

    at: datetime
    water: str
    degrees: str
    good: bool


class Checks:
    """The checks that a file has."""

    def __init__(self, db: Connection) -> None:
        self._db = db

    def before(self, probe: str, at: str) -> Check | None:
        """The last one up to a moment."""
        return self._first(BEFORE, probe, at)

    def found_out(self, probe: str, at: str) -> Check | None:
        """The next one after a moment in either water, where it was out of tolerance."""
        found = [
            self._first(f"{COLUMNS} AND water = '{water}' AND at > ? ORDER BY at, number", probe, at)
            for water in ("ice", "boiling")
        ]
        return next((one for one in found if one and not one.good), None)

    def _first(self, sql: str, probe: str, at: str) -> Check | None:
        row = self._db.execute(f"{sql} LIMIT 1", [probe, at]).fetchone() if probe else None
        return Check(instant(row[0]), row[1], row[2], bool(row[3])) if row else None
