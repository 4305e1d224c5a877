"""Places: a batch, or a part of it, is brought elsewhere, frozen, thawed, divided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from prepboard.book.amounts import DUST
from prepboard.book.book import Place, Store
from prepboard.book.days import ONE_DAY
from prepboard.book.safety.holding import COLD, OUTSIDE, last_shown, returns
from prepboard.book.safety.life import eaten_frozen
from prepboard.book.safety.may_use import HELD, MISSED, OUT, WITHHELD, Mark, earliest
from prepboard.book.safety.needs_control import rules_for
from prepboard.plan.given.state import Batch
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import RANK, Did, Refused, who_may
from prepboard.store.food.parts import check_not_past, live_batch, part_of
from prepboard.store.food.refused import answer, food, in_words, stands
from prepboard.store.food.taking import Cause, add_move, name_of, place_for, say
from prepboard.store.food.use_by import brought, food_in, history_of, if_thawed, thaws_into
from prepboard.store.read.storage import storage_of
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.lapsing import food_needs_control
from prepboard.store.transaction.saying import end_of
from prepboard.store.transaction.shown import check_batch
from prepboard.texts import _


@action("move to")
def move_to(
    doing: Doing,
    batch: str,
    place: str,
    amount: int | None = None,
    *,
    shown: Batch | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A batch, or so many millionths of it, is kept in another place of the book from now on.

    A part gets a code of its own and keeps the dates. Refused for what is past its use-by, for what was out of
    temperature control and would go back, and for what is no longer as it was `shown`.
    """
    return _move_to(doing, batch, place, amount, shown)


