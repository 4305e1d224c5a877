"""A batch that no recipe knows: it gets the shortest life that can be meant, for in doubt food is thrown away."""

from __future__ import annotations

from datetime import datetime

from prepboard.book.amounts import BASE, UNITS, Amount, AmountFault, Measure
from prepboard.book.book import Store
from prepboard.book.names import every
from prepboard.book.saying import say_amount
from prepboard.book.values import LONGEST_NAME
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.taking import NewBatch, add_batch, place_for, place_sure, use_by_of
from prepboard.store.food.use_by import OUT_OF_THE_FRIDGE
from prepboard.store.transaction.doing import Doing, action
from prepboard.store.transaction.saying import good_to
from prepboard.texts import _


@action("made")
def made(
    doing: Doing,
    name: str,
    amount: Amount,
    place: str | None = None,
    *,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Adds a batch of something the book does not know: good to the end of day 1, or 4 hours out of the fridge.

    A bare number counts pieces. Refused for a name that the book has.
    """
    return _made(doing, name.strip(), amount, place)


def _made(doing: Doing, name: str, amount: Amount, place: str | None) -> Did:
    book = doing.book
    if not name:
        raise Refused(_("say what was made"))
    if len(name) > LONGEST_NAME:
        raise Refused(_("a name has at most {n} letters").format(n=LONGEST_NAME))
    for prep in book.preps.values():
        if name.casefold() in (prep.id.casefold(), *map(str.casefold, every(prep.called))):
            raise Refused(_("{name} is in the book; mark its run done").format(name=prep.name))
    measure, millionths = _measured(amount)
    store: Store = "chilled"
    if place is not None:
        if place not in book.places:
            raise Refused(_("no place is called {place}").format(place=place))
        store = book.places[place].store
    until = _shortest(doing, store)
    today = book.kitchen.days.business_day(doing.now)
    new = NewBatch(
        prep="",
        name=name,
        amount=millionths,
        unit=BASE[measure.kind],
        made_at=doing.now,
        first_day=today,
        use_by=until,
        why="no recipe",
        store=store,
        place=place or place_for(doing, store),
        place_sure=place is not None or place_sure(doing, store),
        station=doing.who.station,
    )
    code = add_batch(doing, new, "made")
    doing.mark()
    good = good_to(book.kitchen, use_by_of(doing, code), doing.now)
    said = say_amount(measure, millionths, book.kitchen.units)
    doing.log("made", batch=code, after=said, why=_("{name}: no recipe knows it").format(name=name))
    text = _("{name}: {amount}, batch {batch}, {good}, since no recipe says more").format(
        name=name, amount=said, batch=code, good=good
    )
    return doing.answer(text, batches=(code,))


def _measured(amount: Amount) -> tuple[Measure, int]:
    unit = UNITS.get(amount.unit or "each")
    if unit is None:
        raise Refused(_("'{unit}' is no unit that is known here").format(unit=amount.unit))
    measure = Measure(unit.kind, BASE[unit.kind])
    try:
        millionths = measure.millionths(Amount(amount.number, amount.unit or "each"))
    except AmountFault as fault:
        raise Refused(str(fault)) from None
    if millionths <= 0:
        raise Refused(_("an amount is never less than zero"))
    return measure, millionths


def _shortest(doing: Doing, store: Store) -> datetime:
    """The midnight that ends day 1. What is made after midnight belongs to the day before, whose midnight is past:
    then, as for what stands out of the fridge, a few hours."""
    days = doing.book.kitchen.days
    midnight = days.midnight_after(days.business_day(doing.now))
    hours = doing.now + OUT_OF_THE_FRIDGE
    if midnight <= doing.now:
        return hours
    return min(midnight, hours) if store in ("ambient", "hot", "time") else midnight
