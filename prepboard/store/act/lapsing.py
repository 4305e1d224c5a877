"""What was measured lapses: evidence that food needs no cold speaks of the recipe that it was measured on. Where what
goes in, or a step's heat or time, is other than then, the book is not taken until it was measured again. Batches keep
the evidence that they were made by."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from sqlite3 import Row as SqliteRow
from typing import Any

from prepboard.book.book import Book, Prep
from prepboard.book.safety.needs import needs_control
from prepboard.store.file.who import Refused
from prepboard.store.read.kept import Files, Row
from prepboard.texts import _

Recipe = tuple[Any, ...]


def check_days(book: Book, today: date) -> None:
    """Refused where something was measured, or a plan approved, on a day that is still to come."""
    found = [(one.name, one.exempt.on) for one in book.preps.values() if one.exempt is not None]
    found += [(one.name, one.exempt.on) for one in book.goods.values() if one.exempt is not None]
    found += [(one.name, one.parasites.on) for one in book.goods.values() if one.parasites is not None]
    if book.kitchen.approved_plan is not None:
        found.append(("approved_plan", book.kitchen.approved_plan.on))
    for name, on in found:
        if on > today:
            raise Refused(_("{name}: {day} is still to come").format(name=name, day=on.isoformat()))


def check_measured(before: Book, after: Book) -> None:
    """Refused where a recipe was changed and its evidence is still that of the old one."""
    was = {id_: one.was for table in (after.preps, after.goods) for id_, one in table.items() if one.was}
    changed = []
    for id_, prep in after.preps.items():
        old = before.preps.get(id_) or before.preps.get(was.get(id_, ""))
        if old is None or prep.exempt is None or old.exempt is None or prep.exempt.on != old.exempt.on:
            continue
        if _recipe(prep, before, was) != _recipe(old, before, {}):
            changed.append(prep)
    if changed:
        said = _(
            "{names}: what goes in, or its heat or time, is not what was measured; measure it again and write the new"
            " day under `exempt`, or take `exempt` out"
        )
        raise Refused(said.format(names=", ".join(prep.name for prep in changed)))


def _recipe(prep: Prep, before: Book, was: Mapping[str, str]) -> Recipe:
    """What evidence speaks of: what goes into how much of it, and the heat and the time of its steps."""
    known = {*before.preps, *before.goods}
    uses = sorted(
        (use.item if use.item in known else was.get(use.item, use.item), use.amount)
        for use in (*prep.uses, *prep.takes_if_there)
    )
    steps = [(step.at, step.core, step.wait, step.cools) for step in prep.steps]
    return prep.makes, uses, steps


def food_needs_control(files: Files, row: Row) -> bool:
    """Whether a batch needs temperature control: by the book that it was made by where that had evidence, else where
    today's book or that one says so. Evidence that came later was not measured on it."""
    item, pack = row["prep"], bool(row["pack"])
    now = needs_control(files.book, item, pack=pack)
    found: SqliteRow | None = files.db.execute("SELECT book FROM runs WHERE code = ?", [row["run"]]).fetchone()
    then = files.book_of(int(found[0])) if found else None
    if pack or then is None or item not in then.preps:
        return now
    return then.preps[item].exempt is None and (now or needs_control(then, item))
