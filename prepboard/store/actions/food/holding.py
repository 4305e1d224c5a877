"""Holding back and keeping: what may not be used, what is for one service only, what a sous chef keeps or corrects."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.safety.judging import NOT_SHOWN
from prepboard.book.safety.life import History
from prepboard.book.safety.may_use import HELD, MISSED, UNREAD, WITHHELD
from prepboard.plan.given.state import Batch, Sitting
from prepboard.store.actions.food.withdrawing import lift
from prepboard.store.file.times import instant, instant_or_none, instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.handing_down import hand_down
from prepboard.store.food.parts import check_not_past, live_batch
from prepboard.store.food.refused import answer, in_words, stands
from prepboard.store.food.taking import name_of, why_blocked
from prepboard.store.food.use_by import food_in, history_of, life_columns
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.marks import TASTE
from prepboard.store.transaction.named import check_sitting
from prepboard.store.transaction.shown import check_batch
from prepboard.texts import _


class Right(Struct, frozen=True):
    """What a label should have said; None where it was right. `first_day` is its day 1, `safety` the last day that a
    maker says it is safe."""

    made_at: datetime | None = None
    first_day: date | None = None
    safety: date | None = None
    lot: str | None = None


@action("block")
def block(
    doing: Doing, target: str, why: str, *, for_taste: bool = False, shown: Batch | None = None,
    action: str | None = None,
) -> Did:  # fmt: skip
    """A batch, or all that stands in a place, may not be used: nothing counts it or takes it until it is let go.

    It reaches what was made of it too, unless it is only `for_taste`. Refused for a batch that is no longer as it was
    `shown`.
    """
    check_batch(doing, shown, all_of_it=False)
    return _block(doing, target, why.strip(), for_taste)


@action("unblock")
def unblock(doing: Doing, target: str, why: str, *, shown: Batch | None = None, action: str | None = None) -> Did:
    """A batch or a place may be used again. Refused where a limit was missed: that ends only with the code's
    corrective action, or when it is discarded. Refused for a batch that is no longer held back as it was `shown`."""
    check_batch(doing, shown, all_of_it=False)
    return _unblock(doing, target, why.strip())


@action("keep")
def keep(doing: Doing, batch: str, why: str, *, shown: Batch | None = None, action: str | None = None) -> Did:
    """A sous chef keeps a good batch that nothing ahead needs: it carries over. Refused for one that is no longer as it
    was `shown`."""
    check_batch(doing, shown)
    return _keep(doing, batch, why.strip())


@action("keep for")
def keep_for(doing: Doing, batch: str, sitting: Sitting | None, *, action: str | None = None) -> Did:
    """A batch is for one sitting alone; None lets it go to all again."""
    return _keep_for(doing, batch, sitting)


@action("correct")
def correct(doing: Doing, batch: str, right: Right, why: str, *, action: str | None = None) -> Did:
    """A wrong label is put right by a sous chef; the log keeps both. Refused for what is still to come, and for the
    dates of what no recipe knows."""
    return _correct(doing, batch, right, why.strip())


@action("relabelled")
def relabelled(doing: Doing, batch: str, *, shown: Batch | None = None, action: str | None = None) -> Did:
    """The box was labelled anew: it says what is so again. Refused where the label says so already, and for a batch
    whose end is no longer as it was `shown`."""
    check_batch(doing, shown, all_of_it=False)
    row = live_batch(doing, batch)
    if row["label_says"] is None:
        raise Refused(_("the label of {name} {batch} says what is so").format(
            name=name_of(doing, row), batch=row["code"]))  # fmt: skip
    said = _("good to {moment}").format(moment=doing.time(instant(row["label_says"])))
    doing.put("batches", {"code": row["code"], "label_says": None})
    return _told(doing, row, "relabelled", _("{name}: labelled anew, {good}"), "", said, _good(doing, row))


@action("count on")
def count_on(doing: Doing, batches: Sequence[str], *, action: str | None = None) -> Did:
    """Food that nobody showed cooling in time counts on, by a sous chef's initials: one answer for the batches that
    they were shown. Refused where nothing of them waits for it, and without initials."""
    if not doing.who.by:
        raise Refused(_("that is answered for with initials"))
    found = [row for row in (live_batch(doing, code) for code in batches) if _waits(doing, row)]
    if not found:
        raise Refused(_("nothing of that waits for an answer"))
    for row in found:
        answered = {"counts_on_at": instant_text(doing.now), "counts_on_by": doing.who.by}
        doing.put("batches", {"code": row["code"], **answered})
        doing.log("counts on", batch=row["code"], prep=row["prep"], before=NOT_SHOWN, after=doing.who.by)
    names = "; ".join(f"{name_of(doing, row)} {row['code']}" for row in found)
    return doing.answer(_("counts on, {by}: {names}").format(by=doing.who.by, names=names))


def _waits(doing: Doing, row: Row) -> bool:
    """Whether a limit of its cooling is past that nobody showed, and no sous chef answered for it."""
    answered = instant_or_none(row["counts_on_at"])
    marks = (mark for mark in doing.marks("batch", row["code"]) if mark.row == UNREAD and mark.since <= doing.now)
    return any(answered is None or mark.since > answered for mark in marks)


def _block(doing: Doing, target: str, why: str, for_taste: bool) -> Did:
    _say_why(why)
    place = doing.book.places.get(target)
    if place is not None:
        if held := doing.row("blocked_places", place=place.id):
            raise Refused(_("{name} is held back already: {why}").format(name=place.name, why=held["why"]))
        row = {"place": place.id, "why": why, "at": instant_text(doing.now), "by": doing.who.by}
        doing.put("blocked_places", row)
        doing.log("blocked", after=place.name, why=why)
        return doing.answer(_("{name} is held back, and all that stands there").format(name=place.name))
    batch = live_batch(doing, target)
    if batch["blocked"]:
        name = f"{name_of(doing, batch)} {batch['code']}"
        raise Refused(_("{name} is held back already: {why}").format(name=name, why=batch["blocked"]))
    doing.put("batches", {"code": batch["code"], "blocked": why, "blocked_for": TASTE if for_taste else ""})
    return _told(doing, batch, "blocked", _("{name} is held back; nothing counts it or takes it"), why)


def _unblock(doing: Doing, target: str, why: str) -> Did:
    _say_why(why)
    place = doing.book.places.get(target)
    if place is not None:
        held = doing.row("blocked_places", place=place.id)
        if held is None:
            raise Refused(_("{name} is not held back").format(name=place.name))
        doing.drop("blocked_places", place=place.id)
        doing.log("unblocked", before=held["why"], after=place.name, why=why)
        return doing.answer(_("{name} may be used again").format(name=place.name))
    if lifted := lift(doing, target, why):
        return lifted
    batch = live_batch(doing, target)
    name = f"{name_of(doing, batch)} {batch['code']}"
    if not batch["blocked"]:
        raise Refused(_not_here(doing, batch, name))
    doing.put("batches", {"code": batch["code"], "blocked": "", "blocked_for": ""})
    doing.mark()
    return _told(doing, batch, "unblocked", _("{name}: {good}"), why, before=batch["blocked"])


def _not_here(doing: Doing, batch: Row, name: str) -> str:
    """Why there is nothing to let go on a batch itself, and where it is."""
    found = answer(doing, batch)
    if found.may or found.row not in (WITHHELD, MISSED, HELD):
        return _("{name} is not held back").format(name=name)
    if found.row == MISSED:
        said = _("{name} missed a limit: {why}; discard it, or record the corrective action")
        return said.format(name=name, why=in_words(found))
    if found.row == HELD:
        return _("{name} is held until a reading shows that it may be used: {why}").format(
            name=name, why=in_words(found)
        )
    place = doing.book.places.get(found.source)
    source = place.name if place else found.source
    said = _("{name} is held back with {source}: {why}; let that go")
    return said.format(name=name, source=source, why=in_words(found))


def _keep(doing: Doing, code: str, why: str) -> Did:
    _say_why(why)
    batch = live_batch(doing, code)
    check_not_past(doing, batch)
    name = f"{name_of(doing, batch)} {batch['code']}"
    if held := why_blocked(doing, batch):
        raise Refused(_("{name} is held back: {why}; it cannot be kept").format(name=name, why=_(held)))
    doing.put("batches", {"code": batch["code"], "kept": why})
    return _told(doing, batch, "kept", _("{name} is kept, {good}"), why)


def _keep_for(doing: Doing, code: str, sitting: Sitting | None) -> Did:
    batch = live_batch(doing, code)
    if sitting is None:
        doing.put("batches", {"code": batch["code"], "set_aside": ""})
        return _told(doing, batch, "kept for", _("{name} is for all again"), "", before=batch["set_aside"])
    check_not_past(doing, batch)
    check_sitting(doing, sitting)
    service = doing.book.services[sitting[0]]
    doing.put("batches", {"code": batch["code"], "set_aside": f"{sitting[0]}.{sitting[1].isoformat()}"})
    named = f"{service.name} {sitting[1].isoformat()}"
    return _told(doing, batch, "kept for", _("{name} is kept for {after}"), "", after=named)


def _correct(doing: Doing, code: str, right: Right, why: str) -> Did:
    _say_why(why)
    batch = live_batch(doing, code)
    history = _righted(doing, batch, right)
    change: Row = {"code": batch["code"], "made_at": instant_text(history.ready)}
    if right.lot is not None:
        change["lot"] = right.lot
    if (right.made_at or right.first_day or right.safety) and food_in(doing.book, batch["prep"]) is None:
        raise Refused(_("no recipe knows it, so its dates stay; discard it where they are wrong"))
    change |= life_columns(doing.book, batch["prep"], history)
    change["label_says"] = None
    before = _label(doing, batch)
    doing.put("batches", change)
    hand_down(doing, batch["code"])
    after = _label(doing, {**batch, **change})
    return _told(doing, {**batch, **change}, "label corrected", _("{name} was put right: {good}"), why, before, after)


def _righted(doing: Doing, batch: Row, right: Right) -> History:
    history = history_of(batch)
    days = doing.book.kitchen.days
    if right.made_at is not None:
        following = history.stays[1].since if len(history.stays) > 1 else doing.now
        if right.made_at > min(doing.now, following):
            raise Refused(_("it cannot have been made after it was brought elsewhere, or still to come"))
        first = replace(history.stays[0], since=right.made_at)
        history = replace(history, ready=right.made_at, stays=(first, *history.stays[1:]))
        history = replace(history, first_day=days.business_day(right.made_at))
    if right.first_day is not None:
        history = replace(history, first_day=right.first_day)
    if history.first_day > days.business_day(history.ready):
        raise Refused(_("day 1 is not after the day on which it was made"))
    return replace(history, safety=right.safety) if right.safety is not None else history


def _label(doing: Doing, batch: Row) -> str:
    """What the label says: its day 1, when it was made, until when it is good, its lot."""
    made = instant_or_none(batch["made_at"])
    said = _("day 1 {day}, made {made}, {good}").format(
        day=batch["day_one"], made=doing.time(made) if made else "", good=_good(doing, batch)
    )
    return f"{said}, {batch['lot']}" if batch["lot"] else said


def _good(doing: Doing, batch: Row) -> str:
    return stands(doing, doing.row("batches", code=batch["code"]) or batch)


def _told(doing: Doing, batch: Row, did: str, said: str, why: str, before: str = "", after: str = "") -> Did:
    doing.log(did, batch=batch["code"], prep=batch["prep"], before=before, after=after, why=why)
    name = f"{name_of(doing, batch)} {batch['code']}"
    text = said.format(name=name, good=_good(doing, batch), after=after)
    return doing.answer(text, batches=(str(batch["code"]),))


def _say_why(why: str) -> None:
    if not why:
        raise Refused(_("say why"))
