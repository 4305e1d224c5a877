"""Where runs lie is kept by the action that moves them, in its own transaction: never by opening a board.

So all boards show the same, whoever looks first, and undo puts the plan back exactly as it was.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from sqlite3 import Connection
from typing import Any, Protocol

from msgspec.structs import replace

from prepboard.plan.given.state import Lies, Moved, Placement, State
from prepboard.store.kitchen_file import KitchenFile, PlansRuns
from prepboard.store.read.schedules import PLACED_FOR, kept_for, row_of

MOVES_NOTHING = frozenset(
    {"plate", "past plates", "note", "tick off", "task", "sign", "clock", "special", "reset", "keep", "correct", "open"}
    | {"pin", "wrong pin", "right pin", "relabelled", "count on"}
)
"""Actions after which runs stay where they were kept: what time or guests move is worked out, not kept."""

MINUTE = timedelta(minutes=1)
LITTLE = 10
"""So many weighed minutes are no reason to break a promise."""
WORTH_SAYING = timedelta(minutes=10)
"""A line that moves by less says nothing."""
SAID_FOR = timedelta(hours=1)
"""So long a line says what moved it."""

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

    def put_many(self, table: str, rows: Sequence[dict[str, Any]]) -> None:
        """The same of many with the same columns."""

    def drop(self, table: str, **key: Any) -> None:
        """Removes a row, if it is there."""

    def about(self) -> tuple[str, str]:
        """What was done first, and with which prep or goods."""

    def counted(self) -> Mapping[str, datetime]:
        """What was counted, and when."""


def placed_before(doing: Changing, loading: bool = False) -> Lies | None:
    """Where everything lay on boards before an action, and what did not: what was done as they said moves nothing.
    A load asks by itself, once it knows that the book is another."""
    if doing.file.planner is None or doing.did in MOVES_NOTHING or doing.version == 0:
        return None
    if doing.did == "load" and not loading:
        return None
    state = doing.file.state_within(doing.db)
    return doing.file.planner.where_runs_lie(state, doing.file.clock.now(), moving=False)


def keep_placements(doing: Changing, before: Lies | None = None) -> None:
    """Plans with what the action changed, and keeps where everything lies. Nothing without somebody who plans."""
    if doing.file.planner is None or doing.did in MOVES_NOTHING:
        return
    if doing.version == 0 and doing.did != "load":
        return  # there is no book yet, and nothing to place
    state = _left_by(doing)
    known, known_for, known_lost = state.placements, state.placed_for, state.lost
    if before is not None:
        homeless = frozenset(line for line in before.nowhere if _was_asked_for(line, known))
        new = {line: one for line, one in before.nowhere.items() if line not in homeless}
        lay = {**_moved_for(before.placements, known, state), **new}
        slipped = _slipped(before, known, known_lost)
        state = replace(
            state, placed_for=before.digest, placements=lay, nowhere=homeless, lost=before.lost, slipped=slipped
        )
    now = doing.file.clock.now()
    found = _placed(doing.file.planner, state, before, now)
    under_way = {run.key: run.recipe.id for run in state.runs}
    shown = before.placements if before else {}
    with_reasons = _with_reasons(doing, known, shown, found.placements, under_way, now)
    is_new = found.digest != known_for or found.lost != known_lost
    _write(doing, known, with_reasons, kept_for(found.digest, doing.id, found.lost, now), is_new)
    if state.short_since:
        # An open board would end it a moment later, and undo could not say any more since when it was short.
        for (prep, need), day in doing.file.planner.ended_shorts(state, now).items():
            doing.drop("shorts", day=day.isoformat(), prep=prep, need=need)


def _left_by(doing: Changing) -> State:
    """What an action leaves. Its lines of the log are written after the plan is kept, and a plan follows from when what
    was counted: what guests are expected to have had since is taken off."""
    state = doing.file.state_within(doing.db)
    counted = {prep: max(at, state.counted_at.get(prep, at)) for prep, at in doing.counted().items()}
    return replace(state, counted_at={**state.counted_at, **counted}) if counted else state


def _placed(planner: PlansRuns, state: State, before: Lies | None, now: datetime) -> Lies:
    """Where everything lies from now on. A press loses nothing that boards showed to be for its guests and that is so
    still where all lay, unless it was news and fewer plates, or more than a little less lateness, come of that; and
    nothing is ready later than they said where all lay it is not, and that is as good but for a little."""
    found = planner.where_runs_lie(state, now, moving=True)
    if before is None:
        return found
    lost, later = _lost_since(found, before), _later_since(found, before)
    if not lost and not later:
        return found
    still = planner.where_runs_lie(replace(state, placements=before.placements), now, moving=False)
    if found.news and _is_better(found, still):
        return found
    if _lost_since(still, before) < lost:
        return still
    as_good = still.plates <= found.plates and still.late - found.late <= LITTLE
    return still if as_good and not _lost_since(still, before) and not _later_since(still, before) else found


def _is_better(found: Lies, still: Lies) -> bool:
    """Whether a plan loses fewer plates than where all lay, or as many and is better by more than a little."""
    return found.plates < still.plates or (found.plates == still.plates and still.late - found.late > LITTLE)


def _lost_since(found: Lies, before: Lies) -> set[str]:
    """Lines that are lost and were not, and those that take what they give, also where that was not asked for then."""
    lost = found.lost - before.lost
    shown = (line for line in before.placements if line not in before.lost)
    return {line for line in shown if any(f"@{one}".endswith(f"@{line}") for one in lost)}


def _later_since(found: Lies, before: Lies) -> bool:
    """Whether something that boards showed to be for its guests is ready later than they said."""
    lines = (line for line in before.placements if line not in before.lost and not line.startswith("run."))
    lies = ((before.placements[line].steps, found.placements[line].steps) for line in lines if line in found.placements)
    return any(was and then and then[-1].ends >= was[-1].ends + MINUTE for was, then in lies)


def _with_reasons(
    doing: Changing, known: Kept, before: Kept, placements: Kept, under_way: Mapping[str, str], now: datetime
) -> Kept:
    """The placements, each with what moved it of late: this action, one within the hour, or that nobody began another
    line, which counts as that one's late begin when it is begun, or that a run under way does not go on, or what came
    within the plan's span."""
    did, item = doing.about()
    begun = [one.due or one.steps[0].begins for line, one in before.items() if _begun(line, item, one, placements)]
    minutes = (now - min(begun)) // MINUTE if did == "started" and begun else 0
    slipped = min(((one.due, line) for line, one in before.items() if one.due), default=None)
    came = any(line not in known for line in before if not line.startswith("run."))
    at, found = now.replace(microsecond=0), {}
    for line, new in placements.items():
        was, then = known.get(line), before.get(line)
        moved = was.moved if was and was.moved and was.moved.at > now - SAID_FOR else None
        if was and not new.due and _has_moved(line, was, new):
            by_itself = then is not None and _has_moved(line, was, then) and not _has_moved(line, then, new)
            if by_itself and minutes <= 0 and slipped:
                of = under_way.get(slipped[1])
                late = ("not gone on", of) if of else ("not begun", slipped[1].partition("#")[0])
                moved = Moved(at, was.steps[0].begins, *late)
            elif by_itself and minutes <= 0 and came:
                moved = Moved(at, was.steps[0].begins, "new sitting", "")
            else:
                moved = Moved(at, was.steps[0].begins, did, item, minutes)
        found[line] = replace(new, moved=moved) if new.moved != moved else new
    return found


