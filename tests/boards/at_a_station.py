"""A kitchen with a sauce bench on a real file, and somebody at the keys of its board."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import Any

import pytest
from conftest import kitchen_file
from screens import Until
from textual.pilot import Pilot
from textual.widgets import Input

from prepboard.boards.app.app import BoardApp
from prepboard.boards.station.board import StationScreen
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.clock import FixedClock
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
ANOTHER = Who("JP", "sauce")
L = 10**9

BOOK = """
[stations.sauce]
name = "Sauce"

[stations.roast]
name = "Roast"

[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 60

[goods.shallot]
name = "Shallots"
unit = "kg"

[preps.jus]
name = "Lamb [b]jus[/b]"
station = "sauce"
keeps = "5 days"
makes = "2 l"
uses = { shallot = "200 g" }
steps = [
  { do = "Sweat the shallots", hands_on = "15 min", note = "no colour" },
  { do = "Reduce", hands_on = "5 min", wait = "3 h", at = "98 C" },
]

[preps.oil]
name = "Chive oil"
station = "sauce"
keeps = "5 days"
makes = "1 l"
held_in = { bottle = "500 ml" }
steps = [{ do = "Blend", hands_on = "15 min", wait = "2 h" }]

[preps.soubise]
name = "Onion soubise"
station = "sauce"
keeps = "5 days"
makes = "3 l"
steps = [{ do = "Cook", hands_on = "10 min", wait = "1 h" }]

[preps.crumb]
name = "Rye crumb"
station = "sauce"
keeps = "5 days"
makes = "3 kg"
also_makes = { crust = "600 g" }
steps = [{ do = "Toast", hands_on = "10 min" }]

[preps.crust]
name = "Rye crust"
keeps = "2 days"

[preps.potatoes]
name = "Roast potatoes"
station = "roast"
keeps = "1 days"
makes = "5 kg"
steps = [{ do = "Roast", hands_on = "10 min", wait = "1 h" }]

[dishes.lamb]
name = "Pressed lamb"
services = ["dinner"]
course = "main"
share = 0.5
plate = { jus = "50 ml", soubise = "60 ml", crumb = "20 g", potatoes = "100 g" }

[dishes.oyster]
name = "Œufs à l'oseille"
services = ["dinner"]
course = "first"
share = 0.4
plate = { oil = "10 ml" }
"""

KITCHEN = (
    'name = "Tin Larder"\ntime_zone = "UTC"\nready_before = "0 min"\nday_starts = "04:00"\nrules = "food-code-2022"\n'
)


@pytest.fixture(scope="session")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file at 14:00 on a Saturday, into which the book was loaded, once for all tests."""
    made = kitchen_file(tmp_path_factory.mktemp("loaded"), NOW, ANOTHER, kitchen=KITCHEN, book=BOOK)
    made.close()
    return made.path


@pytest.fixture
def file(tmp_path: Path, loaded: Path) -> Iterator[KitchenFile]:
    """A file at 14:00 on a Saturday: jus, oil, soubise and crumb to make for dinner, in this order."""
    (tmp_path / "shared").mkdir()
    shutil.copy(loaded, tmp_path / "shared")
    opened = KitchenFile.open(tmp_path / "shared" / "kitchen.db", FixedClock(NOW), random=Random(1))
    yield opened
    opened.close()


@dataclass
class Desk:
    """A station with someone at its keys."""

    pilot: Pilot[None]
    file: KitchenFile
    until: Until

    @property
    def app(self) -> BoardApp:
        assert isinstance(self.pilot.app, BoardApp)
        return self.pilot.app

    @property
    def board(self) -> StationScreen:
        screen = self.app.screen_stack[0]
        assert isinstance(screen, StationScreen)
        return screen

    def names(self, list_: str) -> list[str]:
        return [row.what for row in self.board.list_of(list_).rows]

    @property
    def answer(self) -> str:
        return self.board.query_one("#answer", PlainLine).text.strip()

    @property
    def cursor(self) -> str:
        row = self.board.list_of("to-make").row
        return row.what if row else ""

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)

    async def on(self, screen: type[Any]) -> None:
        await self.until(self.pilot, lambda: isinstance(self.app.screen, screen))

    async def type(self, text: str) -> None:
        """Answers the question in sight with a text and Enter, in one go."""
        self.app.screen.query_one(Input).value = text
        await self.choose("enter")

    async def choose(self, *keys: str) -> None:
        """Presses keys, and waits until another screen than this one is in sight."""
        before = self.app.screen
        await self.pilot.press(*keys)
        await self.until(self.pilot, lambda: self.app.screen is not before)

    async def go_to(self, list_: str, name: str) -> None:
        """Puts the cursor on a row, as the arrows would."""
        rows = self.board.list_of(list_)
        rows.focus()
        rows.move_to(self.names(list_).index(name))
        await self.pilot.pause()

    async def answered(self, words: str) -> None:
        await self.until(self.pilot, lambda: words in self.answer)

    async def shows(self, list_: str, names: list[str]) -> None:
        await self.until(self.pilot, lambda: self.names(list_) == names)


JUS = "Lamb [b]jus[/b]"
ALL = [JUS, "Chive oil", "Onion soubise", "Rye crumb"]


@pytest.fixture
def desk(file: KitchenFile, until: Until) -> Callable[..., Any]:
    """Opens the sauce station's board: `async with desk(by="LM", size=(80, 24)) as it:`."""

    @asynccontextmanager
    async def opened(by: str = "LM", size: tuple[int, int] = (80, 24), shows: list[str] = ALL) -> AsyncIterator[Desk]:
        board = StationScreen(file, ("sauce",), by)
        await board.look_first()  # as the program does
        async with BoardApp(board).run_test(size=size) as pilot:
            it = Desk(pilot, file, until)
            await it.shows("to-make", shows)
            yield it

    return opened


@pytest.fixture
def another(file: KitchenFile) -> Iterator[KitchenFile]:
    """The same file, as another station holds it open."""
    opened = KitchenFile.open(file.path, FixedClock(NOW), random=Random(2))
    yield opened
    opened.close()
