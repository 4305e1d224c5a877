"""Service: plates out, a plate taken back, and what is different about a dish tonight."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from msgspec import Struct

from prepboard.book.amounts import DUST
from prepboard.book.book import Dish
from prepboard.book.saying import say_amount
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import RANK, Did, Refused, Unsure
from prepboard.store.food.refused import why_not
from prepboard.store.food.running_out import forget_run_outs, note_run_outs, note_went_on
from prepboard.store.food.taking import (
    Cause,
    ask_or_take,
    fresh_first,
    good,
    is_good,
    live,
    move,
    name_packs,
    take,
    there,
)
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.named import check_sitting, dish_of, sitting_key
from prepboard.store.transaction.shown import check_dish
from prepboard.texts import _

MOST_PLATES = 1000
"""Plates in one entry; more is a slip of the finger."""


@action("plate")
def plate(
    doing: Doing,
    sitting: Sitting,
    dish: str,
    n: int = 1,
    *,
    again: str = "",
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Plates of a dish go out: each takes its portions from the batches that expire first.

    A negative `n` takes back a miscount, the newest plates first, to the batches they came from. `again` says why
    a plate goes out a second time: it takes food, and is no demand. Refused where all that is there of a prep may not
    be used; a sous chef who is `sure` that it went out all the same has it recorded as an incident.
    """
    return _plate(doing, sitting, dish, n, again, sure)


