"""Life: on which day a batch's count begins, and until when it is good.

The rule book's figures come from `config/rules`; here is only how they are counted. Where a date is in doubt the
earlier one is taken, because food that is thrown away a day too soon hurts nobody. A help, not the law of the
place: the local code and the kitchen's own licensed plan come first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from fractions import Fraction

from msgspec import Struct

from prepboard.book.book import Book, Goods, Kitchen, Life, Prep, Step, Store
from prepboard.book.days import ONE_DAY, Days
from prepboard.book.rules import RuleBook
from prepboard.book.safety.stays import Stay, days_frozen, first_in, time_frozen

LONGEST_THAWED = timedelta(days=1)
"""For food whose recipe names a life in the freezer and no other."""


THAWED_GOODS = "thawed_goods"
"""The rule that gives goods frozen before their maker's date so many hours from their thaw."""


class UseBy(Struct, frozen=True):
    """The first instant at which food may not be used, and what set it: "keeps", "date mark", "inherited",
    "packed", "thawed", "opened", "maker's date" or "frozen before its date"."""

    until: datetime
    why: str


class Food(Struct, frozen=True):
    """What of a prep, or of goods once opened, decides how long it keeps."""

    keeps: Mapping[str, Life]
    """By storage."""
    ready_to_eat: bool
    exempt: bool = False
    """Without a date mark: exempt by evidence, or stable."""
    packed: str = ""
    own: str = "keeps"
    """What its own life is called: "keeps", of opened goods "opened"."""
    bought: bool = False


class History(Struct, frozen=True):
    """What the life of one batch is counted from. `first_day` is its own day 1, `ready` the instant at which it was
    done or opened, `inherited` the earliest day 1 of the ready-to-eat food that went in, `safety` a maker's date:
    the last day on which it is safe."""

    first_day: date
    ready: datetime
    stays: tuple[Stay, ...]
    inherited: date | None = None
    safety: date | None = None


def is_hot(step: Step, rules: RuleBook) -> bool:
    """Whether a step reaches the rule book's hot limit, compared in the unit that the recipe is written in."""
    for reached in (step.at, step.core):
        if reached is not None:
            limit = rules.degrees("hot_holding", reached.unit)
            if limit is not None and reached.degrees >= limit:
                return True
    return False


COOK_AS = {"poultry": "cook_poultry", "ground": "cook_ground", "whole": "cook_whole", "fish": "cook_whole",
           "eggs": "cook_ground", "reheat": "reheat"}  # fmt: skip
"""FDA Food Code 2022, 3-401.11(A)(1) to (3) and 3-403.11; eggs as pooled ones, the higher figure of the two."""


def cooking_key(rules: RuleBook, cook_as: str) -> str:
    """The key of the figure that a core is held to: its own, else the book's highest; "" where it names none."""
    if cook_as == "undercooked":
        return ""
    known = [key for key in ("cook_poultry", "cook_ground", "cook_whole", "cook_core") if key in rules.rules]
    own = COOK_AS.get(cook_as, "")
    if own in rules.rules:
        return own
    return max(known, key=lambda key: rules.rules[key].value, default="")


def is_kill_step(step: Step, rules: RuleBook) -> bool:
    """Whether a step cooks what is in it: a `core` at the figure of its `cook_as`, else a `core` or an `at` at the
    book's reheating figure, else its hot limit."""
    own = COOK_AS.get(step.cook_as, "")
    if step.core is not None and own in rules.rules:
        limit = rules.degrees(own, step.core.unit)
        return limit is not None and step.core.degrees >= limit
    key = "reheat" if "reheat" in rules.rules else "hot_holding"
    for reached in (step.core, step.at):
        limit = rules.degrees(key, reached.unit) if reached is not None else None
        if reached is not None and limit is not None and reached.degrees >= limit:
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
    moment = started
    if moment is None:
        moment = ready - timedelta(minutes=sum(step.hands_minutes(size) + step.wait for step in recipe.steps))
    for index, step in enumerate(recipe.steps[: steps_before_day_one(recipe, kitchen)]):
        end = (step_ends or {}).get(index)
        reckoned = moment + timedelta(minutes=step.hands_minutes(size) + step.wait)
        moment = end if end is not None else min(reckoned, ready)
    return kitchen.days.business_day(moment)


