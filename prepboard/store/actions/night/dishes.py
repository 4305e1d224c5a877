"""Dishes while a service runs: taken off by a person, back again, and a portion that changes from now on."""

from __future__ import annotations

from datetime import datetime

from prepboard.book.saying import say_amount
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused, Unsure
from prepboard.store.transaction.doing import Doing, action
from prepboard.store.transaction.named import check_sitting, dish_of, sitting_key
from prepboard.store.transaction.shown import check_dish, refuse_moved
from prepboard.texts import _


@action("86")
def take_off(
    doing: Doing, sitting: Sitting, dish: str, why: str,
    *, shown: Tonight | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A person takes a dish off a sitting. Refused without a reason, when it is off already, and when the sitting is
    over since it was `shown`."""
    check_dish(doing, sitting, dish, shown)
    return set_off(doing, sitting, dish, why)


@action("back")
def back(
    doing: Doing, sitting: Sitting, dish: str,
    *, shown: Tonight | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A dish that a person took off is offered again. Refused when nobody took it off, and when it was taken off anew,
    for another reason perhaps, since it was `shown`."""
    check_dish(doing, sitting, dish, shown)
    return set_back(doing, sitting, dish)


@action("portion")
def portion(
    doing: Doing, sitting: Sitting, dish: str, prep: str, amount: int | None, sure: bool = False,
    *, shown: int | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """What one plate takes of a prep from now on, for the sitting's day, in millionths; None is the book's again.

    Unsure above three times the book's, until `sure`. Refused where a plate takes no longer what was `shown`.
    """
    if shown is not None and shown != _on_a_plate(doing, sitting, dish, prep):
        refuse_moved(doing, "portions", day=sitting[1].isoformat(), dish=dish, prep=prep)
    return set_portion(doing, sitting, dish, prep, amount, sure)


def _on_a_plate(doing: Doing, sitting: Sitting, dish: str, prep: str) -> int | None:
    row = doing.row("portions", day=sitting[1].isoformat(), dish=dish, prep=prep)
    return row["amount"] if row else dish_of(doing, dish).plate.get(prep)


def set_off(doing: Doing, sitting: Sitting, dish_id: str, why: str) -> Did:
    check_sitting(doing, sitting)
    dish = dish_of(doing, dish_id)
    if not why.strip():
        raise Refused(_("say why {dish} is taken off").format(dish=dish.name))
    if sitting[0] not in dish.services:
        service = doing.book.services[sitting[0]].name
        raise Refused(_("{dish} is not on {service}").format(dish=dish.name, service=service))
    day, service = sitting_key(sitting)
    row = doing.row("taken_off", day=day, service=service, dish=dish_id)
    if row is not None:
        raise Refused(_("{dish} is taken off already: {why}").format(dish=dish.name, why=row["why"]))
    at = instant_text(doing.now)
    doing.put("taken_off", {"day": day, "service": service, "dish": dish_id, "why": why, "at": at})
    doing.log("86", dish=dish_id, why=why)
    return doing.answer(_("{dish}: 86, {why}").format(dish=dish.name, why=why))


def set_back(doing: Doing, sitting: Sitting, dish_id: str) -> Did:
    day, service = sitting_key(sitting)
    row = doing.row("taken_off", day=day, service=service, dish=dish_id)
    name = doing.book.name(dish_id)
    if row is None:
        said = _("nobody took {dish} off; if nothing is left of it, a new batch brings it back")
        raise Refused(said.format(dish=name))
    doing.drop("taken_off", day=day, service=service, dish=dish_id)
    until = instant_text(doing.now)
    if row["at"] and row["at"] < until:
        doing.put("was_off", {"day": day, "service": service, "dish": dish_id, "since": row["at"], "until": until})
    doing.log("back", dish=dish_id, before=row["why"])
    return doing.answer(_("{dish} is back").format(dish=name))


def set_portion(doing: Doing, sitting: Sitting, dish_id: str, prep: str, amount: int | None, sure: bool) -> Did:
    check_sitting(doing, sitting)
    dish = dish_of(doing, dish_id)
    name = doing.book.name(prep)
    if prep not in dish.plate or prep not in doing.book.preps:
        raise Refused(_("no {prep} is on a plate of {dish}").format(prep=name, dish=dish.name))
    usual = dish.plate[prep]
    if amount is not None and amount < 0:
        raise Refused(_("an amount is never less than zero"))
    measure, units = doing.book.measure(prep), doing.book.kitchen.units
    if amount is not None and amount > 3 * usual and not sure:
        said = _("{amount} is more than three times the {usual} of the book")
        raise Unsure(said.format(amount=say_amount(measure, amount, units), usual=say_amount(measure, usual, units)))
    key = {"day": sitting[1].isoformat(), "dish": dish_id, "prep": prep}
    row = doing.row("portions", **key)
    if amount is None or amount == usual:
        doing.drop("portions", **key)
    else:
        doing.put("portions", {**key, "amount": amount})
    before, after = (
        say_amount(measure, part, units)
        for part in (row["amount"] if row else usual, usual if amount is None else amount)
    )
    doing.log("portion", prep=prep, dish=dish_id, before=before, after=after, why=key["day"])
    return doing.answer(_("{dish}: {amount} {prep} on a plate").format(dish=dish.name, amount=after, prep=name))
