"""What the readings of one batch, or one run, say of it by themselves: its ways down, and the marks that follow."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.book.rules import RuleBook
from prepboard.book.safety.cooling import Cooling, Start, coolings, guidance
from prepboard.book.safety.holding import NOT_REHEATED, PLACE_OUT, TOO_WARM
from prepboard.book.safety.may_use import HELD, MISSED, UNREAD, Mark
from prepboard.book.safety.temperatures import Reading, within

TOO_SLOW, NOT_SHOWN = "cooled too slowly", "cooling not shown in time"
AGAIN_NOT_SHOWN = "second cooling not shown"
__all__ = ["AGAIN_NOT_SHOWN", "NOT_REHEATED", "NOT_SHOWN", "PLACE_OUT", "TOO_SLOW", "TOO_WARM", "Judged", "Way"]


class Way(Struct, frozen=True):
    """One cooling as it was recorded: from when, with which readings, and when the food was brought into the hot."""

    start: Start | None
    readings: Sequence[Reading]
    ends: datetime | None = None
    chilled: datetime | None = None
    """When it was first put into the cold."""


class Judged(Struct, frozen=True):
    """All ways down of some food, and all that it was judged by, in order of time."""

    coolings: tuple[Cooling, ...]
    readings: tuple[Reading, ...] = ()

    @property
    def cooling(self) -> Cooling | None:
        """The last way down that somebody read."""
        return next((way for way in reversed(self.coolings) if way.readings), None)


def judge(rules: RuleBook, ways: Sequence[Way], now: datetime) -> Judged:
    """What the readings say at one moment; pure."""
    found = [
        cooling for way in ways for cooling in coolings(rules, way.start, way.readings, now, way.ends, way.chilled)
    ]
    readings = {reading: None for way in ways for reading in way.readings}
    return Judged(tuple(found), tuple(sorted(readings, key=lambda one: one.at)))


def cooling_marks(
    rules: RuleBook, code: str, found: Judged, corrected: Sequence[datetime], *, hold: bool
) -> list[Mark]:
    """Rows 3 and 4: a limit that was missed, and, where the house holds food for it, one that was not shown.

    The code's action for a missed first stage stands once: the reheating must be shown within the total time, and the
    second cooling too.
    """
    return [mark for mark in _all_marks(rules, code, found, corrected, hold=hold) if mark.row != UNREAD]


def not_shown_marks(rules: RuleBook, code: str, found: Judged, corrected: Sequence[datetime]) -> list[Mark]:
    """Limits that nobody showed, where the house lets food count on: they refuse nothing, and the close asks."""
    return [mark for mark in _all_marks(rules, code, found, corrected, hold=False) if mark.row == UNREAD]


def _all_marks(rules: RuleBook, code: str, found: Judged, corrected: Sequence[datetime], *, hold: bool) -> list[Mark]:
    if guidance(rules):
        return []
    marks: list[Mark] = []
    again = False
    for way in found.coolings:
        settled = bool(corrected) and not again and _may_be_settled(rules, way, found.readings)
        for limit in way.limits:
            if limit.state == "missed" and not settled:
                marks.append(Mark(MISSED, limit.due, TOO_SLOW, code, limit.key))
            elif limit.state in ("not shown", "not read", "open") and (again or hold):
                marks.append(Mark(HELD, limit.due, AGAIN_NOT_SHOWN if again else NOT_SHOWN, code, limit.key))
            elif limit.state in ("not shown", "not read", "open"):
                marks.append(Mark(UNREAD, limit.due, NOT_SHOWN, code, limit.key, flows=False))
        again = again or settled
    return marks


def _may_be_settled(rules: RuleBook, way: Cooling, readings: Sequence[Reading]) -> bool:
    """Whether only limits that the code lets be put right were missed, and a reading shows that they were."""
    broken = way.broken
    if not broken:
        return False
    return all(may_put_right(rules, limit.key) for limit in broken) and bool(reheated_by(rules, way, readings))


def may_put_right(rules: RuleBook, key: str) -> bool:
    allowed = rules.allowed.get(key)
    return allowed is not None and allowed.may == "reheat"


def window(rules: RuleBook, way: Cooling) -> tuple[datetime, datetime]:
    """From when to when a reheating puts a missed first stage right: from the miss to the end of the total time."""
    total = rules.rules.get("cooling_total")
    last = way.limits[-1].due if total is None else way.begins + timedelta(minutes=int(total.value))
    return way.broken[0].due, last


def reheated_by(rules: RuleBook, way: Cooling, readings: Sequence[Reading]) -> list[Reading]:
    since, until = window(rules, way)
    return [one for one in readings if since <= one.at <= until and not one.doubtful and within(rules, "reheat", one)]
