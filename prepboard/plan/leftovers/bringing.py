"""Bring to the line: what each station fetches for the sitting under way or next, at its `set_by`, and from where."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from prepboard.plan.demand.expected import at_sitting
from prepboard.plan.demand.occasions import Occasion, Table, table
from prepboard.plan.demand.pars import Par
from prepboard.plan.demand.plating import Plating
from prepboard.plan.given.state import Batch, State
from prepboard.plan.leftovers.pulling import as_bought
from prepboard.plan.service.freshness import plates_until
from prepboard.plan.shown.lines import Bring


def bring(state: State, now: datetime, occasion: Occasion | None, known: Iterable[Par]) -> tuple[Bring, ...]:
    """By station in book order, preps before goods. Of a prep as much as its par, from the batches that expire first,
    good and thawed when it is fetched; what of that is not there yet is a line without a batch. Of goods what the
    expected plates take, to the station of the first prep on the plate."""
    if occasion is None:
        return ()
    offered = table(state.book, occasion)
    lines = [*_preps(state, now, occasion, known, offered), *_goods(state, now, occasion, offered)]
    place = {station: order for order, station in enumerate(state.book.stations)}
    return tuple(sorted(lines, key=lambda line: (place.get(line.station, len(place)), line.kind == "goods")))


def _preps(state: State, now: datetime, occasion: Occasion, known: Iterable[Par], offered: Table) -> Iterator[Bring]:
    on_plates = {item for dish in offered.dishes.values() for item in dish.plate}
    batches: dict[str, list[Batch]] = defaultdict(list)
    for batch in state.batches:
        batches[batch.prep].append(batch)
    need = occasion.need
    for par in known:
        if par.need != need or par.prep not in on_plates:
            continue
        station = state.book.preps[par.prep].station
        wanted = max(par.amount, par.expected)
        for batch in sorted(batches[par.prep], key=_first_to_expire):
            part = min(wanted, batch.left)
            if part > 0 and _can_be_fetched(state, batch, occasion, now):
                wanted -= part
                yield Bring(
                    station, par.prep, "prep", part, part, batch.place, occasion.set_by, batch.code, batch.use_by
                )
        if wanted > 0:
            yield Bring(station, par.prep, "prep", wanted, wanted, "", occasion.set_by)


def _goods(state: State, now: datetime, occasion: Occasion, offered: Table) -> Iterator[Bring]:
    wanted: dict[tuple[str, str], int] = defaultdict(int)
    book, known = state.book, at_sitting(state, now, occasion)
    plating = Plating(state, now, occasion)
    for dish_id in offered.dishes:
        dish, expected = book.dishes[dish_id], plating.still(dish_id, known.portions(dish_id))
        station = next(
            (book.preps[item].station for item in dish.plate if item in book.preps), next(iter(book.stations))
        )
        for item, amount in dish.plate.items():
            if item in book.goods:
                wanted[station, item] += round(amount * expected)
    for (station, item), amount in wanted.items():
        if amount:
            goods = book.goods[item]
            place = next((place.id for place in book.places.values() if place.store == goods.store), goods.store)
            yield Bring(station, item, "goods", amount, as_bought(book, item, amount), place, occasion.set_by)


def _first_to_expire(batch: Batch) -> tuple[bool, bool, object, str]:
    return batch.store == "frozen", batch.use_by is None, batch.use_by or batch.made_at, batch.code


def _can_be_fetched(state: State, batch: Batch, occasion: Occasion, now: datetime) -> bool:
    """Not held back, not another's, thawed when it is fetched, and good when the first guest to come does."""
    if batch.blocked or batch.set_aside not in ("", occasion.need):
        return False
    thaw = state.book.preps[batch.prep].thaw if batch.store == "frozen" else 0
    if now + timedelta(minutes=thaw) > max(occasion.set_by, now):
        return False
    ends = plates_until(state.book, batch)
    return ends is None or ends > max(occasion.starts, now)