def steps_before_day_one(recipe: Prep, kitchen: Kitchen) -> int:
    """After how many of a recipe's steps day 1 begins: those up to the first at the hot limit, or before the one marked
    `life_starts` where that is earlier; none where there is neither."""
    for index, step in enumerate(recipe.steps):
        if step.life_starts:
            return index
        if is_hot(step, kitchen.rules):
            return index + 1
    return 0


def food_of(prep: Prep) -> Food:
    return Food(prep.keeps, prep.ready_to_eat, bears_no_mark(prep), prep.packed)


def bears_no_mark(prep: Prep) -> bool:
    """Stable and exempt food need no date mark, and hand on no count."""
    return prep.exempt is not None or bool(prep.stable)


def eaten_frozen(prep: Prep) -> bool:
    """Kept frozen and never thawed: an ice."""
    return prep.store == "frozen" and not prep.thaw


def opened_food(goods: Goods, rules: RuleBook) -> tuple[Food, Store]:
    """Goods once opened, and where they are kept then: what came frozen is chilled, and so is what stood on a shelf
    and is not stable.

    Chilled goods whose book says nothing of their life once open have the rule book's count. FDA Food Code 2022,
    3-501.17(B): the day on which the container is opened is day 1.
    """
    lasts = (bool(goods.stable) and goods.stable != "sealed") or (goods.exempt is not None and goods.exempt.cold)
    store: Store = "chilled" if goods.store == "frozen" or (goods.store == "ambient" and not lasts) else goods.store
    life = goods.keeps_open
    if life is None and store == "chilled" and rules.days("date_mark"):
        life = Life(days=rules.days("date_mark"))
    # What is exempt from the mark and names no life of its own has the code's count all the same.
    exempt = goods.exempt is not None and goods.keeps_open is not None
    return Food({store: life} if life else {}, goods.ready_to_eat, exempt, own="opened", bought=True), store


def good_until(kitchen: Kitchen, food: Food, history: History) -> UseBy | None:
    """Until when a batch is good: the earliest of all that limit it in any storage it has been in; None when nothing
    does.

    FDA Food Code 2022: 3-501.17(A) seven days with day 1 counted, 3-501.17(B) never past a maker's safety date,
    3-501.17(C) combined food keeps the earliest count, 3-501.18(A)(1) frozen time is not counted, 3-502.12(D) seven
    days for what is packed without oxygen: the code's longer counts need a hazard plan that nobody here has seen. Day
    counts end at midnight, hours to the minute. What ends out of temperature control stands in `holding.py`.
    """
    limits: list[UseBy] = []
    if history.safety is not None:
        limits += _makers(kitchen, food, history)
    stored = [stay.store for stay in history.stays]
    frozen_life = food.keeps.get("frozen")
    if stored[-1] == "frozen":
        # The count stands still, whether or not the recipe names a life in the freezer.
        limits += [_frozen(kitchen, frozen_life, history)] if frozen_life is not None else []
    else:
        for store in dict.fromkeys(store for store in stored if store != "frozen"):
            limits += _in_storage(kitchen, food, history, store)
    return min(limits, key=lambda limit: limit.until, default=None)


