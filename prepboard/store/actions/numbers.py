"""Several of tonight's numbers saved as one: together or not at all, and only where they still are as they were seen.

A board lets a sous chef type many numbers before any is saved. Whoever saves second is told what the first one
changed; nothing is overwritten that was not seen.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from fractions import Fraction

from sqlite_utils import Database

from prepboard.plan.state import Change, Number, Sitting, Value
from prepboard.store.actions import tonight
from prepboard.store.doing import Doing, act
from prepboard.store.file import KitchenFile
from prepboard.store.times import instant
from prepboard.store.who import Did, Refused, Who
from prepboard.texts import _, some

COLUMNS = {
    "covers": ("services", "covers"),
    "percent": ("services", "percent"),
    "mix": ("mixes", "share"),
    "count": ("counts", "n"),
    "par": ("pars", "amount"),
    "standing par": ("standing_pars", "amount"),
}
"""Where each kind of number stands in the file: its table and its column."""

LISTED = 3
"""So many of the saved numbers are named in the answer."""

LOOK_BACK = 50
"""So many changes of a row are looked through for the last one of a column."""


def save(
    file: KitchenFile, who: Who, changes: Sequence[Change], *, action: str | None = None, at: datetime | None = None
) -> Did:
    """Sets all these numbers, or none: Refused when one is no longer as it was seen, or cannot be."""
    return act(file, who, "numbers", lambda doing: _save(doing, changes), action=action, at=at)


def last_set(file: KitchenFile, number: Number) -> tuple[str, datetime] | None:
    """Who changed a number last, and when; None when nobody ever did."""
    with file.looking() as db:
        return _last_set(db, number)


def _save(doing: Doing, changes: Sequence[Change]) -> Did:
    if not changes:
        raise Refused(_("nothing was typed, so nothing is saved"))
    now = {change.number: _value(doing, change.number) for change in changes}
    moved = [change for change in changes if now[change.number] not in (change.seen, change.to)]
    if moved:
        said = "; ".join(_moved(doing, change, now[change.number]) for change in moved)
        raise Refused(_("not saved, changed meanwhile: {numbers}").format(numbers=said))
    new = [change for change in changes if now[change.number] != change.to]
    texts = [did.text for did in _set_all(doing, new)]
    if not texts:
        return doing.answer(_("all of it was set already"))
    more = [some("{n} more", "{n} more", len(texts) - LISTED)] if len(texts) > LISTED else []
    return doing.answer("; ".join([*texts[:LISTED], *more]))


def _set_all(doing: Doing, changes: Iterable[Change]) -> list[Did]:
    shares: dict[Sitting, dict[str, Fraction | None]] = defaultdict(dict)
    said: list[Did] = []
    for change in changes:
        number = change.number
        if number.of == "mix" and number.sitting:
            shares[number.sitting][number.item] = None if change.to is None else Fraction(change.to)
        else:
            said.append(_SETTERS[number.of](doing, number, None if change.to is None else int(change.to)))
    return said + [_set_shares(doing, sitting, of_dish) for sitting, of_dish in shares.items()]


def _set_shares(doing: Doing, sitting: Sitting, shares: dict[str, Fraction | None]) -> Did:
    for dish in [dish for dish, share in shares.items() if share is None]:
        _drop(doing, Number("mix", sitting, dish), "mix", dish=dish)
    return tonight.set_mix(doing, sitting, {dish: share for dish, share in shares.items() if share is not None})


def _set_covers(doing: Doing, number: Number, to: int | None) -> Did:
    sitting = _sitting(number)
    if to is not None:
        return tonight.set_covers(doing, sitting, to, False)
    before = _value(doing, number)
    day, service = sitting[1].isoformat(), sitting[0]
    doing.put("services", {"day": day, "service": service, "covers": None})
    doing.log("covers", before="" if before is None else str(before), why=tonight.where(sitting))
    return doing.answer(_("{service}: covers as booked").format(service=tonight.named(doing, sitting)))


def _set_count(doing: Doing, number: Number, to: int | None) -> Did:
    sitting = _sitting(number)
    if to is not None:
        return tonight.set_count(doing, sitting, number.item, to)
    _drop(doing, number, "count for", dish=number.item)
    said = _("{dish}: no fixed count for {service}")
    return doing.answer(said.format(dish=doing.book.name(number.item), service=tonight.named(doing, sitting)))


_SETTERS: dict[str, Callable[[Doing, Number, int | None], Did]] = {
    "covers": _set_covers,
    "count": _set_count,
    "percent": lambda doing, number, to: tonight.set_percent(doing, _sitting(number), to or 0),
    "par": lambda doing, number, to: tonight.set_par(doing, _sitting(number), number.item, to),
    "standing par": lambda doing, number, to: tonight.set_standing(doing, number.item, to),
}


def _sitting(number: Number) -> Sitting:
    if number.sitting is None:
        raise Refused(_("it is not said for which service"))
    return number.sitting


def _drop(doing: Doing, number: Number, did: str, *, dish: str) -> None:
    """Takes a number by hand away, so that the book's counts again."""
    before = _value(doing, number)
    doing.drop(COLUMNS[number.of][0], **_key(number))
    doing.log(did, dish=dish, before="" if before is None else _words(doing, number, before), why=_where(number))


