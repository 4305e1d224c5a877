"""Whether anybody may use a batch; asked at every taking, whatever a screen showed."""

from __future__ import annotations

from prepboard.book.safety.may_use import GONE, HELD, MISSED, WITHHELD, Answer, Food, Mark, earliest, may_use
from prepboard.store.file.times import instant, instant_or_none
from prepboard.store.food.use_by import taken_now
from prepboard.store.transaction.doing import Doing, Row
from prepboard.store.transaction.saying import good_to
from prepboard.texts import _


def food(doing: Doing, batch: Row, *, taken: bool = True) -> Food:
    """A batch as it would be taken now, a frozen one as long out of the freezer as it takes to thaw; or as it lies."""
    rows = (batch, taken_now(doing, batch)) if taken else (batch,)
    ends = [(row["use_by"], row["why"]) for row in rows if row["use_by"]]
    until, why = min(ends, default=(None, ""))
    return Food(
        there=batch["state"] == "live",
        from_=instant(batch["made_at"]),
        marks=marks(doing, batch),
        use_by=instant_or_none(until),
        ends_by=why,
    )


def marks(doing: Doing, batch: Row) -> tuple[Mark, ...]:
    return doing.marks("batch", batch["code"])


def answer(doing: Doing, batch: Row) -> Answer:
    """The one answer about a batch, now."""
    return may_use(food(doing, batch), doing.now)


def why_not(doing: Doing, batch: Row) -> str:
    """Why nobody may use a batch, in words; empty when they may."""
    found = answer(doing, batch)
    if found.may:
        return ""
    return in_words(found)


def in_words(found: Answer) -> str:
    if found.row in (WITHHELD, MISSED, HELD):
        return _(found.why)
    return _("expired") if found.until else _(found.why)


def stands(doing: Doing, batch: Row) -> str:
    """How a batch stands, as an answer says it: "good to Fri", or why it may not be used."""
    lies = food(doing, batch, taken=False)
    found = may_use(lies, doing.now)
    if not found.may and found.row != GONE:
        return _("may not be used: {why}").format(why=in_words(found))
    end = earliest(lies)
    return good_to(doing.book.kitchen, end.until if end else None, doing.now)


def why_refused(doing: Doing, batch: Row) -> str:
    """Why rows 2 to 4 refuse a batch, as it was written; empty when they do not."""
    found = answer(doing, batch)
    return found.why if found.row in (WITHHELD, MISSED, HELD) and not found.may else ""
