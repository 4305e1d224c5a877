"""Stations as real processes: each runs a few lines of Python against one shared file."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import pytest
from conftest import any_plan, books_are_read_once, once
from stations.forked import Station

from prepboard.book.book import Book
from prepboard.clock import FixedClock
from prepboard.store.actions.loading import load_book
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

BOOK = Path(__file__).parents[1] / "store" / "book"
NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)

OPENING = f"""
import sys
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from prepboard.clock import FixedClock
from prepboard.plan.given.state import Line
from prepboard.store.file.faults import StoreFault
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.file.who import Refused, Who
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.food.stock import use
PATH = Path(sys.argv[1])
CLOCK = FixedClock(datetime.fromisoformat({NOW.isoformat()!r}))

def say(text):
    print(text, flush=True)

def ready():
    "Waits until all stations are."
    say("ready")
    sys.stdin.readline()
"""


@dataclass
class Stations:
    """Starts stations, lets them go at the same moment, and ends those that a test left behind."""

    path: Path
    started: list[Station] = field(default_factory=list)

    def open(self, code: str, *arguments: str) -> Station:
        station = Station(OPENING + code, str(self.path), *arguments)
        self.started.append(station)
        return station

    def together(self, codes: list[tuple[str, ...]]) -> list[str]:
        """Runs the stations from one moment on; answers what each said after that. A traceback fails the test."""
        stations = [self.open(*code) for code in codes]
        for station in stations:
            assert station.stdout.readline() == "ready\n", station.to_its_end()[1]
        for station in stations:
            station.stdin.write("go\n")
            station.stdin.flush()
        said = [station.to_its_end() for station in stations]
        assert [errors for _answer, errors in said] == [""] * len(said)
        return [answer for answer, _errors in said]

    def end(self) -> None:
        for station in self.started:
            station.close()


_BOOKS: dict[str, Book] = {}


@pytest.fixture(scope="module", autouse=True)
def plans_are_quick() -> Generator[None]:
    """What goes between stations and kitchens does not ask how good a plan is."""
    with any_plan(), books_are_read_once(_BOOKS):
        yield


@pytest.fixture
def new_file(tmp_path: Path) -> Iterator[Stations]:
    """A path where no file is yet."""
    stations = Stations(tmp_path / "kitchen.db")
    yield stations
    stations.end()


@pytest.fixture
def stations(new_file: Stations) -> Stations:
    """A file with the small book in it."""

    def load() -> None:
        file = KitchenFile.open(new_file.path, FixedClock(NOW), create=True)
        load_book(file, Who("dk", ""), BOOK)
        file.close()

    once("stations", new_file.path, load)
    return new_file


@pytest.fixture
def file(stations: Stations) -> Iterator[KitchenFile]:
    """The same file, open in the test's own process."""
    opened = KitchenFile.open(stations.path, FixedClock(NOW))
    yield opened
    opened.close()
