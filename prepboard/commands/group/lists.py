"""The office's five lists, as text."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import click

from prepboard.clock import RealClock
from prepboard.paper.sentences.why_words import why_word
from prepboard.paper.text.plain import plain
from prepboard.texts import _, told

if TYPE_CHECKING:
    from prepboard.group.founding import Owner

DAYS = 7

NOT_HEARD = "SELECT kitchen, since, why FROM prepboard.not_heard ORDER BY 1"
LATE = "SELECT kitchen, sent_at, receiver, note, name, leaves FROM prepboard.late WHERE sent_at >= %s ORDER BY 1, 2"
DISCARDED = "SELECT kitchen, at, batch, prep, amount, why FROM prepboard.discarded WHERE at >= %s ORDER BY 1, 2"
MISSES = "SELECT kitchen, at, batch, prep, held_to FROM prepboard.cooling_misses WHERE at >= %s ORDER BY 1, 2"
NOT_SIGNED = "SELECT kitchen, day FROM prepboard.not_signed WHERE day >= %s::timestamptz::date ORDER BY 1, 2"


def lists(owner: Owner, since: str) -> Iterator[str]:
    """Line by line, each list under its name; an empty one says so. `since` is a day, "" the last seven."""
    first = _first(since)
    yield from _list(_("NOT HEARD SINCE"), [
        _row(kitchen, _moment(at) if at else _("never"), why) for kitchen, at, why in owner.execute(NOT_HEARD)
    ])  # fmt: skip
    yield from _list(_("LEFT LATE"), [
        _row(kitchen, _moment(at), note, name, _("to {kitchen}, van left {time}").format(
            kitchen=receiver, time=_moment(leaves)))
        for kitchen, at, receiver, note, name, leaves in owner.execute(LATE, [first])
    ])  # fmt: skip
    yield from _list(_("DISCARDED"), [
        _row(kitchen, _moment(at), batch, prep, amount, why_word(why))
        for kitchen, at, batch, prep, amount, why in owner.execute(DISCARDED, [first])
    ])  # fmt: skip
    yield from _list(_("COOLING MISSED"), [
        _row(kitchen, _moment(at), batch, prep, held_to)
        for kitchen, at, batch, prep, held_to in owner.execute(MISSES, [first])
    ])  # fmt: skip
    yield from _list(_("CLOSES NOT SIGNED"), [
        _row(kitchen, day.isoformat()) for kitchen, day in owner.execute(NOT_SIGNED, [first])
    ])  # fmt: skip


def _first(since: str) -> datetime:
    if not since:
        return RealClock().now() - timedelta(days=DAYS)
    try:
        return datetime.fromisoformat(since).replace(tzinfo=UTC)
    except ValueError:
        raise click.UsageError(_("'{day}' is no day: 2026-12-01").format(day=since)) from None


def _list(name: str, rows: list[str]) -> Iterator[str]:
    yield f"{name} · {len(rows)}"
    yield from rows or [f"  {_('none')}"]


def _row(*words: Any) -> str:
    return "  " + "  ".join(plain(told(str(word))) for word in words if word)


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")
