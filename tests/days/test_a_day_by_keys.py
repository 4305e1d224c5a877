"""A day at one bench by keys alone, from the afternoon to the sign-off, on a real file; the figures of the screen are
checked against a count of its own: what was made, less what went out."""

from __future__ import annotations

import shutil
from datetime import datetime
from pathlib import Path

import pytest
from boards.at_a_station import Desk
from conftest import kitchen_file
from screens import draw_when_come_to, quick_hands, until

from prepboard.boards.app.app import BoardApp
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.dish import AskDish
from prepboard.boards.questions.sure import Sure
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.station.board import StationScreen
from prepboard.plan.board import plan
from prepboard.store.actions.handover import sign
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

KITCHEN = 'name = "Hatch"\ntime_zone = "UTC"\nday_starts = "04:00"\nrules = "food-code-2022"\nspread = 0.1\n'
BOOK = """
[stations.hot]
name = "Hot"
hours = "10:00-23:30"

[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40

[dishes.fish]
name = "Fish"
services = ["dinner"]
course = "main"
share = 0.5
plate = { cod = "1 each", sauce = "50 ml" }

[dishes.tart]
name = "Tart"
services = ["dinner"]
course = "main"
share = 0.5
plate = { pie = "1 each", sauce = "30 ml" }

[preps.cod]
name = "Cod fillets"
station = "hot"
keeps = "2 days"
makes = "24 each"
steps = [{ do = "Trim", hands_on = "20 min" }]

[preps.pie]
name = "Pies"
station = "hot"
keeps = "2 days"
makes = "24 each"
steps = [{ do = "Fill", hands_on = "30 min" }, { do = "Bake", wait = "40 min" }]

[preps.sauce]
name = "Parsley sauce"
station = "hot"
keeps = "2 days"
makes = "2 l"
steps = [{ do = "Simmer", hands_on = "10 min", wait = "20 min" }]
"""
PLATE = {"fish": {"cod": 1, "sauce": 50}, "tart": {"pie": 1, "sauce": 30}}
"""What a plate takes, in pieces and millilitres."""


