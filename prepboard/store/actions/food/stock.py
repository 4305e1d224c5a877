"""Stock: what is really there, what goes out without being sold, and what is thrown away."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction
from typing import Literal, get_args

from prepboard.book.amounts import DUST
from prepboard.book.book import Prep
from prepboard.book.safety.allergens import carried
from prepboard.book.safety.life import day_one
from prepboard.book.saying import say_amount
from prepboard.plan.given.numbers import far_more
from prepboard.plan.given.state import Batch
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import RANK, Did, Refused, Unsure, text_of, who_may
from prepboard.store.food.counted import counted_lately, give_back
from prepboard.store.food.refused import stands, why_not
from prepboard.store.food.taking import (
    Cause,
    NewBatch,
    add_batch,
    good,
    is_good,
    live,
    move,
    name_of,
    place_for,
    place_sure,
    say,
    take,
    unit_of,
    use_by_of,
)
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.saying import good_to
from prepboard.store.transaction.shown import check_batch
from prepboard.texts import _, as_shown

Reason = Literal[
    "past-use-by",
    "not-needed",
    "spoiled",
    "burnt",
    "wrong",
    "dropped",
    "unsafe",
    "no-date",
    "sent-back",
    "trim",
    "other",
]
Purpose = Literal["staff", "tasting", "guest", "transfer", "donated"]

REASONS: tuple[str, ...] = get_args(Reason)
"""Why food is thrown away; a closed list, so that waste can be added up."""

PURPOSES: tuple[str, ...] = get_args(Purpose)
"""What food goes to that is neither sold nor wasted."""


ANY_OF = "SELECT 1 FROM batches WHERE prep = ? AND state != 'undone' LIMIT 1"
LAST_GONE = """
    SELECT batches.*, moves.kind AS went FROM batches JOIN moves ON moves.batch = batches.code
    WHERE prep = ? AND state != 'undone' AND moves.amount < 0
      AND moves.kind IN ('used', 'plated', 'gone', 'discarded', 'sent')
    ORDER BY state = 'live', moves.number DESC LIMIT 1"""


@action("count")
def count(
    doing: Doing,
    target: str,
    amount: int,
    *,
    made_at: datetime | None = None,
    shown: Batch | int | None = None,
    usual: int | None = None,
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """What is really there of a prep's good batches, or of one batch, in millionths.

    Less than known comes off the batches that expire first. More goes first back onto the batches that a count took
    it from, the last one first, then onto the batch last gone, with their dates; with `made_at`, which only a sous
    chef says, it is a batch of its own, dated from then. What reads like the known amount is that one. Refused for a
    batch that may not be used, and where what is known is no longer what was `shown`; of what is all used up, where
    it is more than that. Unsure where a new batch would make it more than three times what is `usual`, until `sure`.
    """
    if made_at is not None and not sure and far_more(amount, usual):
        _ask_whether_so_much(doing, target, amount, usual or 0)
    return _count(doing, target, amount, made_at, shown)


@action("use")
def use(
    doing: Doing,
    target: str,
    amount: int,
    purpose: str,
    *,
    shown: Batch | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Some of a prep or of one batch goes to one of PURPOSES. Refused for more than is there and good, and for a batch
    that is no longer as it was `shown`."""
    if purpose not in PURPOSES:
        raise Refused(_("use it for what? {words}").format(words=", ".join(PURPOSES)))
    _check_amount(amount, least=DUST)
    check_batch(doing, shown, all_of_it=shown is not None and amount == shown.left)
    prep, batches = _found(doing, target)
    batches = good(doing, prep.id) if prep else [batch for batch in batches if is_good(doing, batch)]
    if not batches:
        raise Refused(_("there is nothing good of {target}").format(target=prep.name if prep else target))
    return _away(doing, prep, batches, amount, Cause("gone", why=purpose), "used for")


