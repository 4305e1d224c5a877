"""Goods on the shelf: counted, and delivered. A kitchen may write them down, and need not."""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction

from msgspec import Struct

from prepboard.book.book import Goods, Temperature
from prepboard.book.safety.temperatures import Unit
from prepboard.book.saying import say_amount
from prepboard.store.actions.food.readings import read_within
from prepboard.store.actions.night.today import set_arrived
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.food.probes import doubt, probe_name
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, Row, act, action
from prepboard.store.transaction.named import goods_of
from prepboard.texts import _, decimal


class SentBack(Refused):
    """A delivery that was not taken; the record has it, with the reason."""


class Delivery(Struct, frozen=True):
    """What stands on a delivery: its lot, the maker's last day, how warm it was, and who brought it."""

    lot: str = ""
    safe_to: date | None = None
    degrees: Fraction | None = None
    unit: Unit = "C"
    supplier: str = ""
    probe: str = ""
    """What `degrees` were read with."""


@action("count goods")
def count_goods(doing: Doing, goods: str, amount: int, *, action: str | None = None, at: datetime | None = None) -> Did:
    """So much of a good is on the shelf, in millionths, as bought."""
    found = goods_of(doing, goods)
    said = _keep(doing, found, "counted", amount, Delivery())
    return doing.answer(_("{name}: {amount} on the shelf").format(name=found.name, amount=said))


def deliver(
    file: KitchenFile,
    who: Who,
    goods: str,
    amount: int,
    delivery: Delivery,
    *,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Goods came; what was missing has arrived. Refused in words past the maker's last day, where what is to be chilled
    is warmer than the rule book's cold limit, and where what came frozen is thawed (FDA Food Code 2022, 3-202.11(A) and
    (E), from memory: received at 5 °C, 41 °F, or below; frozen food frozen)."""

    def body(doing: Doing) -> Did:
        found = goods_of(doing, goods)
        _check(doing, found, delivery)
        said = _keep(doing, found, "delivered", amount, delivery)
        if doing.row("missing", goods=goods) is not None:
            set_arrived(doing, goods)
        if delivery.probe and delivery.degrees is not None:
            # Kept as a reading too: where its probe is found out, it is touched like any other.
            read_within(doing, "goods", goods, Temperature(delivery.degrees, delivery.unit), delivery.probe)
        text = _("{name}: {amount} delivered").format(name=found.name, amount=said)
        in_doubt = doubt(doing, probe_name(delivery.probe))
        return doing.answer(", ".join(filter(None, (text, delivery.supplier or found.supplier, in_doubt))))

    try:
        return act(file, who, "delivered", body, action=action, at=at)
    except SentBack as refused:
        why = str(refused)
        act(file, who, "delivered", lambda doing: _sent_back(doing, goods, amount, delivery, why), at=at)
        raise


def _sent_back(doing: Doing, goods: str, amount: int, delivery: Delivery, why: str) -> Did:
    found = goods_of(doing, goods)
    said = say_amount(found.measure, amount, doing.book.kitchen.units)
    from_whom = delivery.supplier or found.supplier
    doing.log("sent back", prep=found.id, after=said, why=", ".join(filter(None, (why, from_whom))))
    return doing.answer(why)


def _check(doing: Doing, goods: Goods, delivery: Delivery) -> None:
    days, rules = doing.book.kitchen.days, doing.book.kitchen.rules
    if delivery.safe_to is not None and delivery.safe_to < days.local(doing.now).date():
        raise SentBack(_("{name} is past the maker's date: send it back").format(name=goods.name))
    if delivery.degrees is not None and goods.store == "frozen" and _thawed(delivery):
        said = _("{name} is {degrees} °{unit}, not frozen any more: send it back")
        degrees = decimal(f"{float(delivery.degrees):g}")
        raise SentBack(said.format(name=goods.name, degrees=degrees, unit=delivery.unit))
    if delivery.degrees is None or goods.store != "chilled":
        return
    limit = rules.degrees("cold_holding", delivery.unit)
    if limit is not None and delivery.degrees > limit:
        said = _("{name} is {degrees} °{unit}; it must be {limit} or colder: send it back")
        degrees = decimal(f"{float(delivery.degrees):g}")
        raise SentBack(
            said.format(name=goods.name, degrees=degrees, unit=delivery.unit, limit=rules.rules["cold_holding"].said)
        )


def _thawed(delivery: Delivery) -> bool:
    """FDA Food Code 2022, 3-202.11(E), from memory: what is shipped frozen is received frozen."""
    assert delivery.degrees is not None
    return delivery.degrees > (0 if delivery.unit == "C" else 32)


def _keep(doing: Doing, goods: Goods, kind: str, amount: int, delivery: Delivery) -> str:
    if amount < 0:
        raise Refused(_("an amount is never less than zero"))
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS number FROM goods_counted")[0]["number"]
    degrees = "" if delivery.degrees is None else f"{float(delivery.degrees):g} {delivery.unit}"
    row: Row = {
        "number": number,
        "at": instant_text(doing.now),
        "goods": goods.id,
        "kind": kind,
        "amount": amount,
        "lot": delivery.lot,
        "safe_to": delivery.safe_to.isoformat() if delivery.safe_to else None,
        "degrees": degrees,
        "supplier": delivery.supplier or goods.supplier,
        "by": doing.who.by,
        "station": doing.who.station,
    }
    doing.put("goods_counted", row)
    said = say_amount(goods.measure, amount, doing.book.kitchen.units)
    why = ", ".join(filter(None, (delivery.lot, degrees, delivery.supplier)))
    doing.log("delivered" if kind == "delivered" else "counted", prep=goods.id, after=said, why=why)
    return said
