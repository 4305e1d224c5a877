"""Reach: what food went into what, one step at a time, both ways. What was taken back is as if it had never been."""

from __future__ import annotations

import json
from sqlite3 import Connection
from typing import Any

from msgspec import Struct

Row = dict[str, Any]

# A move that an undo reversed, and one of plates that were all taken back, is none.
STANDS = "NOT EXISTS (SELECT 1 FROM moves AS back WHERE back.gives_back = moves.number AND back.kind = 'undone')"

_RUNS_OF = f"""
    SELECT DISTINCT moves.run FROM moves WHERE moves.batch = ? AND moves.kind = 'made' AND moves.run IS NOT NULL
    AND {STANDS} ORDER BY moves.run"""

_USED_BY = f"""
    SELECT moves.batch, -sum(moves.amount) AS amount FROM moves
    WHERE moves.run = ? AND moves.kind = 'used' AND {STANDS} GROUP BY moves.batch ORDER BY min(moves.number)"""

_USED_IN = f"""
    SELECT moves.run, -sum(moves.amount) AS amount FROM moves
    WHERE moves.batch = ? AND moves.kind = 'used' AND {STANDS} GROUP BY moves.run ORDER BY min(moves.number)"""

_MADE_BY = f"""
    SELECT DISTINCT moves.batch FROM moves JOIN batches ON batches.code = moves.batch
    WHERE moves.run = ? AND moves.kind = 'made' AND batches.state != 'undone' AND {STANDS} ORDER BY moves.number"""

_PARTS_OF = "SELECT code FROM batches WHERE parent = ? AND state != 'undone' ORDER BY rowid"

# Plates of an entry count once, however many batches of a prep they took from; what was taken back counts not.
_PLATED = f"""
    SELECT plates.dish, plates.service, plates.day, sum(plates.n - plates.back) AS n FROM plates
    WHERE plates.n > plates.back AND plates.number IN (
        SELECT moves.plate FROM moves WHERE moves.batch = ? AND moves.kind = 'plated' AND moves.gives_back IS NULL
        AND {STANDS})
    GROUP BY plates.dish, plates.service, plates.day ORDER BY plates.day, plates.service, plates.dish"""

_AWAY = f"""
    SELECT moves.kind, moves.why, -sum(moves.amount) AS amount FROM moves
    WHERE moves.batch = ? AND moves.kind IN ('gone', 'discarded', 'sent') AND {STANDS}
    GROUP BY moves.kind, moves.why ORDER BY min(moves.number)"""


_CAME = """
    SELECT received_as.sender, received_as.code, received_as.lots, transfers.note FROM received_as
    JOIN transfers ON transfers.id = received_as.transfer WHERE received_as.ours = ?"""

_SENT_TO = "SELECT receiver FROM transfers WHERE note = ? AND batch = ?"


class Reach(Struct, frozen=True):
    """One file's steps, asked inside the transaction that the caller has begun."""

    db: Connection

    def rows(self, sql: str, *values: Any) -> list[Row]:
        cursor = self.db.execute(sql, values)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]

    def batch(self, code: str) -> Row | None:
        return next(iter(self.rows("SELECT * FROM batches WHERE code = ? AND state != 'undone'", code)), None)

    def run(self, code: str) -> Row:
        return self.rows("SELECT * FROM runs WHERE code = ?", code)[0]

    def runs_of(self, batch: str) -> list[str]:
        """The runs that a batch came from; more than one when it was topped up."""
        return [row["run"] for row in self.rows(_RUNS_OF, batch)]

    def used_by(self, run: str) -> list[tuple[str, int]]:
        """(batch, amount) that a run took."""
        return [(row["batch"], row["amount"]) for row in self.rows(_USED_BY, run)]

    def used_in(self, batch: str) -> list[tuple[str, int]]:
        """(run, amount) that took of a batch."""
        return [(row["run"], row["amount"]) for row in self.rows(_USED_IN, batch)]

    def made_by(self, run: str) -> list[str]:
        """The batches that a run gave, or topped up."""
        return [row["batch"] for row in self.rows(_MADE_BY, run)]

    def parts_of(self, batch: str) -> list[str]:
        return [row["code"] for row in self.rows(_PARTS_OF, batch)]

    def plated(self, batch: str) -> list[Row]:
        """The dishes that a batch went into: dish, service, day, and n plates."""
        return self.rows(_PLATED, batch)

    def away(self, batch: str) -> list[Row]:
        """What was used for something else, thrown away or sent to another kitchen: kind, why, amount."""
        return self.rows(_AWAY, batch)

    def came(self, batch: str) -> Row | None:
        """Where a batch came from, that was made in another kitchen: its code there, its lots and the note."""
        return next(iter(self.rows(_CAME, batch)), None)

    def sent_to(self, note: str, batch: str) -> str:
        """The kitchen that a note was for; "" where it is not known any more."""
        return next((row["receiver"] for row in self.rows(_SENT_TO, note, batch)), "")

    def instead(self, run: str) -> dict[str, str]:
        """What took the place of what in a run."""
        found: dict[str, str] = json.loads(self.run(run)["instead"])
        return found

    def whole(self, code: str) -> str:
        """The batch that a part was divided off, as far up as that goes."""
        row = self.batch(code)
        while row and row["parent"]:
            code = row["parent"]
            row = self.batch(code)
        return code
