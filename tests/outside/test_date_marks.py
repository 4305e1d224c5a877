"""How long food is good, against the worked dates that authorities publish, and against a count by hand.

Sections are of the FDA Food Code 2022 unless said. Days are read as a label's last day.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from prepboard.book.book import Book, Store
from prepboard.book.days import ONE_DAY, Days
from prepboard.book.evidence import Plan
from prepboard.book.reading.reader import read_texts
from prepboard.book.safety.life import History, UseBy, food_of, good_until, opened_food
from prepboard.book.safety.stays import Stay, and_then

SOUP = """
[preps.soup]
name = "Soup"
keeps = { chilled = "30 days", frozen = "60 days" }
ready_to_eat = true
makes = "2 kg"
[preps.raw]
name = "Raw dumplings"
keeps = { chilled = "3 days", frozen = "60 days" }
makes = "2 kg"
[preps.sealed]
name = "Sealed loin"
keeps = "30 days"
packed = "vacuum"
makes = "2 kg"
[preps.rolls]
name = "Rolls, frozen"
keeps = { frozen = "60 days" }
makes = "2 kg"
[goods.tuna]
unit = "kg"
store = "chilled"
keeps_open = "30 days"
ready_to_eat = true
"""


def book_of(rules: str = "food-code-2022", zone: str = "America/New_York", text: str = SOUP) -> Book:
    head = f'time_zone = "{zone}"\nday_starts = "04:00"\nrules = "{rules}"\n'
    return read_texts({"book.toml": head + text})


BOOK = book_of()
DAYS = BOOK.kitchen.days
SOUP_FOOD = food_of(BOOK.preps["soup"])


def noon(day: str, days: Days = DAYS) -> datetime:
    return days.at(date.fromisoformat(day), time(12))


def chilled(day: str, *then: tuple[Store, str], inherited: str | None = None, safety: str | None = None) -> History:
    """Food made at noon of a day and chilled, then brought into other storages at noon of other days."""
    stays = (Stay("chilled", noon(day)), *(Stay(store, noon(on)) for store, on in then))
    return History(
        date.fromisoformat(day),
        noon(day),
        stays,
        date.fromisoformat(inherited) if inherited else None,
        date.fromisoformat(safety) if safety else None,
    )


def late_on(day: str) -> History:
    """Food made at 23:00."""
    made = DAYS.at(date.fromisoformat(day), time(23))
    return History(date.fromisoformat(day), made, (Stay("chilled", made),))


def last_day(limit: UseBy | None, book: Book = BOOK) -> date:
    """The day whose last midnight ends the food."""
    assert limit is not None
    ended = book.kitchen.days.local(limit.until)
    assert ended.time() == time()
    return ended.date() - ONE_DAY


def soup(history: History) -> UseBy:
    limit = good_until(BOOK.kitchen, SOUP_FOOD, history)
    assert limit is not None
    return limit


@pytest.mark.parametrize(
    ("section", "history", "last", "why"),
    [
        # Gilmer County health department (WV), date marking: Monday to Sunday.
        ("3-501.17(A)", chilled("2026-11-02"), "2026-11-08", "date mark"),
        # Made at 23:00 on 1 January, Conference for Food Protection 2016 I-034: both readings end on 7 January.
        ("3-501.17(A)", late_on("2026-01-01"), "2026-01-07", "date mark"),
        # University of New Hampshire Extension: chicken of 21 October with shrimp of 20 October.
        ("3-501.17(C)", chilled("2026-10-21", inherited="2026-10-20"), "2026-10-26", "inherited"),
        # Gilmer County: tuna opened, made into salad on its day 3, has 4 days left, days 4 to 7.
        ("3-501.17(C)", chilled("2026-11-04", inherited="2026-11-02"), "2026-11-08", "inherited"),
        # A leap day counts, and a year's end is no end.
        ("3-501.17(A)", chilled("2028-02-26"), "2028-03-03", "date mark"),
        ("3-501.17(A)", chilled("2027-02-26"), "2027-03-04", "date mark"),
        ("3-501.17(A)", chilled("2026-12-28"), "2027-01-03", "date mark"),
    ],
)  # fmt: skip
def test_worked_dates_of_chilled_food(section: str, history: History, last: str, why: str) -> None:
    limit = soup(history)
    assert (last_day(limit), limit.why) == (date.fromisoformat(last), why), section


@pytest.mark.parametrize(
    ("authority", "made", "frozen", "thawed", "theirs", "ours"),
    [
        # Both count the day of freezing, as prepboard does: frozen on day 3, the thaw day is day 4.
        ("Gilmer County (WV)", "2026-11-02", "2026-11-04", "2026-11-20", "2026-11-23", "2026-11-23"),
        ("Jefferson County, 4 days left", "2026-06-01", "2026-06-03", "2026-07-01", "2026-07-04", "2026-07-04"),
        # Minnesota rules before 2019, 4626.0400: seven days less the three held, from removal on.
        ("Minnesota 4626.0400", "2026-03-02", "2026-03-04", "2026-03-20", "2026-03-23", "2026-03-23"),
        # These do not count the day of freezing; the shorter reading is taken, one day less.
        ("North Carolina, cooked 1 October", "2026-10-01", "2026-10-03", "2026-10-10", "2026-10-14", "2026-10-13"),
        ("Brazos County, 5 days left", "2026-11-02", "2026-11-04", "2026-11-16", "2026-11-20", "2026-11-19"),
    ],
)  # fmt: skip
def test_freezing_stops_the_count_and_never_resets_it(
    authority: str, made: str, frozen: str, thawed: str, theirs: str, ours: str
) -> None:
    """3-501.18(A)(1): the time that food is frozen is not counted."""
    limit = soup(chilled(made, ("frozen", frozen), ("chilled", thawed)))
    assert last_day(limit) == date.fromisoformat(ours) <= date.fromisoformat(theirs), authority


def test_frozen_and_thawed_on_one_day_the_day_counts_once() -> None:
    assert last_day(soup(chilled("2026-10-01", ("frozen", "2026-10-03"), ("chilled", "2026-10-03")))) == date(
        2026, 10, 7
    )
    assert last_day(soup(chilled("2026-10-01", ("frozen", "2026-10-03"), ("chilled", "2026-10-04")))) == date(
        2026, 10, 7
    )


def test_inherited_counts_stand_still_too() -> None:
    """Made on 2 October of food of 1 October, frozen on the 3rd: the older count is at day 3, thawed it is at day 4."""
    history = chilled("2026-10-02", ("frozen", "2026-10-03"), ("chilled", "2026-10-10"), inherited="2026-10-01")
    limit = soup(history)
    assert (last_day(limit), limit.why) == (date(2026, 10, 13), "inherited")


def test_a_freezing_day_is_the_calendar_day_and_a_thaw_day_the_business_day() -> None:
    """Frozen at 01:00 on the 4th, that is day 4; thawed at 02:00 on the 10th, that is the 9th, day 5: both shorter."""
    night = (Stay("frozen", DAYS.at(date(2026, 10, 4), time(1))), Stay("chilled", DAYS.at(date(2026, 10, 10), time(2))))
    history = History(date(2026, 10, 1), noon("2026-10-01"), (Stay("chilled", noon("2026-10-01")), *night))
    assert last_day(soup(history)) == date(2026, 10, 11)


def test_while_it_is_frozen_its_frozen_life_counts_from_the_first_freezing() -> None:
    once = chilled("2026-10-01", ("frozen", "2026-10-03"))
    again = chilled("2026-10-01", ("frozen", "2026-10-03"), ("chilled", "2026-10-04"), ("frozen", "2026-10-05"))
    assert last_day(soup(once)) == last_day(soup(again)) == date(2026, 10, 3) + 59 * ONE_DAY


def test_food_that_is_only_known_frozen_is_used_within_a_day_of_its_thaw() -> None:
    """Common practice, no source: the shortest that can be meant."""
    stays = (Stay("frozen", noon("2026-10-01")), Stay("chilled", noon("2026-10-20")))
    limit = good_until(
        BOOK.kitchen, food_of(BOOK.preps["rolls"]), History(date(2026, 10, 1), noon("2026-10-01"), stays)
    )
    assert limit == UseBy(noon("2026-10-21"), "thawed")


def opened(on: str, safety: str | None = None, keeps: str = "30 days") -> UseBy | None:
    book = book_of(text=SOUP.replace('keeps_open = "30 days"', f'keeps_open = "{keeps}"'))
    food, store = opened_food(book.goods["tuna"], book.kitchen.rules)
    at = noon(on, book.kitchen.days)
    last = date.fromisoformat(safety) if safety else None
    return good_until(book.kitchen, food, History(date.fromisoformat(on), at, (Stay(store, at),), safety=last))


def test_worked_dates_of_opened_goods() -> None:
    """3-501.17(B): the day of opening is day 1, and no mark is past the maker's safety date. Opened on 19 October,
    discarded after 25 October (University of New Hampshire Extension, date marking)."""
    limit = opened("2026-10-19")
    assert limit is not None
    assert (last_day(limit), limit.why) == (date(2026, 10, 25), "date mark")
    limit = opened("2026-10-19", safety="2026-10-22")
    assert limit is not None
    assert (last_day(limit), limit.why) == (date(2026, 10, 22), "maker's date")
    limit = opened("2026-10-19", safety="2026-10-31", keeps="3 days")
    assert limit is not None
    assert (last_day(limit), limit.why) == (date(2026, 10, 21), "opened")


def test_opened_goods_without_a_life_of_their_own() -> None:
    """The rule book's count; from the dry store too, in the fridge, unless the book says that they are stable: then
    nothing limits them but a maker's date."""
    text = SOUP.replace('keeps_open = "30 days"\nready_to_eat = true', "")
    dry = 'ambient"\nstable = "dry'
    for store, days in (("chilled", 7), ("frozen", 7), ("ambient", 7), (dry, None)):
        book = book_of(text=text.replace('store = "chilled"\n', f'store = "{store}"\n'))
        food, kept = opened_food(book.goods["tuna"], book.kitchen.rules)
        assert kept == ("ambient" if store == dry else "chilled")
        limit = good_until(
            book.kitchen, food, History(date(2026, 10, 19), noon("2026-10-19"), (Stay(kept, noon("2026-10-19")),))
        )
        assert (last_day(limit, book) if limit else None) == (date(2026, 10, 18) + days * ONE_DAY if days else None)