def use_by(
    book: Book,
    prep: Prep,
    store: Store,
    first_day: date,
    ready: datetime,
    inherited: date | None = None,
    safety: date | None = None,
) -> UseBy:
    """Until when a batch is good that has been in one storage since it was ready. See `good_until`."""
    history = History(first_day, ready, (Stay(store, ready),), inherited, safety)
    found = good_until(book.kitchen, food_of(prep), history)
    assert found is not None, prep.id
    control = book.kitchen.rules.rules.get("time_control")
    if store not in ("ambient", "time") or control is None or bears_no_mark(prep):
        return found
    # Kept out of control from the first: from the end of its last hot step, else from its first ingredient.
    hot = [index for index, step in enumerate(prep.steps) if is_hot(step, book.kitchen.rules)]
    later = prep.steps[hot[-1] + 1 if hot else 0 :]
    since = ready - timedelta(minutes=sum(step.hands_minutes(Fraction(1)) + step.wait for step in later))
    return min(found, UseBy(since + timedelta(minutes=int(control.value)), "time control"), key=lambda one: one.until)


def ends_by_days(book: Book, prep: Prep, first_day: date) -> datetime | None:
    """When the days end that a batch with this day 1 keeps in its own storage: of one that is ready before, no minute
    at which it is ready changes until when it is good. None where a minute may: hours count, or a freezing day."""
    life, loose = prep.keeps.get(prep.store), prep.store in ("ambient", "time") and not bears_no_mark(prep)
    if life is None or life.days is None or prep.store == "frozen" or prep.packed or loose:
        return None
    return _last_midnight(first_day, life.days, book.kitchen)


def days_once_thawed(book: Book, item: str, history: History) -> int | None:
    """Days that food in the freezer has left once it is thawed, the day of the thaw counted; None without a count of
    days, or where the book does not know it."""
    prep = book.preps.get(item)
    marked = book.kitchen.rules.days("date_mark")
    if prep is None or history.stays[-1].store != "frozen" or eaten_frozen(prep):
        return None
    life = prep.keeps.get("chilled") or _shortest(food_of(prep))
    counts = [life.days if life else None, marked if prep.ready_to_eat and not bears_no_mark(prep) else None]
    most = min((count for count in counts if count), default=None)
    if most is None:
        return None
    days = book.kitchen.days
    first_day, inherited = counted_from(days, history)
    used = (days.local(history.stays[-1].since).date() - min(first_day, inherited or first_day)).days + 1
    return max(0, most - used)


def counted_from(days: Days, history: History) -> tuple[date, date | None]:
    """Day 1 and the inherited day 1 as a count without freezing would have them: each moved on by the days frozen."""
    frozen = days_frozen(history.stays, days) * ONE_DAY
    return history.first_day + frozen, history.inherited + frozen if history.inherited else None


def passes_on(food: Food, first_day: date, inherited: date | None) -> date | None:
    """The day 1 that a batch hands to what is made of it; None when it hands on none.

    A batch that is not ready to eat yet hands on what it got itself: a filling's count goes on through raw dough.
    """
    if food.exempt:
        return None
    days = [day for day in (first_day if food.ready_to_eat else None, inherited) if day is not None]
    return min(days, default=None)


def _frozen_in_time(kitchen: Kitchen, food: Food, history: History) -> tuple[bool, datetime | None]:
    """Whether bought goods were frozen before their maker's date was over, in a book that lets them be used later for
    it; and when they were first thawed, None while they are still frozen."""
    if history.safety is None or not food.bought or THAWED_GOODS not in kitchen.rules.rules:
        return False, None
    end = kitchen.days.midnight_after(history.safety)
    frozen = next((at for at, one in enumerate(history.stays) if one.store == "frozen" and one.since < end), None)
    if frozen is None:
        return False, None
    return True, history.stays[frozen + 1].since if frozen + 1 < len(history.stays) else None


def _makers(kitchen: Kitchen, food: Food, history: History) -> list[UseBy]:
    """A maker's date; of goods frozen before it, so long from their thaw, whether or not the date is past by then."""
    assert history.safety is not None
    in_time, thawed = _frozen_in_time(kitchen, food, history)
    if not in_time:
        return [UseBy(kitchen.days.midnight_after(history.safety), "maker's date")]
    hours = timedelta(hours=int(kitchen.rules.rules[THAWED_GOODS].value))
    return [UseBy(thawed + hours, "frozen before its date")] if thawed else []


