"""A made-up group of three kitchens, early on a Saturday: a van on the road, an order, a lot held back.

Everything was done by the actions that cooks press; what one kitchen knows of another went over a real PostgreSQL.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from msgspec import Struct
from psycopg.conninfo import make_conninfo

from prepboard.book.book import Temperature
from prepboard.book.reading.reader import read_texts
from prepboard.clock import FixedClock
from prepboard.demo_book import demo_folder
from prepboard.group.founding import connected, found, let_in
from prepboard.group.line import Line
from prepboard.group.shipper import one_round
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.joining import join
from prepboard.store.actions.group.orders import order
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import dispatch
from prepboard.store.actions.loading import load_texts, set_clock
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

ZONE = ZoneInfo("Europe/London")
SATURDAY = date(2026, 6, 13)
NOW = datetime(2026, 6, 13, 6, 50, tzinfo=ZONE).astimezone(UTC)
"""The early van is between its two stops."""

KITCHENS: Mapping[str, Who] = {"central": Who("im", "pots"), "quay": Who("ro", "pass"), "hill": Who("bt", "pass")}
THREE = Temperature(Fraction(3), "C")
KILO = LITRE = 1000 * 1_000_000


class Laid(Struct, frozen=True):
    """Where the demo's kitchens are: name -> file, name -> the connection string of its shipper."""

    files: Mapping[str, Path]
    urls: Mapping[str, str]


async def lay(folder: Path, office: str) -> Laid:
    """Founds the group on the PostgreSQL that `office` reaches, makes three kitchens' files in `folder`, and lets
    Friday and the early Saturday happen. Their clocks read Saturday 06:50 and run on from there."""
    with connected(office) as owner:
        found(owner)
        urls = {name: make_conninfo(office, user=let_in(owner, name)) for name in KITCHENS}
    clock = FixedClock(NOW - timedelta(hours=17))
    files = {name: _opened(folder / f"{name}.db", name, clock) for name in KITCHENS}
    try:
        for name, file in files.items():
            join(file, KITCHENS[name], urls[name])
        await _friday_and_saturday(files, urls, clock)
        for name, file in files.items():
            set_clock(file, NOW, KITCHENS[name])
        await _all_hear(files, urls)
    finally:
        for file in files.values():
            file.close()
    return Laid({name: file.path for name, file in files.items()}, urls)


async def _friday_and_saturday(files: Mapping[str, KitchenFile], urls: Mapping[str, str], clock: FixedClock) -> None:
    central, quay, hill = (files[name] for name in KITCHENS)
    order(quay, KITCHENS["quay"], "early", SATURDAY, {"shin-braise": 7 * KILO, "celeriac-cream": 4 * LITRE})
    order(hill, KITCHENS["hill"], "early", SATURDAY, {"shin-braise": 4 * KILO, "celeriac-cream": 2 * LITRE})
    await _all_hear(files, urls)
    clock.at += timedelta(hours=6)
    who = KITCHENS["central"]
    open_goods(central, who, "cream", lot="2406")
    (braise,) = done(central, who, prep="shin-braise").batches
    (cream,) = done(central, who, prep="celeriac-cream").batches
    clock.at = NOW - timedelta(minutes=30)
    for kitchen, kilos, litres in (("quay", 7, 4), ("hill", 4, 2)):
        dispatch(central, who, kitchen, braise, kilos * KILO, THREE)
        dispatch(central, who, kitchen, cream, litres * LITRE, THREE)
    await _all_hear(files, urls)
    clock.at = NOW - timedelta(minutes=5)
    for one in quay.read().transfers:
        receive(quay, KITCHENS["quay"], one.note, THREE)
    withdraw(central, who, "cream", "the dairy called it back", lot="2406", sure=True)
    clock.at = NOW
    await _all_hear(files, urls)


async def _all_hear(files: Mapping[str, KitchenFile], urls: Mapping[str, str]) -> None:
    """What each did reaches the others."""
    for _turn in range(2):
        for name, file in files.items():
            line = Line(urls[name])
            await one_round(file, line, f"demo {name}")
            await line.hang_up()


def _opened(path: Path, name: str, clock: FixedClock) -> KitchenFile:
    """A kitchen's new file, with the group's book and its own."""
    file = KitchenFile.open(path, clock, create=True, random=Random(len(name)))
    folder = demo_folder().parent / "group"
    texts = {
        one.name: one.read_text("utf-8") for one in (folder / "group.toml", *sorted((folder / name).glob("*.toml")))
    }
    load_texts(file, KITCHENS[name], read_texts(texts), texts)
    return file