@pytest.mark.parametrize(
    ("rules", "section", "last"),
    [
        ("ireland", "Guidance Note 15: at most 5 days", "2026-10-05"),
        ("uk", "Chilled and Frozen, 1989: no more than 5 days", "2026-10-05"),
        ("food-code-2022", "3-501.17(A): 7 days", "2026-10-07"),
        ("fsanz", "no number of days", "2026-10-30"),
    ],
)
def test_each_rule_book_has_its_own_count(rules: str, section: str, last: str) -> None:
    book = book_of(rules)
    limit = good_until(book.kitchen, food_of(book.preps["soup"]), chilled("2026-10-01"))
    assert last_day(limit, book) == date.fromisoformat(last), section


def test_packed_without_oxygen() -> None:
    """3-502.12(D)(2)(e): 7 days at 5 °C or less; frozen there is no limit (numbering from memory). (F), from memory:
    without a hazard plan it is out of its package within 48 hours, freezing or not."""
    food = food_of(BOOK.preps["sealed"])
    plan = replace(BOOK.kitchen, approved_plan=Plan("7", "City food office", date(2026, 3, 1)))
    thawed = chilled("2026-10-01", ("frozen", "2026-10-02"), ("chilled", "2026-10-12"))
    assert last_day(good_until(plan, food, chilled("2026-10-01"))) == date(2026, 10, 7)
    assert last_day(good_until(plan, food, thawed)) == date(2026, 10, 16)
    for history in (chilled("2026-10-01"), thawed):
        limit = good_until(BOOK.kitchen, food, history)
        assert limit is not None
        assert (limit.until, limit.why) == (noon("2026-10-03"), "packed without a plan")