@action("plate")
def plates(
    doing: Doing, out: Sequence[Out], *, sure: bool = False,
    action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """Plates of several dishes go out at once, as one change. Refused as a whole where a dish was taken off, or put
    back, since it was shown, and where its sitting is over by now."""
    if not out:
        raise Refused(_("no dish was named"))
    for one in out:
        check_dish(doing, one.sitting, one.dish, one.shown)
    said = [_plate(doing, one.sitting, one.dish, one.n, "", sure).text for one in out]
    return doing.answer("; ".join(said))


class Out(Struct, frozen=True):
    """So many plates of a dish for a sitting."""

    sitting: Sitting
    dish: str
    n: int
    shown: Tonight | None = None
    """What was known of the sitting on the screen."""


def _plate(doing: Doing, sitting: Sitting, dish_id: str, n: int, again: str, sure: bool) -> Did:
    check_sitting(doing, sitting)
    dish = dish_of(doing, dish_id)
    if not 0 < abs(n) <= MOST_PLATES:
        raise Refused(_("{n} plates cannot be").format(n=n))
    if n < 0:
        _take_back(doing, sitting, dish, -n, again)
        forget_run_outs(doing, sitting, dish.plate)
        doing.log("taken back", dish=dish.id, after=str(-n), why=again)
        return doing.answer(_("{dish}: {n} fewer out").format(dish=dish.name, n=-n))
    return put_out(doing, sitting, dish.id, n, again, sure)


def put_out(doing: Doing, sitting: Sitting, dish_id: str, n: int, again: str, sure: bool) -> Did:
    """So many plates of a dish go out, with all that they take, in an action that has begun."""
    dish = dish_of(doing, dish_id)
    day, service = sitting_key(sitting)
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS next FROM plates")[0]["next"]
    row: Row = {
        "number": number,
        "at": instant_text(doing.now),
        "service": service,
        "day": day,
        "dish": dish.id,
        "n": n,
        "again": again,
        "by": doing.who.by,
        "station": doing.who.station,
    }
    doing.put("plates", row)
    doing.log("plated", dish=dish.id, after=str(n), why=again)
    portions, short = _portions(doing, dish, day), []
    for prep, portion in portions.items():
        if _take_portions(doing, sitting, dish, prep, portion * n, number, sure):
            short.append(doing.book.name(prep))
    for item in dish.plate:
        if item in doing.book.goods:
            name_packs(doing, item, Cause("plated", plate=number), sure=sure)
    note_run_outs(doing, sitting, portions)
    named = doing.book.services[sitting[0]].name
    said = _("{dish}: {n} out, {service}").format(dish=dish.name, n=n, service=named)
    if short:
        said += _("; more than was there: count the {preps}").format(preps=", ".join(short))
    return doing.answer(said)


def _portions(doing: Doing, dish: Dish, day: str) -> dict[str, int]:
    """What one plate takes of each prep today; goods are not stocked."""
    changed = doing.rows("SELECT prep, amount FROM portions WHERE day = ? AND dish = ?", day, dish.id)
    today = {row["prep"]: row["amount"] for row in changed}
    return {item: today.get(item, amount) for item, amount in dish.plate.items() if item in doing.book.preps}


def _take_portions(doing: Doing, sitting: Sitting, dish: Dish, prep: str, amount: int, number: int, sure: bool) -> bool:
    """Takes what plates need of a prep, as far as it goes; answers whether there was less than that."""
    batches = good(doing, prep, set_aside_for=f"{sitting[0]}.{sitting[1].isoformat()}")
    on_hand = sum(batch["left"] for batch in batches)
    if 0 < amount - on_hand < DUST:
        # Portions of five ounces are rounded to millionths: what lacks less than dust lacks nothing.
        amount = on_hand
    if on_hand < amount and not sure:
        _refuse_what_may_not_be_used(doing, dish, prep)
    cause = Cause("plated", plate=number)
    parts = take(doing, fresh_first(doing, prep, batches), amount, cause)
    if on_hand < amount:
        # What went out all the same is kept where it came from, so that a trace leads there.
        held = _may_not_be_used(doing, prep)
        bad = ask_or_take(doing, prep, amount - sum(part for _batch, part in parts), cause, sure=sure)
        for batch, part in bad:
            went = say_amount(doing.book.measure(prep), part, doing.book.kitchen.units)
            why = next((why for one, why in held if one["code"] == batch["code"]), "")
            doing.log("incident", batch=batch["code"], prep=prep, dish=dish.id, after=went, why=why)
        parts += bad
    short = amount - sum(part for _batch, part in parts)
    if short <= 0:
        return False
    missing = say_amount(doing.book.measure(prep), short, doing.book.kitchen.units)
    doing.log("missing", prep=prep, dish=dish.id, after=missing, why=_("plated, but not on hand by the book"))
    note_went_on(doing, sitting, dish)
    return True


def _refuse_what_may_not_be_used(doing: Doing, dish: Dish, prep: str) -> None:
    """Where the good of a prep does not reach and there is some that may not be used: a plate may have had that."""
    held = _may_not_be_used(doing, prep)
    if not held:
        return
    batch, why = held[0]
    named = {"dish": dish.name, "prep": doing.book.name(prep), "batch": batch["code"], "why": why}
    said = _("{dish}: {prep} {batch} may not be used ({why}); count what is good of it").format(**named)
    if RANK[doing.role] >= RANK["sous"]:
        raise Unsure(_("{said}. If it went out all the same, that is kept as an incident").format(said=said))
    raise Refused(_("{said}, or call a sous chef").format(said=said))


def _may_not_be_used(doing: Doing, prep: str) -> list[tuple[Row, str]]:
    """The batches of a prep that nobody may use, each with the reason in words."""
    return [
        (batch, why)
        for batch in live(doing, prep)
        if there(doing, batch) and not is_good(doing, batch) and (why := why_not(doing, batch))
    ]


def _take_back(doing: Doing, sitting: Sitting, dish: Dish, n: int, again: str) -> None:
    day, service = sitting_key(sitting)
    out = doing.rows(
        "SELECT * FROM plates WHERE day = ? AND service = ? AND dish = ? AND back < n AND (again != '') = ?"
        " ORDER BY number DESC",
        day,
        service,
        dish.id,
        again != "",
    )
    counted = sum(row["n"] - row["back"] for row in out)
    if n > counted:
        raise Refused(_("{dish}: only {n} went out").format(dish=dish.name, n=counted))
    for row in out:
        part = min(n, row["n"] - row["back"])
        if part > 0:
            _give_back(doing, row, part)
            doing.put("plates", {"number": row["number"], "back": row["back"] + part})
            n -= part


def _give_back(doing: Doing, plates: Row, part: int) -> None:
    """Gives `part` of an entry's plates back: of each prep their share of what is still out, newest move first."""
    taken = doing.rows(
        "SELECT batches.prep, moves.batch, moves.number, -amount - coalesce("
        "  (SELECT sum(given.amount) FROM moves AS given WHERE given.gives_back = moves.number), 0) AS still"
        " FROM moves JOIN batches ON batches.code = moves.batch"
        " WHERE plate = ? AND kind = 'plated' AND amount < 0 ORDER BY moves.number DESC",
        plates["number"],
    )
    out: dict[str, int] = defaultdict(int)
    for row in taken:
        out[row["prep"]] += row["still"]
    due = {prep: still * part // (plates["n"] - plates["back"]) for prep, still in out.items()}
    for row in taken:
        amount = min(row["still"], due[row["prep"]])
        if amount > 0:
            move(doing, row["batch"], amount, Cause("plated", plate=plates["number"], gives_back=row["number"]))
            due[row["prep"]] -= amount
