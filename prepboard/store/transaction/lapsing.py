"""What was measured lapses: evidence that food needs no cold speaks of the recipe that it was measured on. Where what
goes in, or a step's heat or time, is other than then, the book is not taken until it was measured again. Batches keep
the evidence that they were made by."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from sqlite3 import Row as SqliteRow
from typing import Any

from prepboard.book.book import Book, Prep
from prepboard.book.days import ONE_DAY
from prepboard.book.safety.life import History, bears_no_mark, counted_from
from prepboard.book.safety.may_use import COUNTED, Mark
from prepboard.book.safety.needs_control import needs_control
from prepboard.store.file.times import instant
from prepboard.store.file.who import Refused
from prepboard.store.read.stays import stays_of
from prepboard.store.read.storage import Files, Row
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
    """Whether a batch needs temperature control: by the book that it was made by, or taken in under, where that had
    evidence, else where today's book or that one says so. Evidence that came later was not measured on it, nor was what
    took the place of something in its run."""
    item, pack = row["prep"], bool(row["pack"])
    now = needs_control(files.book, item, pack=pack)
    then, instead = _made_by(files, row)
    if then is None:
        return now
    item = _called(files.book, then, item)
    if pack and item in then.goods:
        return now or needs_control(then, item, pack=True)
    if pack or item not in then.preps:
        return now
    if instead and (then.preps[item].exempt is not None or then.preps[item].stable):
        return True
    return then.preps[item].exempt is None and (now or needs_control(then, item))


def unmeasured_mark(files: Files, row: Row) -> Mark | None:
    """Row 8 of food whose label says more than the code's days, where no evidence speaks of this batch: it was made
    before there was any, something took another's place, or what an older program took for evidence was none."""
    days, book = files.book.kitchen.days, files.book
    prep, marked = book.preps.get(row["prep"]), book.kitchen.rules.days("date_mark")
    then, instead = _made_by(files, row)
    if row["pack"] or prep is None or not prep.ready_to_eat or not marked or then is None:
        return None
    before = then.preps.get(_called(files.book, then, prep.id))
    if row["store"] == "frozen" or (not instead and bears_no_mark(before or prep)):
        return None
    made = instant(row["made_at"])
    history = History(date.fromisoformat(row["first_day"]), made, stays_of(row["stays"]))
    first_day, _inherited = counted_from(days, history)
    until = days.midnight_after(first_day + (marked - 1) * ONE_DAY)
    if row["use_by"] and instant(row["use_by"]) <= until:
        return None
    return Mark(COUNTED, made, "date mark", row["code"], "date_mark", until)


def _called(now: Book, then: Book, item: str) -> str:
    """What a prep or goods was called in the book of then."""
    known = now.preps.get(item) or now.goods.get(item)
    there = item in then.preps or item in then.goods
    return item if there or known is None or not known.was else known.was


TAKEN_IN = """
    SELECT max(version) FROM book WHERE loaded_at <= (
        SELECT CASE WHEN actions.entered = '' THEN actions.at ELSE actions.entered END
        FROM moves JOIN actions ON actions.id = moves.action WHERE moves.batch = ? ORDER BY moves.number LIMIT 1)"""


def _made_by(files: Files, row: Row) -> tuple[Book | None, bool]:
    """The book that a batch was made by, of what no run gave (opened, counted, put on the shelf) the one that counted
    when it was entered; and whether something took another's place."""
    found: SqliteRow | None = files.db.execute("SELECT book, instead FROM runs WHERE code = ?", [row["run"]]).fetchone()
    if found:
        return files.book_of(int(found[0])), bool(json.loads(found[1]))
    whole = row
    while whole["parent"]:
        (whole,) = files.rows("SELECT * FROM batches WHERE code = ?", whole["parent"])
    (version,) = files.db.execute(TAKEN_IN, [whole["code"]]).fetchone()
    return (files.book_of(int(version)) if version else None), False
