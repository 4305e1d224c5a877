"""Life: on which day a batch's count begins, and until when it is good.

The rule book's figures come from `config/rules`; here is only how they are counted. Where a date is in doubt the
earlier one is taken, because food that is thrown away a day too soon hurts nobody. A help, not the law of the
place: the local code and the kitchen's own licensed plan come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction

from prepboard.book.book import Book, Kitchen, Life, Prep, Step, Store
from prepboard.book.days import ONE_DAY
from prepboard.book.rules import RuleBook


@dataclass(frozen=True, slots=True)
class UseBy:
    """The first instant at which food may not be used, and what set it: "keeps", "date mark", "inherited",
    "packed", "time control"."""

    until: datetime
    why: str


def is_hot(step: Step, rules: RuleBook) -> bool:
    """Whether a step reaches the rule book's hot limit, compared in the unit that the recipe is written in."""
    for reached in (step.at, step.core):
        if reached is not None:
            limit = rules.degrees("hot_holding", reached.unit)
            if limit is not None and reached.degrees >= limit:
                return True
    return False


def day_one(
    recipe: Prep,
    size: Fraction,
    kitchen: Kitchen,
    *,
    started: datetime | None,
    ready: datetime,
    step_ends: dict[int, datetime] | None = None,
) -> date:
    """Day 1 of a batch: the business day on which its first step at the hot limit ended, else on which its run
    started; a step marked `life_starts` makes it earlier.

    Where nobody recorded the step (`step_ends`: index -> end), its moment is reckoned by the least times: forward
    from `started`, else back from `ready`. FDA Food Code 2022, 3-501.17(A): the day of preparation is day 1.
    """
    begin = started
    if begin is None:
        begin = ready - timedelta(minutes=sum(step.hands_minutes(size) + step.wait for step in recipe.steps))
    counts_from = begin
    for index, step in enumerate(recipe.steps):
        end = (step_ends or {}).get(index)
        if end is None:
            end = min(begin + timedelta(minutes=step.hands_minutes(size) + step.wait), ready)
        if step.life_starts:
            counts_from = begin
            break
        if is_hot(step, kitchen.rules):
            counts_from = end
            break
        begin = end
    return kitchen.days.business_day(counts_from)


def use_by(
    book: Book, prep: Prep, store: Store, first_day: date, ready: datetime, inherited: date | None = None
) -> UseBy:
    """Until when a batch is good: the earliest of all that limit it.

    `first_day` is its own day 1, `ready` the instant its run was done, `inherited` the earliest day 1 of the
    ready-to-eat food that went in. FDA Food Code 2022: 3-501.17(A) seven days with day 1 counted, 3-501.17(C)
    combined food keeps the earliest count, 3-501.19 time as a control, 3-502.12(D) seven days for what is packed
    without oxygen: the code's longer counts need a hazard plan that nobody here has seen. Day counts end at midnight.
    """
    kitchen = book.kitchen
    limits = [_own(prep.keeps.get(store) or _shortest(prep), first_day, ready, kitchen)]
    marked = kitchen.rules.days("date_mark") if store == "chilled" and prep.ready_to_eat and not prep.exempt else None
    if marked:
        limits.append(UseBy(_last_midnight(first_day, marked, kitchen), "date mark"))
        if inherited is not None:
            limits.append(UseBy(_last_midnight(inherited, marked, kitchen), "inherited"))
    sealed = kitchen.rules.days("reduced_oxygen_cook_chill") if store == "chilled" and prep.packed else None
    if sealed:
        limits.append(UseBy(_last_midnight(first_day, sealed, kitchen), "packed"))
    control = kitchen.rules.rules.get("time_control")
    if store == "time" and control is not None:
        limits.append(UseBy(ready + timedelta(minutes=int(control.value)), "time control"))
    return min(limits, key=lambda limit: limit.until)


def passes_on(prep: Prep, first_day: date, inherited: date | None) -> date | None:
    """The day 1 that a batch hands to what is made of it; None when it hands on none.

    A batch that is not ready to eat yet hands on what it got itself: a filling's count goes on through raw dough.
    """
    if prep.exempt:
        return None
    days = [day for day in (first_day if prep.ready_to_eat else None, inherited) if day is not None]
    return min(days, default=None)


def _own(keeps: Life, first_day: date, ready: datetime, kitchen: Kitchen) -> UseBy:
    if keeps.days is not None:
        return UseBy(_last_midnight(first_day, keeps.days, kitchen), "keeps")
    return UseBy(ready + timedelta(minutes=keeps.minutes or 0), "keeps")


def _shortest(prep: Prep) -> Life:
    """For a storage that the recipe says nothing about: the shortest life it names for any."""
    return min(prep.keeps.values(), key=lambda life: (life.days or 0) * 24 * 60 + (life.minutes or 0))


def _last_midnight(first_day: date, count: int, kitchen: Kitchen) -> datetime:
    return kitchen.days.midnight_after(first_day + (count - 1) * ONE_DAY)