def hands_on_safety(kitchen: Kitchen, food: Food, history: History) -> date | None:
    """The maker's date that goes on to what is made of it: of goods frozen before it the last day that ends within
    their hours from the thaw."""
    in_time, thawed = _frozen_in_time(kitchen, food, history)
    if not in_time or thawed is None:
        return history.safety
    until = thawed + timedelta(hours=int(kitchen.rules.rules[THAWED_GOODS].value))
    return kitchen.days.local(until).date() - ONE_DAY


def _in_storage(kitchen: Kitchen, food: Food, history: History, store: Store) -> Iterator[UseBy]:
    """What limits food in one storage that is not frozen."""
    first_day, inherited = counted_from(kitchen.days, history)
    own = _own(kitchen, food, history, store)
    if own is not None:
        yield own
    if food.exempt:
        return
    marked = kitchen.rules.days("date_mark")
    if marked and store == "chilled" and food.ready_to_eat:
        yield UseBy(_last_midnight(first_day, marked, kitchen), "date mark")
    if marked and inherited is not None:
        yield UseBy(_last_midnight(inherited, marked, kitchen), "inherited")
    if food.packed and store == "chilled":
        yield from _sealed(kitchen, first_day, history)


def _sealed(kitchen: Kitchen, first_day: date, history: History) -> Iterator[UseBy]:
    """What is packed without oxygen: the code's days with the kitchen's own hazard plan; without one it is out of its
    package within 48 hours, freezing or not (FDA Food Code 2022, 3-502.12(F), from memory)."""
    short = kitchen.rules.rules.get("reduced_oxygen_short")
    if short is not None and kitchen.approved_plan is None:
        yield UseBy(history.ready + timedelta(hours=int(short.value)), "packed without a plan")
    if days := kitchen.rules.days("reduced_oxygen_cook_chill"):
        yield UseBy(_last_midnight(first_day, days, kitchen), "packed")


def _own(kitchen: Kitchen, food: Food, history: History, store: Store) -> UseBy | None:
    """A recipe's own life in a storage. Where it names none: the shortest it names for any, from the beginning; food
    that it knows only frozen is used within a day of its thaw (common practice, no source)."""
    life, begin = food.keeps.get(store), history.ready
    if life is not None and store != history.stays[0].store:
        begin = first_in(history.stays, store) or begin
    if life is None:
        life = _shortest(food)
        if life is None and food.keeps:
            thawed = first_in(history.stays, store) or begin
            return UseBy(thawed + LONGEST_THAWED + time_frozen(history.stays, thawed), "thawed")
    if life is None:
        return None
    if life.days is not None:
        first_day, _inherited = counted_from(kitchen.days, history)
        end = _last_midnight(first_day, life.days, kitchen)
        if end <= history.ready:
            # Made between midnight and the start of the day: the business day it was made on is not over yet.
            end = kitchen.days.opens(first_day + life.days * ONE_DAY)
        return UseBy(end, food.own)
    minutes = timedelta(minutes=life.minutes or 0)
    return UseBy(begin + minutes + time_frozen(history.stays, begin), food.own)


def _frozen(kitchen: Kitchen, life: Life, history: History) -> UseBy:
    """A frozen life counts from the first freezing, its calendar day included."""
    since = first_in(history.stays, "frozen") or history.ready
    if life.days is not None:
        return UseBy(_last_midnight(kitchen.days.local(since).date(), life.days, kitchen), "keeps")
    return UseBy(since + timedelta(minutes=life.minutes or 0), "keeps")


def _shortest(food: Food) -> Life | None:
    """For a storage that the recipe says nothing about: the shortest life it names for any but the freezer."""
    lives = [life for store, life in food.keeps.items() if store != "frozen"]
    return min(lives, key=lambda life: (life.days or 0) * 24 * 60 + (life.minutes or 0), default=None)


def _last_midnight(first_day: date, count: int, kitchen: Kitchen) -> datetime:
    return kitchen.days.midnight_after(first_day + (count - 1) * ONE_DAY)