def _where(number: Number) -> str:
    return tonight.where(number.sitting) if number.sitting else ""


def _key(number: Number) -> dict[str, str]:
    """What names the number's row, in the order of the table's key."""
    key = {} if number.sitting is None else {"day": number.sitting[1].isoformat(), "service": number.sitting[0]}
    if number.of in ("mix", "count"):
        return {**key, "dish": number.item}
    return {**key, "prep": number.item} if number.item else key


def _value(doing: Doing, number: Number) -> Value:
    """What the file has for a number now; None where it is the book's, or computed."""
    table, column = COLUMNS[number.of]
    row = doing.row(table, **_key(number))
    return _read(number, row[column] if row else None)


def _read(number: Number, kept: int | str | None) -> Value:
    if number.of == "percent":
        return int(kept or 0)
    if kept is None:
        return None
    return Fraction(kept) if number.of == "mix" else int(kept)


def _moved(doing: Doing, change: Change, now: Value) -> str:
    """What somebody else made of a number: "Dinner 2026-10-31, covers: 80 (JP, 14:40), it was 62"."""
    number = change.number
    last = _last_set(doing.db, number)
    by = "" if last is None else f" ({', '.join(part for part in (last[0], doing.time(last[1])) if part)})"
    return _("{what}: {now}{by}, it was {seen}").format(
        what=_name(doing, number), now=_words(doing, number, now), by=by, seen=_words(doing, number, change.seen)
    )


def _name(doing: Doing, number: Number) -> str:
    kinds = {
        "covers": _("covers"),
        "percent": _("all pars"),
        "mix": _("share of {item}"),
        "count": _("count of {item}"),
        "par": _("par of {item}"),
        "standing par": _("standing par of {item}"),
    }
    said = kinds[number.of].format(item=doing.book.name(number.item))
    return f"{tonight.named(doing, number.sitting)}, {said}" if number.sitting else said


def _words(doing: Doing, number: Number, value: Value) -> str:
    if value is None:
        return _("not set by hand")
    if number.of == "mix":
        return tonight.percent_text(Fraction(value))
    if number.of == "percent":
        return f"{int(value):+d} %"
    return tonight.amount_text(doing, number.item, int(value)) if number.of in ("par", "standing par") else str(value)


def _last_set(db: Database, number: Number) -> tuple[str, datetime] | None:
    table, column = COLUMNS[number.of]
    rows = db.execute(
        "SELECT changes.before, changes.after, actions.by, actions.at FROM changes"
        " JOIN actions ON actions.id = changes.action WHERE changes.row_of = ? AND changes.key = ?"
        " ORDER BY changes.number DESC LIMIT ?",
        [table, json.dumps(_key(number)), LOOK_BACK],
    )
    for before, after, by, at in rows:
        if (json.loads(before) if before else {}).get(column) != (json.loads(after) if after else {}).get(column):
            return by, instant(at)
    return None
