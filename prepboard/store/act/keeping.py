"""Where runs lie is kept by the action that moves them, in its own transaction: never by opening a board.

So all boards show the same, whoever looks first, and undo puts the plan back exactly as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from sqlite3 import Connection
from typing import Any, Protocol

from msgspec.structs import replace

from prepboard.plan.given.state import Placement, State
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.schedules import PLACED_FOR, row_of

MOVES_NOTHING = frozenset(
    {"plate", "past plates", "note", "tick off", "task", "sign", "clock", "special", "reset", "keep", "correct", "open"}
    | {"pin", "wrong pin", "right pin", "relabelled", "count on"}
)
"""Actions after which runs stay where they were kept: what time or guests move is worked out, not kept."""

Kept = Mapping[str, Placement]


class Changing(Protocol):
    """An action under way, as far as keeping needs it."""

    file: KitchenFile
    db: Connection
    did: str
    id: str
    version: int

    def put(self, table: str, row: dict[str, Any]) -> None:
        """Adds a row, or changes the one of its key."""

    def drop(self, table: str, **key: Any) -> None:
        """Removes a row, if it is there."""


def placed_before(doing: Changing) -> tuple[str, Kept] | None:
    """Where everything lay on boards before an action: what was done as they said moves nothing."""
    if doing.file.planner is None or doing.did in MOVES_NOTHING or doing.version == 0:
        return None
    state = doing.file.state_within(doing.db)
    return doing.file.planner.where_runs_lie(state, doing.file.clock.now(), moving=False)


def keep_placements(doing: Changing, before: tuple[str, Kept] | None = None) -> None:
    """Plans with what the action changed, and keeps where everything lies. Nothing without somebody who plans."""
    if doing.file.planner is None or doing.did in MOVES_NOTHING:
        return
    if doing.version == 0 and doing.did != "load":
        return  # there is no book yet, and nothing to place
    state = doing.file.state_within(doing.db)
    known = state.placements
    if before is not None:
        state = replace(state, placed_for=before[0], placements=_moved_for(before[1], known))
    digest, placements = doing.file.planner.where_runs_lie(state, doing.file.clock.now(), moving=True)
    _write(doing, known, digest, placements, state)


def _moved_for(shown: Kept, known: Kept) -> Kept:
    """Where everything lay on boards, without what came late within the plan's span since somebody last pressed a key:
    time alone moves nobody for that, and a press does."""
    return {line: one for line, one in shown.items() if line in known or not _is_late(one)}


def _is_late(one: Placement) -> bool:
    return bool(one.steps) and one.ready_by is not None and one.steps[-1].ends > one.ready_by


def _write(doing: Changing, known: Kept, digest: str, placements: Kept, state: State) -> None:
    changed = {line: row_of(line, one) for line, one in placements.items() if not _same(known.get(line), one)}
    gone = [line for line in known if line not in placements]
    if not changed and not gone and digest == state.placed_for:
        return
    for line in gone:
        doing.drop("schedules", line=line)
    for row in changed.values():
        doing.put("schedules", row)
    doing.put("settings", {"name": PLACED_FOR, "value": f"{digest} {doing.id}"})


def _same(old: Placement | None, new: Placement) -> bool:
    """Whether the row would be the same: of a step only its times and places are kept."""
    return old is not None and row_of("", old) == row_of("", new)