class Count:
    """The count of its own: it knows what was typed, and nothing of the program."""

    def __init__(self) -> None:
        self.there: dict[str, int] = {}
        self.out = {"fish": 0, "tart": 0}

    def made(self, prep: str, amount: int) -> None:
        self.there[prep] = self.there.get(prep, 0) + amount

    def plated(self, dish: str, n: int) -> None:
        self.out[dish] += n
        for prep, amount in PLATE[dish].items():
            self.there[prep] = max(0, self.there[prep] - n * amount)

    def left(self, dish: str) -> int:
        return min(self.there.get(prep, 0) // amount for prep, amount in PLATE[dish].items())


class Day(Desk):
    """The bench through its day."""

    async def at(self, clock: str) -> None:
        """It is that time: the board works itself out anew, as it does when a minute is over."""
        self.file.clock.at = datetime.fromisoformat(f"2026-10-31T{clock}+00:00")
        self.board._take(plan(self.file.read(), self.file.clock.now()))
        await self.pilot.pause()

    def figures(self) -> dict[str, str]:
        return {row.key: row.amount for row in self.board.list_of("left").rows}

    async def plates(self, *keys: str) -> None:
        await self.press("p")
        await self.on(AskDish)
        before = dict(self.file.read().plated)
        await self.choose(*keys, "enter")
        await self.until(self.pilot, lambda: self.file.read().plated != before)

    async def go_on(self) -> None:
        """Bare s: what is due first goes on to its next step, or is done as planned."""
        before = self.file.read().version
        await self.press("s")
        await self.until(self.pilot, lambda: self._asked or self.file.read().version != before)
        if self._asked:
            await self.choose("enter")
        await self.until(self.pilot, lambda: self.file.read().version != before)
        await self.settled()

    @property
    def _asked(self) -> bool:
        return isinstance(self.app.screen, AskAmount)

    async def settled(self) -> None:
        """The board shows what the file has."""
        await self.until(self.pilot, lambda: self.board.board.state.version == self.file.read().version)
        await self.at(f"{self.file.clock.now():%H:%M}")


@pytest.fixture
def hatch(tmp_path: Path) -> KitchenFile:
    afternoon = datetime.fromisoformat("2026-10-31T14:20+00:00")
    return kitchen_file(tmp_path, afternoon, Who("LM", "hot"), seed=3, kitchen=KITCHEN, book=BOOK)


async def test_from_the_afternoon_to_the_signature(hatch: KitchenFile, monkeypatch: pytest.MonkeyPatch) -> None:
    """On the smallest screen, on which everything is hardest to find."""
    quick_hands(monkeypatch)
    draw_when_come_to(monkeypatch)
    count = Count()
    async with BoardApp(StationScreen(hatch, ("hot",), "LM")).run_test(size=(44, 24)) as pilot:
        day = Day(pilot, hatch, until)
        await until(pilot, lambda: len(day.names("to-make")) == 3)
        assert set(day.figures().values()) == {"–"}, "not made yet"

        # Everything is started; what is due goes on by s alone, and is done by d and Enter.
        for n in (1, 2, 3):
            await day.press("s")
            await until(pilot, lambda n=n: len(hatch.read().runs) == n or isinstance(day.app.screen, Sure))
            if isinstance(day.app.screen, Sure):  # it takes the hands that another line was to have
                await day.choose("y")
            await until(pilot, lambda n=n: len(hatch.read().runs) == n)
            await day.settled()
        assert day.names("to-make") == []
        for clock in ("15:20", "16:40"):
            await day.at(clock)
            while day.names("due"):
                await day.go_on()
                await day.at(clock)
        assert hatch.read().runs == ()
        for batch in hatch.read().batches:
            count.made(batch.prep, batch.left // 10**6)
        assert day.figures() == {dish: str(count.left(dish)) for dish in PLATE}

        # In service the dishes lead; plates go out, several in one dialog.
        await day.at("18:30")
        await day.plates("3", "f", "+", "2", "t")
        count.plated("fish", 3)
        count.plated("tart", 2)
        await day.settled()
        assert day.figures() == {dish: str(count.left(dish)) for dish in PLATE}
        lists = [child.id for child in day.board.query_one("#lists").children if child.id]
        assert lists.index("pair") < lists.index("to-make-section")

        # 86 and back.
        await day.go_to("left", "Fish")
        await day.press("8")
        await day.on(AskWhich)
        await day.choose("enter")
        await day.settled()
        row = next(row for row in day.board.list_of("left").rows if row.key == "fish")
        assert row.words.startswith("86 since 18:30")
        await day.go_to("left", "Fish")
        await day.press("8")
        await day.on(AskAmount)
        await day.choose("enter")
        await day.settled()

        # The rest of the evening is counted to its end; at 22:10 it is dinner still, its last plates.
        await day.at("21:55")
        await day.plates("1", "4", "f", "+", "1", "2", "t")
        count.plated("fish", 14)
        count.plated("tart", 12)
        await day.settled()
        await day.at("22:10")
        assert "last plates" in day.board.query_one("#title").text
        await day.plates("t")
        count.plated("tart", 1)
        await day.settled()
        assert day.figures() == {dish: str(count.left(dish)) for dish in PLATE}
        dinner = {dish: n for (service, _day, dish), n in hatch.read().plated.items() if service == "dinner"}
        assert dinner == count.out

        # Signed, it is over.
        sign(hatch, Who("LM", "hot"), "hot")
        await day.settled()
        assert "last plates" not in day.board.query_one("#title").text
    held = {batch.prep: batch.left // 10**6 for batch in hatch.read().batches}
    assert held == {prep: n for prep, n in count.there.items() if n}
    hatch.close()
    shutil.rmtree(hatch.path.parent)