@pytest.mark.parametrize(
    ("zone", "night", "hours"),
    [
        ("Europe/Dublin", "2026-03-29", 23),
        ("Europe/Dublin", "2026-10-25", 25),
        ("America/New_York", "2026-03-08", 23),
        ("America/New_York", "2026-11-01", 25),
        ("Australia/Lord_Howe", "2026-10-04", 23.5),
        ("Australia/Lord_Howe", "2026-04-05", 24.5),
    ],
)
def test_a_night_on_which_the_clocks_change(zone: str, night: str, hours: float) -> None:
    """A count of days ends at midnight on the wall, however long that day was (lengths by zoneinfo); one of hours is
    as many hours as ever."""
    book = book_of(zone=zone)
    days, on = book.kitchen.days, date.fromisoformat(night)
    assert (days.midnight_after(on) - days.midnight_after(on - ONE_DAY)) / timedelta(hours=1) == hours
    made = on - 3 * ONE_DAY
    limit = good_until(
        book.kitchen,
        food_of(book.preps["soup"]),
        History(made, days.at(made, time(12)), (Stay("chilled", days.at(made, time(12))),)),
    )
    assert limit is not None
    assert limit.until == datetime.combine(made + 7 * ONE_DAY, time(), ZoneInfo(zone)).astimezone(UTC)


