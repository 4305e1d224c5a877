"""What a screen showed of the thing that somebody acts on: where it moved meanwhile nothing is done, and who moved it
is said. A command that says in words what it means shows nothing, and is taken at its word."""

from __future__ import annotations

import json
from typing import Any, NoReturn

from prepboard.plan.given.state import Batch, HandOver, Sitting, Timer, Tonight
from prepboard.store.file.times import instant, instant_or_none
from prepboard.store.file.who import Refused, text_of
from prepboard.store.read.live_batches import live_batches
from prepboard.store.transaction.doing import Doing
from prepboard.texts import _

ABOUT_A_BATCH = ("store", "place", "use_by", "kept", "set_aside")
"""What makes a batch what it was on the screen, beside how much of it there is and what is known of it."""


def check_batch(doing: Doing, shown: Batch | None, *, all_of_it: bool = True) -> None:
    """Refused when a batch is not what it was shown as; `all_of_it`: when another amount is there, too."""
    if shown is None:
        return
    now = live_batches(doing.db, {}, [shown.code]).get(shown.code)
    columns = (*ABOUT_A_BATCH, "left") if all_of_it else ABOUT_A_BATCH
    same = now is not None and all(getattr(now[1], name) == getattr(shown, name) for name in columns)
    # A board lays over it why it is held: what is known of it says the same, in the file's words.
    if now is None or not same or _known(now[1]) != _known(shown):
        refuse_moved(doing, "batches", code=shown.code)


def _known(batch: Batch) -> set[object]:
    return {mark.name for mark in batch.marks}


def check_dish(doing: Doing, sitting: Sitting, dish: str, shown: Tonight | None) -> None:
    """Refused when a dish was taken off a sitting, or is on again, since it was shown; or the sitting is over."""
    if shown is None:
        return
    key = {"day": sitting[1].isoformat(), "service": sitting[0]}
    row = doing.row("services", **key) or {}
    over = (bool(row.get("cancelled")), instant_or_none(row.get("ended")))
    if over != (shown.cancelled, shown.ended):
        refuse_moved(doing, "services", **key)
    off = doing.row("taken_off", **key, dish=dish)
    since = instant_or_none(off["at"] or None) if off else None
    was = shown.why_off.get(dish) if dish in shown.off else None
    if (off["why"] if off else None, since) != (was, shown.off_since.get(dish)):
        refuse_moved(doing, "taken_off", **key, dish=dish)


def check_begins(doing: Doing, sitting: Sitting, shown: Tonight | None) -> None:
    """Refused when a sitting was moved, or cancelled, since it was shown."""
    if shown is None:
        return
    key = {"day": sitting[1].isoformat(), "service": sitting[0]}
    row = doing.row("services", **key) or {}
    was = f"{shown.moved_to:%H:%M}" if shown.moved_to else None
    if (bool(row.get("cancelled")), row.get("moved_to")) != (shown.cancelled, was):
        refuse_moved(doing, "services", **key)


def check_note(doing: Doing, shown: HandOver | None) -> None:
    """Refused when another note has its number by now: the one that was shown was undone."""
    if shown is None:
        return
    row = doing.row("notes", number=shown.number)
    if row is None or (instant(row["at"]), row["by"], row["text"]) != (shown.at, shown.by, shown.text):
        refuse_moved(doing, "notes", number=shown.number)


def check_timer(doing: Doing, shown: Timer | None) -> None:
    """Refused when another timer has its number by now: the one that was shown was undone."""
    if shown is None:
        return
    row = doing.row("timers", number=shown.number)
    if row is None or (row["station"], instant(row["ends"]), row["text"]) != (shown.station, shown.ends, shown.text):
        refuse_moved(doing, "timers", number=shown.number)


def refuse_moved(doing: Doing, table: str, **key: Any) -> NoReturn:
    """Refuses, with who did what and when with that row last."""
    since = doing.first(
        "SELECT actions.at, actions.by, actions.answer FROM changes JOIN actions ON actions.id = changes.action"
        " WHERE changes.row_of = ? AND changes.key = ? ORDER BY changes.number DESC LIMIT 1",
        table,
        json.dumps(key),
    )
    if since is None:
        raise Refused(_("that has changed since it was shown; nothing was changed, look again"))
    said = _("{time}, {by}: {did}; nothing was changed, look again")
    did = text_of(since["answer"])
    who = since["by"] or _("somebody")
    raise Refused(said.format(time=doing.time(instant(since["at"])), by=who, did=did))
