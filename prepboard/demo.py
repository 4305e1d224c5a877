"""The demo kitchen: a shared file as it stands in the middle of a Saturday afternoon, or later that evening.

Everything in it was done through the same actions that a cook's keys call, at the moments that the stories beside its
book name; only the plates of the eight weeks before come from a seeded generator.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from random import Random

from prepboard.book.book import Book
from prepboard.book.reading.reader import read_texts
from prepboard.clock import FixedClock
from prepboard.demo_book import demo_folder, demo_texts
from prepboard.demo_story import SOUS, TODAY, ZONE, Teller, story
from prepboard.plan.demand.occasions import Occasion, Table, occasions, table
from prepboard.store.actions.loading import load_texts, set_clock
from prepboard.store.actions.past_plates import PastSitting, record_past
from prepboard.store.file.faults import StoreFault
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import ENGLISH, _

__all__ = ["NOW", "TODAY", "WEEKS_BEHIND", "ZONE", "build", "demo_folder", "go_on", "later"]

NOW = datetime(2026, 6, 13, 14, 20, tzinfo=ZONE).astimezone(UTC)
"""Lunch is over, dinner three hours and forty minutes away."""

LAST = time(23, 30)
"""The story ends here: the last of the benches closes."""

WEEKS_BEHIND = 8
A_BOARD_LOOKS = timedelta(minutes=30)
"""So often, at least, an open board kept what the evening had changed in the plan."""


def later(at: time) -> datetime:
    """The moment of the demo's Saturday at that time of its clock. ValueError in words before 14:20 and after 23:30."""
    moment = datetime.combine(TODAY, at, ZONE).astimezone(UTC)
    if not NOW <= moment <= datetime.combine(TODAY, LAST, ZONE).astimezone(UTC):
        said = _("the demo's day goes from {first} to {last}; {time} is not in it")
        first = NOW.astimezone(ZONE)
        raise ValueError(said.format(first=f"{first:%H:%M}", last=f"{LAST:%H:%M}", time=f"{at:%H:%M}"))
    return moment


def build(path: Path, *, seed: int = 7, at: datetime = NOW, language: str = ENGLISH) -> None:
    """Makes a new kitchen file at `path` whose clock reads that Saturday, `at`, and runs on from there.

    Its book is in that language, where it is written in it.

    The same seed gives the same plates, batches and amounts. StoreFault when the file cannot be made or is there
    already.
    """
    if path.exists():
        raise StoreFault(_("{file} is there already; a demo kitchen needs a new file").format(file=path))
    told = story(demo_folder() / "story.csv")
    clock = FixedClock(told[0].at)
    file = KitchenFile.open(path, clock, create=True, random=Random(seed))
    try:
        texts = demo_texts(language)
        load_texts(file, SOUS, read_texts(texts), texts)
        set_clock(file, at, SOUS)
        teller = Teller(file, clock)
        morning = file.read().book.kitchen.days.opens(TODAY)
        teller.tell(happened for happened in told if happened.at < morning)
        # The weeks behind come before today's first change, so that everybody's last one is a cook's own.
        clock.at = morning
        record_past(file, SOUS, list(_weeks_behind(file, Random(seed))))
        teller.tell(happened for happened in told if happened.at >= morning)
        teller.keep_plan(NOW)
        go_on(file, NOW, at)
    finally:
        file.close()


def go_on(file: KitchenFile, since: datetime, until: datetime) -> None:
    """What happened in the demo after `since` up to `until`, and what the boards that were open kept of it.

    The file's clock is left as it is.
    """
    clock, file.clock = file.clock, FixedClock(since)
    try:
        teller = Teller(file, file.clock)
        told = story(demo_folder() / "evening.csv")
        while since < until:
            to = min(until, since + A_BOARD_LOOKS)
            teller.tell(happened for happened in told if since < happened.at <= to)
            teller.keep_as_boards_do(to)
            since = to
    finally:
        file.clock = clock


def _weeks_behind(file: KitchenFile, random: Random) -> Iterator[PastSitting]:
    """The sittings of the weeks before today, as they might have gone."""
    state = file.read()
    days = state.book.kitchen.days
    since = days.opens(TODAY - timedelta(weeks=WEEKS_BEHIND))
    for occasion in occasions(state, since, days.opens(TODAY)):
        yield _as_it_went(state.book, occasion, random)


def _as_it_went(book: Book, occasion: Occasion, random: Random) -> PastSitting:
    """Guests come within about a tenth of what was booked, and each evening has its own liking for each dish."""
    offered = table(book, occasion)
    guests = max(1, round(occasion.covers * random.gauss(1.0, 0.09)))
    liking = {dish: float(share) * random.lognormvariate(0.0, 0.2) for dish, share in offered.own_share.items()}
    plates: Counter[str] = Counter(dict.fromkeys(offered.dishes, 0))
    for _guest in range(guests):
        plates.update(_one_guest(offered, liking, random))
    return PastSitting(occasion.service.id, occasion.day, occasion.ends, guests, dict(plates))


def _one_guest(offered: Table, liking: dict[str, float], random: Random) -> Iterator[str]:
    """The dishes that one guest takes: a menu's, and of each course it leaves open at most one."""
    draw = random.random()
    taken: set[str] = set()
    for menu in offered.menus:
        draw -= float(menu.share)
        if draw < 0:
            yield from (dish for dish in menu.dishes if dish in offered.dishes)
            taken = offered.courses(menu)
            break
    left_to_choose = {dish.course: random.random() for dish in offered.dishes.values() if dish.course not in taken}
    for dish in offered.dishes.values():
        if dish.course is None:
            whole, rest = divmod(liking[dish.id], 1)
            yield from [dish.id] * (int(whole) + (random.random() < rest))
        elif dish.course in left_to_choose and left_to_choose[dish.course] >= 0:
            left_to_choose[dish.course] -= liking[dish.id]
            if left_to_choose[dish.course] < 0:
                yield dish.id
