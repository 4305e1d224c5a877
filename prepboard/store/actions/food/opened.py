"""Opened goods: a pack, with its lot and the maker's date, that runs and plates take from and a trace leads back to."""

from __future__ import annotations

from datetime import date, datetime

from prepboard.book.amounts import MILLION
from prepboard.book.safety.life import opened_food
from prepboard.store.actions.food.withdrawing import why_withdrawn
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.refused import stands
from prepboard.store.food.taking import NewBatch, add_batch, place_for, place_sure
from prepboard.store.transaction.doing import Doing, action
from prepboard.texts import _


@action("open")
def open_goods(
    doing: Doing,
    goods: str,
    lot: str = "",
    use_by: date | None = None,
    *,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A pack of goods is opened; `use_by` is the last day on which the maker says it is safe, not a best-before.

    It is counted as one pack, whatever is in it: runs name it without taking an amount, until it is discarded.
    Refused past the maker's date.
    """
    return _open(doing, goods, lot.strip(), use_by)


def _open(doing: Doing, item: str, lot: str, last: date | None) -> Did:
    goods = doing.book.goods.get(item)
    if goods is None:
        raise Refused(_("nothing bought is called {goods}").format(goods=item))
    kitchen = doing.book.kitchen
    if lot and (why := why_withdrawn(doing, item, lot)):
        raise Refused(_("{name}, lot {lot}: {why}; it may not be used").format(name=goods.name, lot=lot, why=why))
    if last is not None and kitchen.days.midnight_after(last) <= doing.now:
        raise Refused(_("{name} is past the maker's date; it may not be used").format(name=goods.name))
    _food, store = opened_food(goods, kitchen.rules)
    new = NewBatch(
        prep=item,
        name=(_("{name}, lot {lot}") if lot else _("{name}, opened")).format(name=goods.name, lot=lot),
        amount=MILLION,
        unit="each",
        made_at=doing.now,
        first_day=kitchen.days.business_day(doing.now),
        safety=last,
        store=store,
        place=place_for(doing, store, item),
        place_sure=place_sure(doing, store, item),
        station=doing.who.station,
        lot=lot,
        pack=True,
    )
    code = add_batch(doing, new, "opened")
    doing.mark()
    batch = doing.row("batches", code=code)
    assert batch is not None, code
    good = stands(doing, batch)
    doing.log("opened", batch=code, prep=item, after=lot, why=good)
    return doing.answer(
        _("{name}: batch {batch}, {good}").format(name=new.name, batch=code, good=good), batches=(code,)
    )
