"""Handing down: a label that is put right changes the dates of what was made of its food, parents first."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from msgspec.structs import replace

from prepboard.book.days import ONE_DAY
from prepboard.book.safety.life import History
from prepboard.book.safety.needs_control import opened_as_taken
from prepboard.book.safety.stays import days_frozen
from prepboard.store.file.times import day_or_none, day_text, instant
from prepboard.store.food.cooked import makers_date
from prepboard.store.food.running import recipe_of
from prepboard.store.food.use_by import HandedOn, earliest, handed_on_at, history_of, life_columns
from prepboard.store.read.storage import STANDS, storage_of
from prepboard.store.transaction.doing import Doing, Row

TAKEN = f"SELECT batch, at FROM moves WHERE run = ? AND kind = 'used' AND {STANDS} ORDER BY number"
USED_IN = f"SELECT DISTINCT run FROM moves WHERE batch = ? AND kind = 'used' AND run IS NOT NULL AND {STANDS}"
MADE_BY = f"SELECT DISTINCT batch FROM moves WHERE run = ? AND kind = 'made' AND {STANDS}"
PARTS = "SELECT code FROM batches WHERE parent = ? AND state != 'undone'"


def hand_down(doing: Doing, code: str) -> None:
    """What hangs on a batch's dates is worked out again: the runs that took it, what they made, and its parts."""
    runs = [run for (run,) in doing.db.execute(USED_IN, [code]).fetchall()]
    for run in runs:
        row = doing.row("runs", code=run)
        assert row is not None, run
        handed = _handed_to(doing, row)
        days = {"first_day": day_text(handed.first_day), "first_safety": day_text(handed.safety)}
        doing.put("runs", {"code": run, **days})
    for run in runs:
        renew_made_by(doing, run)
    for (part,) in doing.db.execute(PARTS, [code]).fetchall():
        _renew(doing, part)


def renew_made_by(doing: Doing, run: str) -> None:
    """What a run made has its dates worked out again."""
    for (batch,) in doing.db.execute(MADE_BY, [run]).fetchall():
        _renew(doing, batch)


def _handed_to(doing: Doing, run: Row) -> HandedOn:
    """The earliest of all that went into a run, each as it was when it went in."""
    handed = HandedOn()
    packs: set[str] = set()
    for batch, at in doing.db.execute(TAKEN, [run["code"]]).fetchall():
        row = doing.row("batches", code=batch)
        assert row is not None, batch
        packs |= {row["prep"]} if row["pack"] else set()
        handed = handed.and_of(handed_on_at(doing, row, instant(at), _as_it_was(doing, row, instant(at))))
    _book, recipe = recipe_of(doing, run)
    unopened = [use for use in recipe.uses if use.item not in packs and opened_as_taken(doing.book, use.item)]
    if unopened:
        begun: datetime = instant(run["started"])
        handed = handed.and_of(HandedOn(doing.book.kitchen.days.business_day(begun)))
    return handed


def _as_it_was(doing: Doing, batch: Row, at: datetime) -> History:
    """A batch's history without what was put onto it after an instant: what left it before has none of that."""
    history, food = history_of(batch), storage_of(doing.files, batch["code"])
    made = food.made if food else ()
    before = [(run, moment) for run, moment in made if moment <= at]
    if not before or len(before) == len(made):
        return history
    dates = {run: makers_date(doing, row) for run, _at in made if (row := doing.row("runs", code=run))}
    typed = None if history.safety in dates.values() else history.safety
    return replace(
        history,
        inherited=_inherited(doing, batch, before),
        safety=earliest((typed, *(dates.get(run) for run, _at in before))),
    )


def _inherited(doing: Doing, batch: Row, made: Iterable[tuple[str, datetime]]) -> date | None:
    """The earliest day 1 that the runs of a batch were given, what lay frozen before each put back."""
    runs = [(doing.row("runs", code=run), at) for run, at in made]
    return earliest(
        day - _frozen_before(doing, batch, at) for run, at in runs if run and (day := day_or_none(run["first_day"]))
    )


def _renew(doing: Doing, code: str) -> None:
    """A batch's inherited day 1 and its life, and so on down. A maker's date only gets earlier by it."""
    row, food = doing.row("batches", code=code), storage_of(doing.files, code)
    if row is None or food is None:
        return
    runs = [doing.row("runs", code=run) for run, _at in food.made]
    days = _inherited(doing, row, food.made)
    safety = earliest((day_or_none(row["safety"]), *(makers_date(doing, run) for run in runs if run)))
    history = replace(history_of(row), inherited=days, safety=safety)
    change = life_columns(doing.book, row["prep"], history)
    if any(row[name] != value for name, value in change.items()):
        doing.put("batches", {"code": code, **change})
        hand_down(doing, code)
        return
    for (part,) in doing.db.execute(PARTS, [code]).fetchall():
        _renew(doing, part)  # It may have of one run what the whole has of another.


def _frozen_before(doing: Doing, batch: Row, at: datetime) -> timedelta:
    """What lay frozen before something was put onto it stands still for the old alone."""
    stays = [stay for stay in history_of(batch).stays if stay.since <= at]
    return days_frozen(stays, doing.book.kitchen.days) * ONE_DAY
