"""Timers: a bench sets one for itself and stops it; every board of that bench sees it and rings."""

from __future__ import annotations

from datetime import datetime, timedelta

from prepboard.plan.given.state import Timer
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.transaction.doing import Doing, action
from prepboard.store.transaction.shown import check_timer
from prepboard.texts import _

LONGEST = 24 * 60
"""Minutes of the longest timer."""


@action("timer")
def set_timer(
    doing: Doing, station: str, minutes: int, text: str = "",
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A timer of a bench rings in so many minutes; `text` says what for. Refused for none, and for more than a day."""
    if not 0 < minutes <= LONGEST:
        raise Refused(_("a timer of {n} minutes cannot be").format(n=minutes))
    ends = doing.now + timedelta(minutes=minutes)
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS next FROM timers")[0]["next"]
    doing.put(
        "timers",
        {
            "number": number, "station": station, "set_at": instant_text(doing.now), "ends": instant_text(ends),
            "by": doing.who.by, "text": text, "stopped": None,
        },
    )  # fmt: skip
    doing.log("timer", after=str(minutes), why=text)
    return doing.answer(_("timer: rings at {time}").format(time=doing.time(ends)))


@action("stop timer")
def stop_timer(
    doing: Doing, number: int,
    *, shown: Timer | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A timer is stopped, whether it rang or not. Refused when it is stopped already, and when the one that was `shown`
    was undone and its number is another one's by now."""
    check_timer(doing, shown)
    return _stop(doing, number)


def _stop(doing: Doing, number: int) -> Did:
    row = doing.row("timers", number=number)
    if row is None or row["stopped"]:
        raise Refused(_("that timer was stopped already"))
    doing.put("timers", {"number": number, "stopped": instant_text(doing.now)})
    doing.log("timer stopped", why=row["text"])
    return doing.answer(_("timer stopped"))