@action("freeze")
def freeze(
    doing: Doing,
    batch: str,
    amount: int | None = None,
    place: str | None = None,
    *,
    shown: Batch | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A batch, or a part of it, goes into a freezer: the first of the book unless said. Its count stands still until
    it is thawed. Refused on the last day of its life, of which nothing would be left then, and for what is no longer
    as it was `shown`."""
    return _freeze(doing, batch, amount, place, shown)


@action("freeze")
def freeze_several(
    doing: Doing, codes: Sequence[str], *, shown: Sequence[Batch] = (), action: str | None = None
) -> Did:
    """All of several batches goes into the first freezer of the book: one change, taken back as one. Refused as a
    whole where one of them may not, or is no longer as it was `shown`."""
    for seen in shown:
        check_batch(doing, seen)
    each = [_freeze(doing, code, None, None) for code in codes]
    return doing.answer("; ".join(did.text for did in each), batches=tuple(codes))


@action("thaw")
def thaw(
    doing: Doing,
    batch: str,
    amount: int | None = None,
    place: str | None = None,
    *,
    shown: Batch | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A frozen batch, or a part of it, is taken out of the freezer, to where its prep is kept unless said. The day of
    the thaw counts. Refused for what is no longer as it was `shown`."""
    return _thaw(doing, batch, amount, place, shown)


@action("split")
def split(
    doing: Doing,
    batch: str,
    amounts: Sequence[int],
    *,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Parts of a batch become batches of their own, where it stands and with its dates."""
    return _split(doing, batch, amounts)


def _move_to(doing: Doing, code: str, place: str, amount: int | None, shown: Batch | None) -> Did:
    check_batch(doing, shown, all_of_it=amount is None)
    return _bring(doing, live_batch(doing, code), _place(doing, place), amount)


def _freeze(doing: Doing, code: str, amount: int | None, place: str | None, shown: Batch | None = None) -> Did:
    check_batch(doing, shown, all_of_it=amount is None)
    batch = live_batch(doing, code)
    if batch["store"] == "frozen":
        raise Refused(_("{name} {batch} is frozen already").format(name=name_of(doing, batch), batch=batch["code"]))
    target = _place(doing, place or place_for(doing, "frozen"), "frozen")
    if target.store != "frozen":
        raise Refused(_("{place} is no freezer").format(place=target.name))
    return _bring(doing, batch, target, amount)


def _thaw(doing: Doing, code: str, amount: int | None, place: str | None, shown: Batch | None = None) -> Did:
    check_batch(doing, shown, all_of_it=amount is None)
    batch = live_batch(doing, code)
    if batch["store"] != "frozen":
        raise Refused(_("{name} {batch} is not frozen").format(name=name_of(doing, batch), batch=batch["code"]))
    store = thaws_into(doing.book, batch)
    target = _place(doing, place or place_for(doing, store), store)
    if target.store == "frozen":
        raise Refused(_("{place} is a freezer").format(place=target.name))
    return _bring(doing, batch, target, amount)


def _split(doing: Doing, code: str, amounts: Sequence[int]) -> Did:
    batch = live_batch(doing, code)
    if not amounts or sum(amounts) > batch["left"]:
        there = say(doing, batch, batch["left"])
        raise Refused(_("{batch} has {there} to divide").format(batch=batch["code"], there=there))
    if min(amounts) < DUST:
        raise Refused(_("an amount is never less than zero"))
    parts: list[Row] = []
    for amount in amounts:
        rest = live_batch(doing, code)
        parts.append(part_of(doing, rest, amount))
    said = ", ".join(f"{say(doing, part, part['left'])} {part['code']}" for part in parts)
    text = _("{name} {batch}: {parts} apart, with its dates")
    codes = tuple(str(part["code"]) for part in parts)
    return doing.answer(text.format(name=name_of(doing, batch), batch=batch["code"], parts=said), batches=codes)


def _place(doing: Doing, place: str, store: Store | None = None) -> Place:
    """A place of the book; where it names none of a storage, the storage stands for it."""
    found = doing.book.places.get(place)
    if found is None and store is not None and place == store:
        return Place(store, _(store), store)
    if found is None:
        raise Refused(_("no place is called {place}").format(place=place))
    return found


def _bring(doing: Doing, batch: Row, place: Place, amount: int | None) -> Did:
    check_not_past(doing, batch)
    _check_then(doing, batch, place)
    if place.store == "frozen" and batch["store"] != "frozen":
        _check_freezing(doing, batch)
    part = part_of(doing, batch, amount)
    change = brought(doing, part, place.store)
    doing.put("batches", {"code": part["code"], "place": place.id, **change})
    part = {**part, "place": place.id, **change}
    kind = _kind(batch["store"], place.store)
    add_move(doing, part["code"], 0, Cause(kind, why=place.id))
    doing.log(kind, batch=part["code"], prep=part["prep"], before=_place_name(doing, batch["place"]), after=place.name)
    doing.mark()
    part = doing.row("batches", code=part["code"]) or part
    good = stands(doing, part)
    text = _("{name} {batch}: {amount} in {place}, {good}").format(
        name=name_of(doing, part),
        batch=part["code"],
        amount=say(doing, part, part["left"]),
        place=place.name,
        good=good,
    )
    return doing.answer(text + _remark(doing, part, kind), batches=(str(part["code"]),))


def _kind(before: str, after: str) -> str:
    if before == after:
        return "moved"
    return "frozen" if after == "frozen" else "thawed" if before == "frozen" else "moved"


def _remark(doing: Doing, batch: Row, kind: str) -> str:
    end = earliest(food(doing, batch, taken=False))
    if kind == "frozen":
        return _("; its days stand still while it is frozen")
    if kind == "moved" and batch["store"] in OUTSIDE and end is not None and end.row == OUT:
        if returns(doing.book.kitchen.rules):
            return _("; out of temperature control it has this one end")
        return _("; out of temperature control it has this one end, and may not go back")
    return ""


def _check_then(doing: Doing, batch: Row, place: Place) -> None:
    """Refused for where it is already, for a moment before it came there, and for a way back into the fridge."""
    names = {"name": name_of(doing, batch), "batch": batch["code"], "place": place.name}
    if batch["place"] == place.id:
        raise Refused(_("{name} {batch} is in {place} already").format(**names))
    since = history_of(batch).stays[-1].since
    if doing.now < since:
        said = _("{name} {batch} was brought where it is at {time}; not before that")
        raise Refused(said.format(**names, time=doing.time(since)))
    _check_held(doing, batch, place, names)
    known = [mark for mark in doing.marks("batch", batch["code"]) if mark.row == OUT]
    if known and batch["store"] in OUTSIDE and place.store in COLD and not _may_return(doing, known[0]):
        said = _("{name} {batch} has been out of temperature control since {time} and may not go back; it is {good}")
        raise Refused(said.format(**names, time=doing.time(known[0].since), good=stands(doing, batch)))
    if place.store in OUTSIDE and batch["store"] not in OUTSIDE:
        _check_shown(doing, batch, names)


def _check_held(doing: Doing, batch: Row, place: Place, names: Mapping[str, str]) -> None:
    """Food that may not be used is moved by a sous chef; what only waits for a reading anybody brings into the cold."""
    found = answer(doing, batch)
    loose = found.row == HELD and place.store in COLD
    if not found.may and found.row in (WITHHELD, MISSED, HELD) and not loose and RANK[doing.role] < RANK["sous"]:
        said = _("{name} {batch} may not be used ({why}); only a sous chef moves it{who}")
        raise Refused(said.format(**names, why=in_words(found), who=who_may(doing.book, "sous")))


def _may_return(doing: Doing, out: Mark) -> bool:
    """Whether the book lets food go back that is out of control, while its time lasts."""
    way = returns(doing.book.kitchen.rules)
    limit = doing.book.kitchen.rules.rules.get("time_control_return")
    if way == "adds up" and limit is not None:
        return doing.now - out.since < timedelta(minutes=int(limit.value))
    return way == "once" and out.until is not None and doing.now < out.until


def _check_shown(doing: Doing, batch: Row, names: Mapping[str, str]) -> None:
    """Refused where nothing ever showed that the food is in control: its clock would run from nowhere."""
    if not food_needs_control(doing.files, batch):
        return
    known = storage_of(doing.files, batch["code"])
    if known is None or last_shown(rules_for(doing.book, batch["prep"]), known.held, doing.now) is None:
        said = _("no reading shows that {name} {batch} is cold or hot; probe it first, then bring it to {place}")
        raise Refused(said.format(**names))


def _check_freezing(doing: Doing, batch: Row) -> None:
    """Refused when nothing would be left after a thaw, or when a cook moves the freezing back into an earlier day:
    that would lengthen its life."""
    days = doing.book.kitchen.days
    today = days.opens(days.business_day(doing.file.clock.now()))
    if doing.now < today and doing.role not in ("sous", "open"):
        raise Refused(_("only a sous chef may say that something was frozen on an earlier day"))
    prep = doing.book.preps.get(batch["prep"])
    if food_in(doing.book, batch["prep"]) is None or (prep and eaten_frozen(prep)):
        return
    soonest = days.opens(days.business_day(doing.now) + ONE_DAY)
    frozen = {**batch, **brought(doing, batch, "frozen")}
    end = if_thawed(doing.book, frozen, soonest)["use_by"]
    if end is not None and end <= instant_text(soonest):
        said = _("{name} {batch} cannot be frozen: it ends {time}, no day is left once it is thawed")
        time = end_of(doing.book.kitchen, instant(batch["use_by"]), doing.now)
        raise Refused(said.format(name=name_of(doing, batch), batch=batch["code"], time=time))


def _place_name(doing: Doing, place: str) -> str:
    found = doing.book.places.get(place)
    return found.name if found else place
