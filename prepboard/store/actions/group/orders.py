"""Orders by van: what a kitchen asks another one for, and what that makes of the van's pars."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from prepboard.book.amounts import BASE
from prepboard.book.saying import say_amount
from prepboard.book.vans import Trip, trip_on
from prepboard.store.actions.group.between import derived, kitchen_id, name_of_kitchen, this_kitchen
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.named import prep_of
from prepboard.texts import _

ORDERED = """
    SELECT kitchen, sum(amount) AS amount FROM orders
    WHERE maker = ? AND van = ? AND day = ? AND prep = ? AND (answer = 'yes' OR (answer = '' AND late = 0))
    GROUP BY kitchen"""
LEFT = """
    SELECT receiver, sum(amount) AS amount FROM transfers
    WHERE sender = ? AND van = ? AND day = ? AND prep = ? AND back_at IS NULL GROUP BY receiver"""


@action("order")
def order(doing: Doing, van: str, day: date, amounts: Mapping[str, int], *, action: str | None = None) -> Did:
    """Orders so much of each prep, in millionths, by a van of a business day, on top of what was ordered by it before.
    After the van was closed it is an order all the same, that the other kitchen answers. Refused for a van that does
    not come here, and once it left."""
    here, trip = this_kitchen(doing), trip_for(doing, van, day)
    if here.id not in trip.van.to:
        raise Refused(_("{van} does not come here").format(van=trip.van.name))
    if trip.leaves <= doing.now:
        raise Refused(_("{van} has left, {time}").format(van=trip.van.name, time=doing.time(trip.leaves)))
    late, said = trip.closes <= doing.now, []
    for prep, amount in amounts.items():
        found = prep_of(doing, prep)
        if amount <= 0:
            raise Refused(_("an amount is never less than zero"))
        if found.comes_from != trip.van.comes_from:
            raise Refused(_("{name} does not come by {van}").format(name=found.name, van=trip.van.name))
        row: Row = {
            "id": derived(kitchen_id(doing), f"{doing.id} {prep}"),
            "van": van,
            "day": day.isoformat(),
            "kitchen": here.id,
            "maker": trip.van.comes_from,
            "prep": prep,
            "amount": amount,
            "unit": BASE[found.measure.kind],
            "at": instant_text(doing.now),
            "by": doing.who.by,
            "ordered_in": doing.id,
            "late": int(late),
        }
        doing.put("orders", row)
        told = say_amount(found.measure, amount, doing.book.kitchen.units)
        doing.log("ordered", prep=prep, after=told, why=f"{trip.van.name} {day.isoformat()}")
        said.append(f"{found.name} {told}")
    if not said:
        raise Refused(_("nothing is ordered"))
    names = {"van": trip.van.name, "time": doing.time(trip.leaves), "list": ", ".join(said)}
    text = _("ordered by {van} {time}: {list}").format(**names)
    if late:
        kitchen = name_of_kitchen(doing, trip.van.comes_from)
        text = _("{said}; it closed {time}, so {kitchen} answers").format(
            said=text, time=doing.time(trip.closes), kitchen=kitchen
        )
    return doing.answer(text)


@action("answer order")
def answer_order(doing: Doing, order: str, yes: bool, why: str = "", *, action: str | None = None) -> Did:
    """The kitchen that is to send it says whether it does. Refused for an order to another kitchen, and for a no
    without a reason."""
    row = doing.row("orders", id=order)
    if row is None or row["maker"] != this_kitchen(doing).id:
        raise Refused(_("there is no such order to this kitchen"))
    if row["answer"]:
        raise Refused(_("{by} has answered that already").format(by=row["answered_by"] or _("somebody")))
    if not yes and not why.strip():
        raise Refused(_("say why"))
    answer = "yes" if yes else "no"
    doing.put(
        "orders",
        {
            "id": order,
            "answer": answer,
            "answered_at": instant_text(doing.now),
            "answered_by": doing.who.by,
            "answer_why": why.strip(),
            "answered_in": doing.id,
        },
    )
    set_pars(doing, row["van"], row["day"], row["prep"])
    names = {"kitchen": name_of_kitchen(doing, row["kitchen"]), "name": doing.book.name(row["prep"])}
    text = _("{name} for {kitchen}: it will be sent") if yes else _("{name} for {kitchen}: not sent, {why}")
    said = text.format(**names, why=why.strip())
    doing.log("order answered", prep=row["prep"], before=names["kitchen"], after=answer, why=why.strip())
    return doing.answer(said)


def trip_for(doing: Doing, van: str, day: date) -> Trip:
    """A van's trip of a business day. Refused where there is none."""
    found = doing.book.vans.get(van)
    trip = trip_on(doing.book, found, day) if found else None
    if trip is None:
        raise Refused(_("no van {van} goes {day}").format(van=van, day=day.isoformat()))
    return trip


def set_pars(doing: Doing, van: str, day: str, prep: str) -> None:
    """The par of a van for a prep: what is ordered by it of all kitchens together and has not left yet. Where nobody
    orders it is as if nobody ever had."""
    here = doing.book.kitchen.member
    known = doing.book.vans.get(van)
    if known is None or known.comes_from != here:
        return
    ordered = {row["kitchen"]: row["amount"] for row in doing.rows(ORDERED, here, van, day, prep)}
    left = {row["receiver"]: row["amount"] for row in doing.rows(LEFT, here, van, day, prep)}
    open_still = sum(max(0, amount - left.get(kitchen, 0)) for kitchen, amount in ordered.items())
    if ordered:
        doing.put("pars", {"day": day, "service": van, "prep": prep, "amount": open_still})
    else:
        doing.drop("pars", day=day, service=van, prep=prep)
