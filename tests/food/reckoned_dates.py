"""Dates: FDA Food Code 2022 3-501.17 and 3-501.18, a maker's date, and the days that a recipe gives."""

from __future__ import annotations

from tests.food.reckoned_facts import DAY, DAY_STARTS, STORES, Batch, Fact, Kitchen, business_day, of_place, stood


def frozen_spans(kitchen: Kitchen, batch: Batch, until: int | None = None) -> list[tuple[int, int | None]]:
    """From when to when it was frozen; None: it still is. A freezer that was read above 0 °C was none since it was last
    read at it or less, until it is read so again (3-501.11: frozen food is maintained frozen; 0 °C from memory)."""
    stays, found = stood(kitchen, batch), list[tuple[int, int | None]]()
    for index, (since, place) in enumerate(stays):
        if STORES[place] != "frozen":
            continue
        left = stays[index + 1][0] if index + 1 < len(stays) else until
        begin: int | None = since
        good: int | None = None
        for one in sorted(of_place(kitchen, place), key=lambda one: one.at):
            if one.exposed or (left is not None and one.at > left):
                continue
            frozen = one.degrees <= 0
            if frozen and one.late:
                continue  # It shows nothing.
            if frozen and begin is None and one.at >= since:
                begin = one.at
            if not frozen and begin is not None and one.at >= since:
                found.append((begin, max(begin, good if good is not None else begin)))
                begin = None
            good = one.at if frozen else good
        if begin is not None:
            found.append((begin, left))
    return found


def days_frozen(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int:
    """3-501.18(A)(1): the days strictly between a freezing and its thaw; `until` thaws what is frozen still, and what
    was frozen later is left out."""
    spans = [one for one in frozen_spans(kitchen, batch, until) if until is None or one[0] <= until]
    ends = [(since, to if until is None or to is None else min(to, until)) for since, to in spans]
    return sum(max(0, business_day(to) - since // DAY - 1) for since, to in ends if to is not None)


def own_day(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int:
    """3-501.17(A): the day of preparation is day 1: that of the first hot step's end, else of the run's start."""
    if batch.pack:
        return batch.first_day if batch.first_day is not None else business_day(batch.ready)
    days = [
        _day_of_run(kitchen, run, at) - _lay_frozen(kitchen, batch, at)
        for run, at in batch.made
        if (until is None or at <= until) and (batch.first_day is None or at > batch.righted)
    ]
    if batch.first_day is not None:
        days.append(batch.first_day)
    elif batch.whole is not None:
        days.append(own_day(kitchen, kitchen.batches[batch.whole[0]], batch.whole[1]))
    return min(days, default=business_day(batch.ready))


def _lay_frozen(kitchen: Kitchen, batch: Batch, at: int) -> int:
    """What lay frozen before something was put onto it stands still for the old alone."""
    return days_frozen(kitchen, batch, at)


def _day_of_run(kitchen: Kitchen, run: str, at: int) -> int:
    found = kitchen.runs[run]
    dish = kitchen.dishes[found.dish]
    begin = found.started if found.seen else at - dish.hot - (10 if dish.hot else 5)
    if not dish.hot:
        return business_day(begin)
    end = found.pressed if found.pressed is not None and found.pressed <= at else begin + dish.hot
    return business_day(min(end, at))


def inherited_day(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int | None:
    """3-501.17(C): combined food keeps the earliest; what was taken without a pack on record was opened then."""
    found: list[int | None] = []
    if batch.whole is not None:
        found.append(inherited_day(kitchen, kitchen.batches[batch.whole[0]], batch.whole[1]))
    for run, at in batch.made:
        if until is not None and at > until:
            continue
        went_in = [
            handed_on(kitchen, kitchen.batches[code], moment) for code, moment in kitchen.runs[run].took if moment <= at
        ]
        went_in += [business_day(moment) for _goods, moment in kitchen.runs[run].unopened if moment <= at]
        found += [day - _lay_frozen(kitchen, batch, at) for day in went_in if day is not None]
    return min((day for day in found if day is not None), default=None)


def handed_on(kitchen: Kitchen, batch: Batch, at: int) -> int | None:
    dish = kitchen.dishes.get(batch.dish)
    own = own_day(kitchen, batch, at) if batch.pack or (dish is not None and dish.ready_to_eat) else None
    days = [day for day in (own, inherited_day(kitchen, batch, at)) if day is not None]
    return min(days) + days_frozen(kitchen, batch, at) if days else None


def thawed_at(kitchen: Kitchen, batch: Batch, until: int | None = None) -> tuple[bool, int | None]:
    """Whether a pack was frozen before its date, where a code lets that be; and when it was first thawed. What is taken
    of one that is frozen still, at `until`, was thawed as it was taken."""
    if kitchen.code.thawed is None or not batch.pack or batch.safety is None:
        return False, None
    for since, to in frozen_spans(kitchen, batch, until):
        later = until is not None and since > until
        if (
            not later and since < (batch.safety + 1) * DAY and to != since
        ):  # Put into a freezer that was none it was never frozen.
            return True, to
    return False, None


def _hands_on_date(kitchen: Kitchen, batch: Batch, until: int | None) -> int | None:
    """As it was known when it went in: what a freezer is read later makes no date later that went on."""
    in_time, to = thawed_at(kitchen, batch, until)
    if not in_time or until is None or to is None or kitchen.code.thawed is None:
        return batch.safety
    return (min(until, to) + kitchen.code.thawed) // DAY - 1


def makers_day(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int | None:
    """3-501.17(B): never past a maker's safety date, its own or of what went in."""
    found = [_hands_on_date(kitchen, batch, until)]
    if batch.whole is not None:
        found.append(makers_day(kitchen, kitchen.batches[batch.whole[0]], batch.whole[1]))
    for run, at in batch.made:
        for code, moment in kitchen.runs[run].took:
            if moment <= at and (until is None or at <= until):
                found.append(makers_day(kitchen, kitchen.batches[code], moment))
    return min((day for day in found if day is not None), default=None)


def date_facts(kitchen: Kitchen, batch: Batch, at: int) -> list[Fact]:
    code = kitchen.code
    found: list[Fact] = []
    makers = makers_day(kitchen, batch)
    in_time, thawed = thawed_at(kitchen, batch)
    if makers is not None and not in_time:
        found.append(Fact(7, batch.ready, (makers + 1) * DAY))
    if in_time and kitchen.code.thawed is not None and thawed is not None and thawed <= at:
        found.append(Fact(7, batch.ready, thawed + kitchen.code.thawed))
    if any(since <= at and (to is None or to > at) for since, to in frozen_spans(kitchen, batch)):
        return found
    frozen, first = days_frozen(kitchen, batch), own_day(kitchen, batch)
    dish = kitchen.dishes.get(batch.dish)
    below = inherited_day(kitchen, batch)
    if code.days is not None:
        own = [first] if batch.pack or (dish and dish.ready_to_eat) else []
        days = [*own, *([below] if below is not None else [])]
        if days:
            found.append(Fact(8, batch.ready, (min(days) + frozen + code.days) * DAY))
    keeps = GOODS[batch.pack] if batch.pack else dish.days if dish else None
    if keeps is not None:
        end = (first + frozen + keeps) * DAY
        found.append(Fact(9, batch.ready, end if end > batch.ready else (first + keeps) * DAY + DAY_STARTS))
    return found


GOODS = {"cream": 5, "pork": 3}
"""Days that goods keep once open."""
