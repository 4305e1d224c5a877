"""Checks of probes, as the record needs them beside each reading: the one before it, and a bad one after it."""

from __future__ import annotations

from datetime import datetime, timedelta
from sqlite3 import Connection

from msgspec import Struct

from prepboard.store.file.times import instant, instant_text
from prepboard.store.kitchen_file import KitchenFile

WATERS = ("ice", "boiling")
COLUMNS = "SELECT at, water, degrees || ' °' || unit, ok FROM probe_checks WHERE probe = ? AND water = ? AND at"
BEFORE = COLUMNS + " <= ? ORDER BY at DESC, number DESC LIMIT 1"
AFTER = COLUMNS + " > ? ORDER BY at, number LIMIT 1"


class Check(Struct, frozen=True):
    """What a probe read in "ice" or "boiling" water, as it was typed."""

    at: datetime
    water: str
    degrees: str
    good: bool


KNOWN = """
    SELECT probe FROM (
        SELECT probe, at, station FROM readings WHERE probe != '' AND at >= ?1
        UNION ALL SELECT probe, at, station FROM tasks_done WHERE probe != '' AND at >= ?1
        UNION ALL SELECT probe, at, station FROM probe_checks WHERE at >= ?1)
    GROUP BY probe COLLATE NOCASE
    ORDER BY max(CASE WHEN station = ?2 THEN at ELSE '' END) DESC, max(at) DESC LIMIT 12"""

LATELY = timedelta(days=31)


def known_probes(file: KitchenFile, station: str) -> list[str]:
    """The probes that were used or checked in the last month, the one that this station used last in front."""
    since = instant_text(file.clock.now() - LATELY)
    with file.looking() as db:
        return [probe for (probe,) in db.execute(KNOWN, [since, station])]


class Checks:
    """The checks that a file has."""

    def __init__(self, db: Connection) -> None:
        self._db = db

    def before(self, probe: str, at: str) -> Check | None:
        """The last one up to a moment. One that was out of tolerance is not made good by the other water."""
        last = [one for water in WATERS if (one := self._first(BEFORE, probe, water, at))]
        return min(last, key=lambda one: (one.good, -one.at.timestamp()), default=None)

    def found_out(self, probe: str, at: str) -> Check | None:
        """The next one after a moment in either water, where it was out of tolerance."""
        found = [one for water in WATERS if (one := self._first(AFTER, probe, water, at)) and not one.good]
        return min(found, key=lambda one: one.at, default=None)

    def _first(self, sql: str, probe: str, water: str, at: str) -> Check | None:
        row = self._db.execute(sql, [probe, water, at]).fetchone() if probe else None
        return Check(instant(row[0]), row[1], row[2], bool(row[3])) if row else None