def _begun(line: str, item: str, one: Placement, placements: Kept) -> bool:
    """Whether a line of a prep is no line any more."""
    return line not in placements and bool(one.steps) and line.partition("#")[0] == item


def _has_moved(line: str, old: Placement, new: Placement) -> bool:
    if line.startswith("run.") or not old.steps or not new.steps or old.size != new.size:
        return False
    return abs(new.steps[0].begins - old.steps[0].begins) >= WORTH_SAYING


def _moved_for(shown: Kept, known: Kept, state: State) -> Kept:
    """Where everything lay on boards; what came late within the plan's span since somebody last pressed a key, and has
    not begun, lies nowhere: time alone moves nobody for that, and a press does. Where nothing was kept all lies around
    all else already, and stays where it was seen."""
    if not known:
        return shown
    begun = {str(run.line) for run in state.runs}
    late = {
        line
        for line, one in shown.items()
        if not line.startswith("run.") and line not in known and line not in begun and _is_late(one)
    }
    return {line: replace(one, steps=()) if line in late else one for line, one in shown.items()} if late else shown


def _slipped(before: Lies, known: Kept, known_lost: Collection[str]) -> frozenset[str]:
    """Lines that somebody was to begin when one last pressed a key, and that boards showed as lost by now."""
    lost = before.lost.intersection(before.placements).intersection(known).difference(known_lost)
    return frozenset(line for line in lost if before.placements[line].due is not None)


def _was_asked_for(line: str, known: Kept) -> bool:
    """Whether somebody pressed a key since a line without a place was first asked for: others are kept for its sitting
    or its day."""
    need = line.rpartition("@")[2]
    return any(one.rpartition("@")[2] == need for one in known)


def _is_late(one: Placement) -> bool:
    return bool(one.steps) and one.ready_by is not None and one.steps[-1].ends > one.ready_by


def _write(doing: Changing, known: Kept, placements: Kept, placed_for: str, is_new: bool) -> None:
    changed = [row_of(line, one) for line, one in placements.items() if not _same(known.get(line), one)]
    gone = [line for line in known if line not in placements]
    if not changed and not gone and not is_new:
        return
    for line in gone:
        doing.drop("schedules", line=line)
    doing.put_many("schedules", changed)
    doing.put("settings", {"name": PLACED_FOR, "value": placed_for})


def _same(old: Placement | None, new: Placement) -> bool:
    """Whether the row would be the same: of a step only its times and places are kept."""
    return old is not None and row_of("", old) == row_of("", new)