BEGIN = datetime(2026, 10, 20, 10, 0, tzinfo=UTC)
stores = st.sampled_from(["frozen", "chilled", "frozen", "chilled", "frozen", "chilled", "frozen", "ambient", "time"])
moves = st.lists(st.tuples(stores, st.integers(0, 60)), max_size=6)


def a_history(parts: list[tuple[Store, int]], inherited: int, safety: int | None) -> History:
    stays: tuple[Stay, ...] = (Stay("chilled", BEGIN),)
    at = BEGIN
    for store, hours in parts:
        at += timedelta(hours=hours)
        stays = and_then(stays, store, at)
    first = DAYS.business_day(BEGIN)
    return History(
        first, BEGIN, stays, first - inherited * ONE_DAY, None if safety is None else first + safety * ONE_DAY
    )


def days_used(history: History, since: date, until: datetime) -> int:
    """Counted by hand: the calendar days, from `since` on, on which food was out of the freezer, until an instant."""
    last = DAYS.local(until - timedelta(seconds=1)).date()
    count, day = 0, since
    while day <= last:
        begin, end = DAYS.midnight_after(day - ONE_DAY), min(DAYS.midnight_after(day), until)
        out = day < DAYS.local(history.ready).date()
        edges = [*(stay.since for stay in history.stays[1:]), until]
        for stay, gone in zip(history.stays, edges, strict=True):
            if stay.store != "frozen" and stay.since < end and gone >= begin:
                out = True
        count += out
        day += ONE_DAY
    return count


@given(moves, st.integers(0, 5), st.none() | st.integers(0, 30))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_no_use_by_is_later_than_any_of_its_limits(parts, inherited, safety) -> None:
    """Its own life, the rule book's count from the earliest day 1 that went in, a maker's date; and no freezing and
    thawing ever lengthens the days that it is out of the freezer."""
    history = a_history(parts, inherited, safety)
    limit = soup(history)
    if history.safety:
        assert limit.until <= DAYS.midnight_after(history.safety)
    if history.stays[-1].store == "frozen":
        first = next(stay.since for stay in history.stays if stay.store == "frozen")
        assert limit.until <= DAYS.midnight_after(DAYS.local(first).date() + 59 * ONE_DAY)
        return
    earliest = min(history.first_day, history.inherited or history.first_day)
    if limit.until > history.stays[-1].since:
        assert days_used(history, earliest, limit.until) <= 7


@given(moves)
@settings(max_examples=80, deadline=None, derandomize=True)
def test_hours_out_of_the_freezer_are_never_more_than_its_own_life(parts) -> None:
    book = book_of(text=SOUP.replace('chilled = "3 days"', 'chilled = "36 h"'))
    history = a_history([part for part in parts if part[0] in ("chilled", "frozen")], 0, None)
    limit = good_until(book.kitchen, food_of(book.preps["raw"]), history)
    assert limit is not None
    if history.stays[-1].store != "frozen":
        edges = [*(stay.since for stay in history.stays[1:]), limit.until]
        out = [gone - stay.since for stay, gone in zip(history.stays, edges, strict=True) if stay.store != "frozen"]
        assert sum(out, timedelta()) <= timedelta(hours=36)
