"""Where a batch came from and where it went, entry by entry."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from prepboard.store.file.times import instant
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import told


class Source(Struct, frozen=True):
    """Another batch that went into this one; `name` is that of a batch which no recipe knows, else empty."""

    batch: str
    prep: str
    name: str
    unit: str
    amount: int
    """Millionths of its base unit."""


class Entry(Struct, frozen=True):
    """One change of what is left; `amount` is signed. `into` is the prep of the run, or the dish, that it went to."""

    at: datetime
    by: str
    kind: str
    """The word of the move: made, used, plated, counted, gone, discarded, undone."""
    amount: int
    into: str
    why: str


class BatchStory(Struct, frozen=True):
    made_from: tuple[Source, ...]
    entries: tuple[Entry, ...]


_MADE_FROM = """
    SELECT moves.batch, batches.prep, batches.name, batches.unit, -sum(moves.amount)
    FROM moves JOIN batches ON batches.code = moves.batch
    WHERE moves.run = (SELECT run FROM batches WHERE code = :code) AND moves.kind IN ('used', 'undone')
    GROUP BY moves.batch
    HAVING sum(moves.amount) < 0
        OR (max(batches.pack) AND sum(CASE moves.kind WHEN 'used' THEN 1 ELSE -1 END) > 0)
    ORDER BY batches.prep, moves.batch"""

_ENTRIES = """
    SELECT min(moves.at), actions.by, moves.kind, sum(moves.amount), coalesce(runs.prep, plates.dish, ''), moves.why
    FROM moves JOIN actions ON actions.id = moves.action
    LEFT JOIN runs ON runs.code = moves.run LEFT JOIN plates ON plates.number = moves.plate
    WHERE moves.batch = ?
    GROUP BY CASE WHEN moves.kind = 'plated' THEN plates.dish ELSE moves.number END ORDER BY min(moves.number)"""


def story_of(file: KitchenFile, code: str) -> BatchStory:
    """All that is known of a batch; the plates of one dish are added up into one entry."""
    with file.looking() as db:
        return BatchStory(
            tuple(
                Source(batch, prep, told(name), unit, amount)
                for batch, prep, name, unit, amount in db.execute(_MADE_FROM, {"code": code})
            ),
            tuple(Entry(instant(at), *rest) for at, *rest in db.execute(_ENTRIES, [code])),
        )
