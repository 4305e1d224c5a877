"""Use-by: what a batch's life is counted from, and what becomes of its use-by when it is brought elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from msgspec import Struct

from prepboard.book.book import Book, Store
from prepboard.book.safety.life import (
    LONGEST_THAWED,
    Food,
    History,
    counted_from,
    eaten_frozen,
    food_of,
    good_until,
    hands_on_safety,
    opened_food,
    passes_on,
)
from prepboard.book.safety.stays import Stay, and_then
from prepboard.store.file.times import day_or_none, day_text, instant, instant_text
from prepboard.store.read.stays import stays_of, stays_text
from prepboard.store.transaction.doing import Doing, Row

OUT_OF_THE_FRIDGE = timedelta(hours=4)
"""For food that no recipe knows, hot or out of temperature control: FDA Food Code 2022, 3-501.19(B), 4 hours; from
memory."""


class HandedOn(Struct, frozen=True):
    """What food hands on to a run that takes it: the earliest day 1 and the earliest maker's date, and the allergens
    of what is not as its recipe says."""

    first_day: date | None = None
    safety: date | None = None

    def and_of(self, other: HandedOn) -> HandedOn:
        return HandedOn(earliest((self.first_day, other.first_day)), earliest((self.safety, other.safety)))


def earliest(days: Iterable[date | None]) -> date | None:
    return min((day for day in days if day is not None), default=None)


def food_in(book: Book, item: str) -> Food | None:
    """What decides the life of a prep, or of opened goods; None for what the book does not know."""
    if item in book.preps:
        return food_of(book.preps[item])
    return opened_food(book.goods[item], book.kitchen.rules)[0] if item in book.goods else None


def history_of(batch: Row) -> History:
    return History(
        first_day=date.fromisoformat(batch["first_day"]),
        ready=instant(batch["made_at"]),
        stays=stays_of(batch["stays"]),
        inherited=day_or_none(batch["inherited"]),
        safety=day_or_none(batch["safety"]),
    )


def life_columns(book: Book, item: str, history: History) -> Row:
    """The columns of a batch that its life decides. `use_by` and `why` are left out where the book does not know it."""
    food = food_in(book, item)
    first_day, inherited = counted_from(book.kitchen.days, history)
    last = history.stays[-1]
    row: Row = {
        "first_day": history.first_day.isoformat(),
        "inherited": day_text(history.inherited),
        "safety": day_text(history.safety),
        "stays": stays_text(history.stays),
        "store": last.store,
        "frozen_at": instant_text(last.since) if last.store == "frozen" else None,
        "day_one": min(day for day in (first_day, inherited) if day).isoformat(),
    }
    if food is not None:
        limit = good_until(book.kitchen, food, history)
        row["use_by"] = instant_text(limit.until) if limit else None
        row["why"] = limit.why if limit else ""
        row["passes_on"] = day_text(passes_on(food, first_day, inherited))
    return row


def brought(doing: Doing, batch: Row, store: Store) -> Row:
    """The columns of a batch once it is brought into a storage. Except by freezing and thawing no use-by gets later,
    whatever the book says by now."""
    history = history_of(batch)
    stays = and_then(history.stays, store, doing.now)
    if stays == history.stays:
        return {}
    row = life_columns(doing.book, batch["prep"], _with(history, stays))
    if food_in(doing.book, batch["prep"]) is None:
        # What no recipe knows counts no further in the freezer, and is good for a day from its thaw.
        thawed = instant_text(doing.now + LONGEST_THAWED)
        row["use_by"] = None if store == "frozen" else thawed if batch["store"] == "frozen" else batch["use_by"]
    elif "frozen" not in (store, batch["store"]) and not _is_later(batch["use_by"], row["use_by"]):
        row["use_by"], row["why"] = batch["use_by"], batch["why"]
    return row


def if_thawed(book: Book, batch: Row, since: datetime) -> Row:
    """The columns of a frozen batch as if its thaw began at an instant."""
    history = history_of(batch)
    return life_columns(book, batch["prep"], _with(history, and_then(history.stays, thaws_into(book, batch), since)))


def thaws_into(book: Book, batch: Row) -> Store:
    """Where thawed food is kept: as its recipe says, else chilled."""
    prep = book.preps.get(batch["prep"])
    return prep.store if prep and prep.store != "frozen" else "chilled"


def taken_now(doing: Doing, batch: Row) -> Row:
    """A batch as it is when it is taken now: a frozen one of whose thaw nobody said a word was taken out as long
    before as it takes to thaw."""
    prep = doing.book.preps.get(batch["prep"])
    if batch["store"] != "frozen" or (prep and eaten_frozen(prep)):
        return batch
    since = doing.now - timedelta(minutes=prep.thaw if prep else 0)
    frozen_since = history_of(batch).stays[-1].since
    return {**batch, **if_thawed(doing.book, batch, max(since, frozen_since))}


def handed_on(doing: Doing, batch: Row) -> HandedOn:
    """What a batch hands on to the run that takes it now."""
    return _hands(doing, taken_now(doing, batch))


def _hands(doing: Doing, batch: Row) -> HandedOn:
    food = food_in(doing.book, batch["prep"])
    keeps_safety = food is not None and (food.ready_to_eat or not batch["pack"])
    safety = hands_on_safety(doing.book.kitchen, food, history_of(batch)) if keeps_safety and food else None
    safety = day_or_none(batch["safety"]) if keeps_safety and food is None else safety
    return HandedOn(day_or_none(batch["passes_on"]), safety)


def handed_on_at(doing: Doing, batch: Row, at: datetime, history: History | None = None) -> HandedOn:
    """What a batch handed on to the run that took it at an instant, as its label stands now; or by a `history` without
    what was put onto it only later."""
    history = history or history_of(batch)
    stays = tuple(stay for stay in history.stays if stay.since <= at) or history.stays[:1]
    then = {**batch, **life_columns(doing.book, batch["prep"], _with(history, stays))}
    prep = doing.book.preps.get(batch["prep"])
    if stays[-1].store == "frozen" and not (prep and eaten_frozen(prep)):
        since = at - timedelta(minutes=prep.thaw if prep else 0)
        then |= if_thawed(doing.book, then, max(since, stays[-1].since))
    return _hands(doing, then)


def _with(history: History, stays: tuple[Stay, ...]) -> History:
    return History(history.first_day, history.ready, stays, history.inherited, history.safety)


def _is_later(known: str | None, new: str | None) -> bool:
    """Whether what is known ends after the new one; no end is the latest."""
    return new is not None and (known is None or known > new)