@action("discard")
def discard(
    doing: Doing,
    target: str,
    amount: int | None,
    why: str,
    *,
    shown: Batch | int | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A batch, a prep or a good is thrown away for one of REASONS; without an amount all of it, or all open packs.

    Of a prep the batches that expire first go first; "past-use-by" reaches only those that are past it. Refused where
    a batch is no longer as it was `shown`, or more of a prep is there than was, in millionths.
    """
    return _discard(doing, target, amount, why, shown)


@action("discard")
def discard_batches(
    doing: Doing,
    codes: Sequence[str],
    why: str,
    *,
    shown: Sequence[Batch] = (),
    action: str | None = None,
) -> Did:
    """All of several batches is thrown away for one of REASONS: one change, taken back as one. Refused as a whole
    when one of them has gone already, or is no longer as it was `shown`."""
    for code in codes:
        batch = doing.row("batches", code=code)
        if batch is None or batch["state"] != "live":
            raise Refused(_("batch {code} is gone already; nothing was changed").format(code=code))
    for seen in shown:
        check_batch(doing, seen)
    said = [_discard(doing, code, None, why).text for code in codes]
    return doing.answer("; ".join(said), batches=tuple(codes))


def _ask_whether_so_much(doing: Doing, target: str, amount: int, usual: int) -> None:
    prep, batches = _found(doing, target)
    _name, before, after = _told(doing, prep, batches, usual, amount)
    raise Unsure(_("{amount} is more than three times what is usual, {usual}").format(amount=after, usual=before))


def _count(doing: Doing, target: str, amount: int, made_at: datetime | None, shown: Batch | int | None) -> Did:
    _check_amount(amount)
    if isinstance(shown, Batch):
        check_batch(doing, shown, all_of_it=amount > 0)
        shown = shown.left
    prep, batches = _found(doing, target)
    if prep is None and batches[0]["state"] == "closed":
        return _counted_after_all(doing, batches[0], amount, made_at)
    batches = [batch for batch in batches if is_good(doing, batch)] if prep else _countable(doing, batches)
    known = sum(batch["left"] for batch in batches)
    name, before, after = _told(doing, prep, batches, known, amount)
    # What is all used up may have become less meanwhile, and not more.
    if shown is not None and (known > shown if amount == 0 else known != shown):
        raise Refused(_moved_since(doing, name, before, batches))
    if amount > known and as_shown(before) != as_shown(after):
        if prep is None:
            prep = doing.book.preps.get(batches[0]["prep"])
            lost_from = batches
        else:
            lost_from = counted_lately(doing, prep.id)
        back = give_back(doing, lost_from, amount - known)
        if back == amount - known:
            return doing.answer(_("{name}: {amount} counted").format(name=name, amount=after))
        return _more(doing, prep, amount - known - back, made_at, (name, before, after))
    parts = take(doing, batches, max(0, known - amount), Cause("counted"))
    for batch, part in parts:
        before_of, after_of = say(doing, batch, batch["left"]), say(doing, batch, batch["left"] - part)
        doing.log("counted", batch=batch["code"], prep=batch["prep"], before=before_of, after=after_of)
    if not parts:
        doing.log("counted", batch=_only(batches), prep=_prep_of(prep, batches), before=before, after=after)
    return doing.answer(_("{name}: {amount} counted").format(name=name, amount=after))


def _counted_after_all(doing: Doing, batch: Row, amount: int, made_at: datetime | None) -> Did:
    """A batch that was counted to nothing and is there after all: back with its dates, even where they are over."""
    name, before, after = _told(doing, None, [batch], 0, amount)
    back = give_back(doing, [batch], amount)
    if not back and amount:
        raise Refused(_("{name}: no count took any of it away; it went otherwise").format(name=name))
    if back < amount and as_shown(before) != as_shown(after):
        said = _more(doing, doing.book.preps.get(batch["prep"]), amount - back, made_at, (name, before, after))
        return doing.answer(said.text, batches=(str(batch["code"]), *said.batches))
    good = good_to(doing.book.kitchen, use_by_of(doing, batch["code"]), doing.now)
    said_of = _("{name}: {amount} after all, {good}").format(name=name, amount=after, good=good)
    return doing.answer(said_of, batches=(str(batch["code"]),))


def _moved_since(doing: Doing, name: str, there: str, batches: list[Row]) -> str:
    """What is there by now, and who changed it last."""
    marks = ", ".join("?" * len(batches))
    since = doing.first(
        "SELECT actions.at, actions.by, actions.answer FROM moves JOIN actions ON actions.id = moves.action"
        f" WHERE moves.batch IN ({marks}) ORDER BY moves.number DESC LIMIT 1",
        *(batch["code"] for batch in batches),
    )
    said = _("{name}: {there} by now; nothing was changed, look again").format(name=name, there=there)
    if since is None:
        return said
    who, did = since["by"] or _("somebody"), text_of(since["answer"])
    return f"{said} ({doing.time(instant(since['at']))}, {who}: {did})"


def _countable(doing: Doing, batches: list[Row]) -> list[Row]:
    """Refused for a batch that may not be used: counted away it would pass for eaten, and leave no discard."""
    for batch in batches:
        if not is_good(doing, batch):
            name, why = name_of(doing, batch), why_not(doing, batch)
            said = _("{name} {batch} is not counted: {why}; it is discarded instead")
            raise Refused(said.format(name=name, batch=batch["code"], why=why))
    return batches


def _more(doing: Doing, prep: Prep | None, amount: int, made_at: datetime | None, told: tuple[str, str, str]) -> Did:
    name, before, after = told
    if made_at is None or prep is None:
        return _back_onto(doing, prep, amount, told)
    if doing.first(ANY_OF, prep.id) and RANK[doing.role] < RANK["sous"]:
        said = _("only a sous chef calls it another make{who}; without a time it goes back onto the batch last gone")
        raise Refused(said.format(who=who_may(doing.book, "sous")))
    if made_at > doing.now:
        raise Refused(_("that is still to come; food cannot have been made then"))
    kitchen = doing.book.kitchen
    new = NewBatch(
        prep=prep.id,
        amount=amount,
        unit=unit_of(prep),
        made_at=made_at,
        first_day=day_one(prep, Fraction(1), kitchen, started=None, ready=made_at),
        store=prep.store,
        place=place_for(doing, prep.store, prep.id, prep),
        place_sure=place_sure(doing, prep.store, prep.id, prep),
        station=prep.station,
        allergens=json.dumps(sorted(carried(doing.book, prep.id))),
    )
    code = add_batch(doing, new, "counted")
    said = say_amount(prep.measure, amount, kitchen.units)
    doing.log("counted", batch=code, prep=prep.id, before=before, after=after, why=_("more than was known"))
    return doing.answer(
        _("{name}: {amount} more, batch {batch}, {good}").format(
            name=name, amount=said, batch=code, good=good_to(kitchen, use_by_of(doing, code), doing.now)
        ),
        batches=(code,),
    )


def _back_onto(doing: Doing, prep: Prep | None, amount: int, told: tuple[str, str, str]) -> Did:
    """What is there and was not known goes back onto the batch that was last gone, dates and verdict included."""
    name, before, after = told
    last = doing.first(LAST_GONE, prep.id) if prep else None
    if last is None:
        said = _("{name}: {after} is more than the {before} known; food without a date may not be kept")
        raise Refused(said.format(name=name, after=after, before=before) + _(", say when it was made"))
    if last["went"] == "discarded" and RANK[doing.role] < RANK["sous"]:
        said = _("{name} {batch} was thrown away; only a sous chef counts it back{who}")
        raise Refused(said.format(name=name, batch=last["code"], who=who_may(doing.book, "sous")))
    move(doing, last["code"], amount, Cause("counted"))
    batch = doing.row("batches", code=last["code"]) or last
    said_more = say(doing, batch, amount)
    doing.log(
        "counted", batch=batch["code"], prep=batch["prep"], before=before, after=after, why=_("more than was known")
    )
    text = _("{name}: {amount} more onto batch {batch}, {stands}")
    return doing.answer(
        text.format(name=name, amount=said_more, batch=batch["code"], stands=stands(doing, batch)),
        batches=(batch["code"],),
    )


def _discard(doing: Doing, target: str, amount: int | None, why: str, shown: Batch | int | None = None) -> Did:
    if why not in REASONS:
        raise Refused(_("thrown away why? {words}").format(words=", ".join(REASONS)))
    if amount is not None:
        _check_amount(amount, least=DUST)
    if isinstance(shown, Batch):
        check_batch(doing, shown, all_of_it=amount is None)
        shown = None
    if target in doing.book.goods and (amount is not None or not live(doing, target)):
        return _discard_goods(doing, target, amount, why)
    packs = target in doing.book.goods
    prep, batches = (None, live(doing, target)) if packs else _found(doing, target)
    if (prep or packs) and why == "past-use-by":
        batches = [batch for batch in batches if (end := use_by_of(doing, batch["code"])) and end <= doing.now]
        if not batches:
            raise Refused(_("no batch of {name} is past its use-by").format(name=doing.book.name(target)))
    there = sum(batch["left"] for batch in batches)
    if shown is not None and there > shown:
        name, said, _all = _told(doing, prep, batches, there, there)
        raise Refused(_moved_since(doing, name, said, batches))
    # What is frozen goes when its day has come, like the rest.
    batches.sort(key=lambda batch: (batch["use_by"] is None, batch["use_by"] or "", batch["made_at"], batch["code"]))
    return _away(doing, prep, batches, amount, Cause("discarded", why=why), "discarded")


def _away(doing: Doing, prep: Prep | None, batches: list[Row], amount: int | None, cause: Cause, did: str) -> Did:
    known = sum(batch["left"] for batch in batches)
    name, there, said = _told(doing, prep, batches, known, known if amount is None else amount)
    if amount is not None and amount > known and as_shown(said) != as_shown(there):
        raise Refused(_("there is only {there} of {name}").format(there=there, name=name))
    codes = []
    for batch, part in take(doing, batches, known if amount is None else amount, cause):
        codes.append(batch["code"])
        rest = say(doing, batch, batch["left"] - part)
        before = say(doing, batch, batch["left"])
        doing.log(did, batch=batch["code"], prep=batch["prep"], before=before, after=rest, why=cause.why)
    text = _("{name}: {amount} discarded") if cause.kind == "discarded" else _("{name}: {amount} used")
    return doing.answer(text.format(name=name, amount=said), batches=tuple(codes))


def _discard_goods(doing: Doing, target: str, amount: int | None, why: str) -> Did:
    goods = doing.book.goods[target]
    if amount is None:
        raise Refused(_("how much {name}? goods are not counted here").format(name=goods.name))
    said = say_amount(goods.measure, amount, doing.book.kitchen.units)
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS number FROM goods_discarded")[0]["number"]
    doing.put(
        "goods_discarded",
        {
            "number": number,
            "at": instant_text(doing.now),
            "goods": target,
            "amount": amount,
            "why": why,
            "by": doing.who.by,
            "station": doing.who.station,
        },
    )
    doing.log("discarded", prep=target, before=said, why=why)
    return doing.answer(_("{name}: {amount} discarded").format(name=goods.name, amount=said))


def _found(doing: Doing, target: str) -> tuple[Prep | None, list[Row]]:
    """A prep and its live batches, or no prep and the one batch of that code."""
    prep = doing.book.preps.get(target)
    if prep is not None:
        return prep, live(doing, target)
    batch = doing.row("batches", code=target.upper())
    if batch is None or batch["state"] == "undone":
        raise Refused(_("there is no prep and no batch {target}").format(target=target))
    return None, [batch]


def _told(doing: Doing, prep: Prep | None, batches: list[Row], known: int, amount: int) -> tuple[str, str, str]:
    """The name of what is counted or thrown away, and both amounts in words."""
    if prep is not None:
        units = doing.book.kitchen.units
        return prep.name, say_amount(prep.measure, known, units), say_amount(prep.measure, amount, units)
    batch = batches[0]
    name = f"{name_of(doing, batch)} {batch['code']}"
    return name, say(doing, batch, known), say(doing, batch, amount)


def _check_amount(amount: int, least: int = 0) -> None:
    if amount < least:
        raise Refused(_("an amount is never less than zero"))


def _only(batches: list[Row]) -> str:
    return str(batches[0]["code"]) if len(batches) == 1 else ""


def _prep_of(prep: Prep | None, batches: list[Row]) -> str:
    return prep.id if prep else str(batches[0]["prep"])
