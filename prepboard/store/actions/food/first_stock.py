"""What stands on the shelves when a kitchen begins with a file: many batches at once, each with its date."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, datetime
from fractions import Fraction

from msgspec import Struct

from prepboard.book.amounts import DUST
from prepboard.book.safety.allergens import carried
from prepboard.book.safety.life import day_one
from prepboard.book.saying import say_amount
from prepboard.plan.given.numbers import far_more
from prepboard.store.file.who import Did, Refused, Unsure
from prepboard.store.food.taking import NewBatch, add_batch, place_for, unit_of, use_by_of
from prepboard.store.transaction.doing import Doing, action
from prepboard.texts import _, some


class OnTheShelf(Struct, frozen=True):
    """One lot that is there: millionths of a prep, when it was made, and where it stands ("": where it is kept).

    `day_one` where only a day was written: that day counts as the first, and hours count from its start.
    """

    prep: str
    amount: int
    made_at: datetime
    place: str = ""
    day_one: date | None = None
    usual: int | None = None
    """How much of it is usually there."""


@action("count")
def put_on_shelf(doing: Doing, found: Sequence[OnTheShelf], *, sure: bool = False, action: str | None = None) -> Did:
    """Adds a batch for each, all or none, each with the use-by that its date gives it.

    Refused for food that is still to come, and for a place of another storage than the prep is kept in: since when it
    has been there nobody said. What is past its use-by is added too, so that the close lists and records it. Unsure,
    with all of them, where some are more than three times what is usual, until `sure`.
    """
    if not found:
        raise Refused(_("the table says nothing that is there"))
    far = [] if sure else [_beside_usual(doing, one) for one in found if far_more(one.amount, one.usual)]
    if far:
        raise Unsure(_("more than three times what is usual: {numbers}").format(numbers="; ".join(far)))
    codes = [_add(doing, one) for one in found]
    ends = [use_by_of(doing, code) for code in codes]
    past = sum(end is not None and end <= doing.now for end in ends)
    said = some("{n} batch is on the shelf", "{n} batches are on the shelf", len(codes))
    if past:
        said += "; " + some("{n} is past its use-by", "{n} are past their use-by", past)
    return doing.answer(said, batches=tuple(codes))


def _beside_usual(doing: Doing, one: OnTheShelf) -> str:
    prep, units = doing.book.preps[one.prep], doing.book.kitchen.units
    amount, usual = (say_amount(prep.measure, n or 0, units) for n in (one.amount, one.usual))
    return _("{what}: {amount}, usually {usual}").format(what=prep.name, amount=amount, usual=usual)


def _add(doing: Doing, one: OnTheShelf) -> str:
    prep, kitchen = doing.book.preps[one.prep], doing.book.kitchen
    if one.made_at > doing.now:
        raise Refused(_("{name}: that is still to come; food cannot have been made then").format(name=prep.name))
    if one.amount < DUST:
        raise Refused(_("{name}: nothing is there").format(name=prep.name))
    store = doing.book.places[one.place].store if one.place else prep.store
    if store != prep.store:
        said = _("{name} is kept {own}; count it there, then say freeze, thaw or move-to with --at since when")
        raise Refused(said.format(name=prep.name, own=prep.store))
    new = NewBatch(
        prep=prep.id,
        amount=one.amount,
        unit=unit_of(prep),
        made_at=one.made_at,
        first_day=one.day_one or day_one(prep, Fraction(1), kitchen, started=None, ready=one.made_at),
        store=store,
        place=one.place or place_for(doing, store),
        station=prep.station,
        allergens=json.dumps(sorted(carried(doing.book, prep.id))),
    )
    code = add_batch(doing, new, "counted")
    said = say_amount(prep.measure, one.amount, kitchen.units)
    doing.log("counted", batch=code, prep=prep.id, after=said, why=_("on the shelf at the beginning"))
    return code
