"""Several of tonight's numbers saved as one: together or not at all, and only where they still are as they were seen.

A board lets a sous chef type many numbers before any is saved. Whoever saves second is told what the first one
changed; nothing is overwritten that was not seen.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from fractions import Fraction
from sqlite3 import Connection
from typing import cast

from prepboard.plan.given.numbers import Change, Number, Value
from prepboard.plan.given.state import Sitting
from prepboard.store.actions.night import tonight
from prepboard.store.actions.night.number_kinds import COLUMNS, SETTERS, drop, key_of, name, value, words
from prepboard.store.file.times import instant
from prepboard.store.file.who import Did, Refused, Unsure
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, action
from prepboard.texts import _, some

LISTED = 3
"""So many of the saved numbers are named in the answer."""

LOOK_BACK = 50
"""So many changes of a row are looked through for the last one of a column."""


@action("numbers")
def save(
    doing: Doing, changes: Sequence[Change], sure: bool = False,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """Sets all these numbers, or none: Refused when one is no longer as it was seen, or cannot be.

    Unsure when one is far more than the book's, until `sure`.
    """
    if not changes:
        raise Refused(_("nothing was typed, so nothing is saved"))
    now = {change.number: value(doing, change.number) for change in changes}
    moved = [change for change in changes if now[change.number] not in (change.seen, change.to)]
    if moved:
        said = "; ".join(_moved(doing, change, now[change.number]) for change in moved)
        raise Refused(_("not saved, changed meanwhile: {numbers}").format(numbers=said))
    new = [change for change in changes if now[change.number] != change.to]
    check_usual(doing, new, sure)
    texts = [did.text for did in _set_all(doing, new, sure)]
    if not texts:
        return doing.answer(_("all of it was set already"))
    more = [some("{n} more", "{n} more", len(texts) - LISTED)] if len(texts) > LISTED else []
    return doing.answer("; ".join([*texts[:LISTED], *more]))


def last_set(file: KitchenFile, number: Number) -> tuple[str, datetime] | None:
    """Who changed a number last, and when; None when nobody ever did."""
    with file.looking() as db:
        return _last_set(db, number)


def check_usual(doing: Doing, changes: Iterable[Change], sure: bool) -> None:
    """Unsure, with all of them, when some are more than three times what is usual, until `sure`: a slip of the hand on
    the wrong line, or the wrong unit, makes ninety kilos of jelly."""
    if sure:
        return
    said = [
        _("{what}: {amount}, usually {usual}").format(
            what=name(doing, change.number),
            amount=words(doing, change.number, change.to),
            usual=words(doing, change.number, change.usual or 0),
        )
        for change in changes
        if change.is_far_more
    ]
    if said:
        raise Unsure(_("more than three times what is usual: {numbers}").format(numbers="; ".join(said)))


def _set_all(doing: Doing, changes: Iterable[Change], sure: bool) -> list[Did]:
    shares: dict[Sitting, dict[str, Fraction | None]] = defaultdict(dict)
    said: list[Did] = []
    for change in changes:
        number = change.number
        if number.of == "mix" and number.sitting:
            shares[number.sitting][number.item] = cast(Fraction | None, change.to)
        else:
            said.append(SETTERS[number.of](doing, number, change.to, sure))
    return said + [_set_shares(doing, sitting, of_dish) for sitting, of_dish in shares.items()]


def _set_shares(doing: Doing, sitting: Sitting, shares: dict[str, Fraction | None]) -> Did:
    for dish in [dish for dish, share in shares.items() if share is None]:
        drop(doing, Number("mix", sitting, dish), "mix")
    return tonight.set_mix(doing, sitting, {dish: share for dish, share in shares.items() if share is not None})


def _moved(doing: Doing, change: Change, now: Value) -> str:
    """What somebody else made of a number: "Dinner 2026-10-31, covers: 80 (JP, 14:40), it was 62"."""
    number = change.number
    last = _last_set(doing.db, number)
    by = "" if last is None else f" ({', '.join(part for part in (last[0], doing.time(last[1])) if part)})"
    return _("{what}: {now}{by}, it was {seen}").format(
        what=name(doing, number), now=words(doing, number, now), by=by, seen=words(doing, number, change.seen)
    )


def _last_set(db: Connection, number: Number) -> tuple[str, datetime] | None:
    table, column = COLUMNS[number.of]
    rows = db.execute(
        "SELECT changes.before, changes.after, actions.by, actions.at FROM changes"
        " JOIN actions ON actions.id = changes.action WHERE changes.row_of = ? AND changes.key = ?"
        " ORDER BY changes.number DESC LIMIT ?",
        [table, json.dumps(key_of(number)), LOOK_BACK],
    )
    for before, after, by, at in rows:
        was, became = (json.loads(row) if row else None for row in (before, after))
        came_or_went = number.of == "missing" and (was is None) != (became is None)
        if came_or_went or (was or {}).get(column) != (became or {}).get(column):
            return by, instant(at)
    return None
