"""A small kitchen for the store's tests: five preps, two dishes, one dinner a day, Saturday 31 October, 14:00."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from conftest import any_plan, books_are_read_once, once

from prepboard.book.book import Book
from prepboard.clock import FixedClock
from prepboard.plan.given.state import Batch, Sitting, State
from prepboard.store.actions.loading import load_book
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import told

BOOK = Path(__file__).parent / "book"
NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)  # In Dublin the wall clock says 14:00 too: summer time is over.
TODAY = date(2026, 10, 31)

JP, LM, SOUS = Who("jp", "sauce"), Who("lm", "roast"), Who("dk", "sauce")


@dataclass
class Kitchen:
    """A file with the small book in it, and the clock that its tests move."""

    file: KitchenFile
    clock: FixedClock
    dinner: Sitting = ("dinner", TODAY)
    jp: Who = JP
    lm: Who = LM
    sous: Who = SOUS

    def once(self, name: str, did: Callable[[], object]) -> None:
        """Has something done once for all tests that begin with it: each goes on from a copy."""
        path = self.file.path

        def make() -> None:
            did()
            self.file.close()
            _LASTED[name] = self.clock.at

        if name in _LASTED:
            self.file.close()
        once(name, path, make)
        self.clock.at = _LASTED[name]
        self.file = KitchenFile.open(path, self.clock, random=Random(name))

    @property
    def state(self) -> State:
        return self.file.read()

    @property
    def book(self) -> Book:
        return self.state.book

    def later(self, **apart: float) -> datetime:
        """Moves the clock on; answers the new now."""
        self.clock.at += timedelta(**apart)
        return self.clock.at

    def batches(self, prep: str) -> list[Batch]:
        return [batch for batch in self.state.batches if batch.prep == prep]

    def batch(self, code: str) -> Batch:
        return next(batch for batch in self.state.batches if batch.code == code)

    def left(self, prep: str) -> int:
        return sum(batch.left for batch in self.batches(prep))

    def select(self, sql: str, *values: object) -> list[tuple[object, ...]]:
        with self.file.looking() as db:
            return list(db.execute(sql, values).fetchall())

    def log(self, did: str) -> list[dict[str, object]]:
        """The log's lines of one kind, oldest first, as they are read."""
        names = ("at", "by", "role", "station", "batch", "prep", "dish", "before", "after", "why")
        rows = self.select(f"SELECT {', '.join(names)} FROM log WHERE did = ? ORDER BY number", did)
        return [{name: told(str(word)) for name, word in zip(names, row, strict=True)} for row in rows]

    def size_of_tables(self) -> dict[str, int]:
        """How many rows each table has: the same before and after what changes nothing."""
        names = [str(row[0]) for row in self.select("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: int(str(self.select(f"SELECT count(*) FROM {name}")[0][0])) for name in names}


_LASTED: dict[str, datetime] = {}


_BOOKS: dict[str, Book] = {}


@pytest.fixture(scope="module", autouse=True)
def plans_are_quick() -> Generator[None]:
    """What is stored does not ask how good a plan is, nor whether its book was read before."""
    with any_plan(), books_are_read_once(_BOOKS):
        yield


@pytest.fixture
def book_folder(tmp_path: Path) -> Path:
    """A copy of the small book, for tests that change it."""
    return Path(shutil.copytree(BOOK, tmp_path / "book"))


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Kitchen]:
    """A new file without a book."""
    folder = tmp_path / "kitchen"
    folder.mkdir()
    path = folder / "kitchen.db"
    once("empty", path, lambda: KitchenFile.open(path, FixedClock(NOW), create=True).close())
    with _opened(folder) as kitchen:
        yield kitchen


@pytest.fixture(scope="session")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file into which the small book was loaded, once for all tests."""
    folder = tmp_path_factory.mktemp("loaded")
    with _opened(folder) as kitchen:
        load_book(kitchen.file, SOUS, BOOK)
    return folder / "kitchen.db"


@pytest.fixture
def kitchen(tmp_path: Path, loaded: Path) -> Iterator[Kitchen]:
    """The small kitchen with its book loaded, nothing made yet. The book lists nobody: anyone may do anything."""
    folder = tmp_path / "kitchen"
    folder.mkdir()
    shutil.copy(loaded, folder)
    with _opened(folder) as kitchen:
        yield kitchen


@contextmanager
def _opened(folder: Path) -> Iterator[Kitchen]:
    clock = FixedClock(NOW)
    kitchen = Kitchen(KitchenFile.open(folder / "kitchen.db", clock, create=True, random=Random(7)), clock)
    yield kitchen
    kitchen.file.close()


@pytest.fixture
def staffed(kitchen: Kitchen, book_folder: Path) -> Kitchen:
    """The same with people: DK is the sous chef, CC closes, JP cooks."""
    people = "".join(
        f'[people.{initials}]\nname = "{initials.upper()}."\nrole = "{role}"\n\n'
        for initials, role in (("dk", "sous"), ("cc", "closing"), ("jp", "cook"))
    )
    (book_folder / "people.toml").write_text(people, encoding="utf-8")
    kitchen.once("staffed", lambda: load_book(kitchen.file, SOUS, book_folder))
    return kitchen
