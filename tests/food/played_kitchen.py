"""The kitchen that plays of food are played in: its book, in its own ids and renamed, and a file in memory."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from prepboard.book.book import Book
from prepboard.book.reading.reader import read_book
from prepboard.clock import FixedClock
from prepboard.store.actions.loading import load_texts
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from tests.food import reckoned_facts

MONDAY = datetime(2026, 11, 2, tzinfo=UTC)
WHO = Who("ab", "kitchen")
LITRE = 1_000_000_000
Op = tuple[int, int, int, int]


HEAD = """
time_zone = "UTC"
day_starts = "04:00"
rules = "{rules}"
unread_cooling = "{unread}"
[stations.kitchen]
[services.dinner]
starts = "18:00"
ends = "23:00"
covers = 10
[dishes.bowl]
services = ["dinner"]
plate = {{ {soup} = "100 ml" }}
[places]
walk-in = {{ name = "Walk-in", store = "chilled" }}
blast-chiller = {{ name = "Blast chiller", store = "chilled" }}
freezer = {{ name = "Freezer", store = "frozen" }}
bench = {{ name = "Bench", store = "ambient" }}
cold-table = {{ name = "Cold table", store = "time", temperature = "18 C" }}
clock = {{ name = "On the clock", store = "time" }}
hot-cupboard = {{ name = "Hot cupboard", store = "hot" }}
[goods.{cream}]
name = "Cream"
{cream_was}
unit = "l"
store = "chilled"
place = "walk-in"
ready_to_eat = true
keeps_open = "5 days"
"""
PREP = """
[preps.{id}]
name = "{name}"
{was}
keeps = "{days} days"
ready_to_eat = {eaten}
place = "{place}"
{store}
makes = "10 l"
uses = {{ {uses} }}
steps = [{steps}]
"""
HOT = '{ do = "Boil", at = "95 C", wait = "10 min" }, { do = "Chill", wait = "10 min" }'
COLD = '{ do = "Mix", hands_on = "5 min" }'

DISHES = {
    "soup": reckoned_facts.Dish(hot=10, days=7, goods=("cream",)),
    "stew": reckoned_facts.Dish(hot=10, days=6),
    "salad": reckoned_facts.Dish(days=4, goods=("cream",)),
    "filling": reckoned_facts.Dish(days=3, ready_to_eat=False),
    "pie": reckoned_facts.Dish(hot=10, days=5),
    "tartare": reckoned_facts.Dish(days=1, place="clock"),
}
TAKES = {
    "soup": {"cream": 1000},
    "stew": {"soup": 1000},
    "salad": {"soup": 500, "cream": 200},
    "filling": {},
    "pie": {"filling": 1000, "salad": 200},
    "tartare": {"salad": 500},
}
NAMES = (*DISHES, "soup", "soup", "salad", "stew", "soup")
RENAMED = "potage"
CREAM = "double-cream"
"""What soup and cream are called in the other book."""

WAITS = (1, 2, 5, 14, 29, 44, 59, 61, 88, 119, 121, 179, 239, 241, 359, 700, 1440, 2881)
WARMTH = (2, 3, 4, 5, 6, 7, 8, 9, 12, 18, 20, 21, 22, 30, 40, 55, 58, 61, 63, 64, 70, 74, 80)
PLACES = tuple(reckoned_facts.STORES)
AHEAD = (0, 130, 500, 4320)


def write_book(folder: Path, rules: str, unread: str, *, renamed: bool) -> Path:
    called = {"soup": RENAMED, "cream": CREAM} if renamed else {}
    text = HEAD.format(
        rules=rules, unread=unread, soup=called.get("soup", "soup"), cream=called.get("cream", "cream"),
        cream_was='was = "cream"' if renamed else f'was = "{CREAM}"',
    )  # fmt: skip
    for name, dish in DISHES.items():
        uses = ", ".join(f'{called.get(item, item)} = "{amount} ml"' for item, amount in TAKES[name].items())
        text += PREP.format(
            id=called.get(name, name), name=name.capitalize(), days=dish.days, place=dish.place, uses=uses,
            was='was = "soup"' if name in called else 'was = "potage"' if name == "soup" else "",
            eaten="true" if dish.ready_to_eat else "false", steps=HOT if dish.hot else COLD,
            store='store = "time"' if dish.place == "clock" else "",
        )  # fmt: skip
    folder.mkdir(parents=True)
    (folder / "kitchen.toml").write_text(text, encoding="utf-8")
    return folder


@dataclass(frozen=True)
class Ready:
    """A file that plays are copied from, and the two books that it may have."""

    path: Path
    books: tuple[tuple[Book, dict[str, str]], ...]
    rules: str
    hold: bool
    compiled: dict[str, Book] = field(default_factory=dict)
    """Books that were compiled, by their digest."""


def get_ready(folder: Path, rules: str, *, hold: bool = False) -> Ready:
    unread = "hold" if hold else "count"
    books = tuple(
        read_book(write_book(folder / name, rules, unread, renamed=name == "renamed")) for name in ("book", "renamed")
    )
    path = folder / "ready.db"
    file = KitchenFile.open(path, FixedClock(MONDAY + timedelta(hours=5)), create=True, random=Random(3))
    load_texts(file, WHO, *books[0])
    file.close()
    return Ready(path, books, rules, hold)


class InMemory(KitchenFile):
    """A kitchen's file whose pages lie in memory: each action is a savepoint of one connection, so that a play waits
    for no disk. All that is in it was written by the same actions as in a file."""

    @classmethod
    def copy_of(cls, ready: Ready, clock: FixedClock) -> InMemory:
        file = cls(ready.path, clock, Random(3))
        file._books = ready.compiled
        file._reader = sqlite3.connect(":memory:", isolation_level=None)
        with contextlib.closing(sqlite3.connect(ready.path)) as db:
            db.backup(file._reader)
        file._reader.execute("PRAGMA foreign_keys = ON")
        file._reader.execute("PRAGMA recursive_triggers = ON")
        return file

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        self._reader.execute("SAVEPOINT one")
        try:
            yield self._reader
        except BaseException:
            self._reader.execute("ROLLBACK TO one")
            raise
        finally:
            self._reader.execute("RELEASE one")

    @contextmanager
    def looking(self) -> Iterator[sqlite3.Connection]:
        yield self._reader
