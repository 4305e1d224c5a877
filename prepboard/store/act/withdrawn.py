"""What is held back because it was withdrawn, and what it holds back in turn."""

from __future__ import annotations

from prepboard.store.act.doing import Doing
from prepboard.store.past.reach import Reach

WITHDRAWN = "withdrawn"
"""What a batch is `blocked_for`."""


def withdrawn_lot(doing: Doing, goods: str, lot: str) -> str:
    """Why a lot of goods was withdrawn; empty when it was not."""
    found = doing.first(
        "SELECT blocked FROM batches"
        " WHERE prep = ? AND lot = ? AND lot != '' AND blocked_for = ? AND state != 'undone'",
        goods,
        lot,
        WITHDRAWN,
    )
    return str(found["blocked"]) if found else ""


def reached_run(doing: Doing, run: str) -> str:
    """Why what a run gives must be held back: something in it was withdrawn."""
    reach = Reach(doing.db)
    taken = (reach.batch(code) for code, _amount in reach.used_by(run))
    return next((str(row["blocked"]) for row in taken if row and row["blocked_for"] == WITHDRAWN), "")
