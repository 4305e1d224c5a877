"""The close's board on a real file: a close of sixty batches press by press, and what can come between."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from threading import current_thread

import pytest
from conftest import kitchen_file, once
from textual.pilot import Pilot
from textual.widgets import Static

from prepboard.boards.app.app import BoardApp
from prepboard.boards.closing.board import ClosingScreen
from prepboard.boards.closing.rows import NAMES
from prepboard.boards.closing.waste import WastePage
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.sure import AskTakeBack
from prepboard.boards.questions.typed import AskText
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.clock import FixedClock
from prepboard.plan.board import plan
from prepboard.plan.given.state import State
from prepboard.store.actions.food import making, stock
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 23, 12, tzinfo=UTC)
ANOTHER = Who("JP", "sauce")
L = 10**9
STATIONS = ("sauce", "roast", "pastry")

KITCHEN = """
name = "Tin Larder"
time_zone = "UTC"
ready_before = "0 min"
day_starts = "04:00"
rules = "food-code-2022"

[places.walk-in]
name = "Walk-in"
store = "chilled"

[places.freezer]
name = "Freezer"
store = "frozen"

[services.dinner]
name = "Dinner"
days = ["sat", "sun"]
starts = "18:00"
ends = "22:30"
covers = 60
"""

Until = Callable[..., Awaitable[None]]


def book_of(stays: int, ends: int, hot: int) -> str:
    """Preps that dinner needs tomorrow: `stays` that are good for it, `ends` that end at midnight, `hot` ones that
    ended at the pass; turn about at three stations."""
    kinds = [("stay", "4 days")] * stays + [("end", "1 day")] * ends + [("hot", "4 h")] * hot
    text = [f'[stations.{station}]\nname = "{station.title()}"' for station in STATIONS]
    for at, (kind, keeps) in enumerate(kinds):
        text.append(
            f'[preps.{kind}{at}]\nname = "{kind.title()} {at}"\nstation = "{STATIONS[at % 3]}"\nkeeps = "{keeps}"\n'
            f'makes = "2 l"\n[dishes.d{at}]\nname = "Dish {at}"\nservices = ["dinner"]\nshare = 0.1\n'
            f'plate = {{ {kind}{at} = "20 ml" }}'
        )
    return "\n".join(text)


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Callable[..., KitchenFile]]:
    """Makes a file at 23:12 in which every prep of such a book has so many batches, made at 19:00."""
    opened: list[KitchenFile] = []

    def make(stays: int = 3, ends: int = 2, hot: int = 2, each: int = 1) -> KitchenFile:
        path = tmp_path / f"{len(opened)}.db"

        def cooked() -> None:
            book, made_at = KITCHEN + book_of(stays, ends, hot), NOW.replace(hour=19, minute=0)
            file = kitchen_file(tmp_path / "cooked", made_at, ANOTHER, kitchen=book)
            for prep in [*file.read().book.preps] * each:
                making.done(file, ANOTHER, prep=prep)
            file.close()
            file.path.rename(path)

        once(("cooked", stays, ends, hot, each), path, cooked)
        opened.append(KitchenFile.open(path, FixedClock(NOW), random=Random(2)))
        return opened[-1]

    yield make
    for file in opened:
        file.close()


@dataclass
class Close:
    """A closing cook at the keys, who counts the presses."""

    pilot: Pilot[None]
    file: KitchenFile
    until: Until
    presses: int = 0

    @property
    def board(self) -> ClosingScreen:
        screen = self.pilot.app.screen_stack[0]
        assert isinstance(screen, ClosingScreen)
        return screen

    @property
    def state(self) -> State:
        return self.file.read()

    def names(self, list_: str) -> list[str]:
        return [row.what for row in self.board.list_of(list_).rows]

    def go_to(self, list_: str, what: str = "") -> None:
        """Puts the cursor on the row of this name, else on the first that may not be used."""
        rows = self.board.list_of(list_).rows
        self.board.list_of(list_).focus()
        self.board.list_of(list_).move_to(
            next(at for at, row in enumerate(rows) if (row.what == what if what else row.tone == "discard"))
        )

    def expired(self) -> list[str]:
        return [row.what for row in self.board.list_of("count").rows if row.tone == "discard"]

    def under_cursor(self) -> str:
        focused = self.board.focused
        row = getattr(focused, "row", None)
        return row.what if row else ""

    @property
    def answer(self) -> str:
        return self.board.query_one("#answer", PlainLine).text.strip()

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.presses += 1
            await self.pilot.press(key)

    async def take_back(self) -> None:
        await self.press("u")
        await self.until(self.pilot, lambda: isinstance(self.pilot.app.screen, AskTakeBack))
        await self.press("u")

    async def settled(self, version: int) -> None:
        """Waits until so many changes are in the file and the board shows them."""
        await self.until(self.pilot, lambda: self.board.board is not None and self.board.board.state.version >= version)
        await self.pilot.pause()


@pytest.fixture
def close(until: Until) -> Callable[..., object]:
    @asynccontextmanager
    async def opened(
        file: KitchenFile, stations: tuple[str, ...] = (), size: tuple[int, int] = (120, 36)
    ) -> AsyncIterator[Close]:
        board = ClosingScreen(file, stations, "DK")
        await board.look_first()
        async with BoardApp(board).run_test(size=size) as pilot:
            here = Close(pilot, file, until)
            await until(pilot, lambda: here.board.board is not None and here.board.focused is not None)
            yield here

    return opened


@pytest.mark.parametrize(("kinds", "decisions", "most"), [((19, 9, 2), 18, 80), ((28, 0, 2), 0, 65)])
async def test_a_close_of_sixty_batches_in_at_most_eighty_presses(kitchen, close, monkeypatch, kinds, decisions, most):
    """56 good batches: 46 as shown, five half, four none, one typed with three presses. One press for the four that
    are expired, one for each that is to decide, one for what is pulled, one for each of the three stations. The next
    part opens by itself every time.

    The board is read again only now and then here: whoever is quick needs not wait for it.
    """
    file = kitchen(*kinds, each=2)
    before = file.read()
    assert len(before.batches) == 60
    look = asyncio.Event()

    async def follow(_file, **_how):
        while True:
            yield plan(file.read(), NOW)
            await look.wait()
            look.clear()

    monkeypatch.setattr("prepboard.boards.frame.board_screen.follow", follow)
    async with close(file, size=(80, 24)) as here:

        async def done(changes: int) -> None:
            await here.until(here.pilot, lambda: here.state.version >= before.version + changes)
            look.set()
            await here.settled(before.version + changes)

        assert len(here.names("count")) == 60
        here.go_to("count")
        await here.press("ampersand")
        here.board.list_of("count").move_to(0)
        await here.press(*["space"] * 46, *["5"] * 5, *["0"] * 4, "c", "1", "enter")
        await done(57)
        assert here.names("count") == []
        to_decide = len(here.names("decide"))
        if to_decide:
            assert here.board.focused is here.board.list_of("decide"), "the next part opened by itself"
            await here.press(*["o", "x"] * (to_decide // 2))
            await done(57 + to_decide)
        if here.names("pull"):
            await here.press("tab")
        assert here.board.focused is here.board.list_of("sign")
        for n in range(3):
            await here.press("z")
            await done(57 + to_decide + n + 1)
        closing = plan(here.state, NOW).closing
        assert (closing.discard, closing.decide, here.names("count")) == ((), (), [])
        assert len(closing.carry_over) == len(here.names("carry-over")) == 56 - 4 - to_decide
        assert len(here.state.signed) == 3
        assert to_decide == decisions
        print(f"{here.presses} presses for 60 batches, {to_decide} of them to decide")
        assert here.presses <= most


async def test_the_walk_goes_place_by_place_and_has_the_expired_box_where_it_stands(kitchen, close):
    async with close(kitchen()) as here:
        rows = here.board.list_of("count").rows
        assert [(row.when, row.what, row.extra) for row in rows] == [
            ("Walk-in", "Hot 6", "Sauce"),
            ("", "End 3", "Sauce"),
            ("", "Stay 0", "Sauce"),
            ("", "End 4", "Roast"),
            ("", "Stay 1", "Roast"),
            ("", "Hot 5", "Pastry"),
            ("", "Stay 2", "Pastry"),
        ]


async def test_what_the_count_takes_away_is_use_in_service(kitchen, close):
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        here.go_to("count", "End 3")
        await here.press("5", "0")
        await here.settled(version + 2)
        left = {batch.prep: batch.left for batch in here.state.batches}
        assert left["end3"] == L
        assert "stay0" not in left
        assert here.names("count") == ["Hot 6", "End 4", "Stay 1", "Hot 5", "Stay 2"]
        with file.looking() as db:
            kinds = db.execute("SELECT DISTINCT kind FROM moves WHERE amount < 0").fetchall()
        assert kinds == [("counted",)]


async def test_a_count_belongs_to_this_close_and_is_old_once_something_went_after_it(kitchen, close):
    """Counted in the afternoon, or before a cook took more of it: it is to be counted again."""
    file = kitchen()
    codes = {batch.prep: batch.code for batch in file.read().batches}
    file.clock.at = NOW.replace(hour=19, minute=30)
    stock.count(file, ANOTHER, codes["stay1"], L)
    file.clock.at = NOW.replace(hour=23, minute=0)
    stock.count(file, ANOTHER, codes["stay0"], 2 * L)
    file.clock.at = NOW.replace(hour=23, minute=5)
    stock.use(file, ANOTHER, codes["stay1"], L // 2, "tasting")
    file.clock.at = NOW
    async with close(file) as here:
        assert "Stay 0" not in here.names("count")
        assert "Stay 1" in here.names("count")


async def test_undo_brings_back_what_was_counted_and_what_was_discarded_as_a_group(kitchen, close):
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        counted = here.names("count")
        here.go_to("count", "End 3")
        await here.press("space")
        await here.settled(version + 1)
        await here.take_back()
        await here.settled(version + 2)
        assert here.names("count") == counted
        here.go_to("count")
        await here.press("ampersand")
        await here.settled(version + 3)
        assert here.expired() == []
        assert len(here.state.batches) == 5
        await here.take_back()
        await here.settled(version + 4)
        assert sorted(here.expired()) == ["Hot 5", "Hot 6"]
        assert len(here.state.batches) == 7


async def test_a_line_that_somebody_else_dealt_with_first_is_refused_and_nothing_is_thrown_away_twice(
    kitchen, close, monkeypatch
):
    file = kitchen()
    async with close(file) as here:
        here.go_to("count")
        code = here.board.list_of("count").row.key
        monkeypatch.setattr(here.board, "_take", lambda news: None)  # this board has not seen it yet
        stock.discard(file, ANOTHER, code, None, "spoiled")
        await here.press("ampersand")
        await here.until(here.pilot, lambda: "gone already; nothing was changed" in here.answer)
        assert sorted(here.expired()) == ["Hot 5", "Hot 6"], "the lines are back until the file is read again"
        assert len(here.state.batches) == 6


async def test_what_may_not_be_used_is_neither_counted_nor_eaten(kitchen, close):
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        here.go_to("count")
        for key in ("space", "5", "0", "c", "o"):
            await here.press(key)
            assert here.answer == "It may not be used: x bins it."
        assert here.state.version == version


async def test_x_asks_why_where_nothing_says_so_and_w_asks_always(kitchen, close):
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        here.go_to("count", "End 3")
        await here.press("x")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, AskWhich))
        await here.press("s", "p", "enter")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, AskAmount))
        await here.press("enter")
        await here.settled(version + 1)
        here.go_to("count")
        await here.press("minus")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, AskWhich))
        await here.press("d", "r", "enter")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, AskAmount))
        await here.press("enter")
        await here.settled(version + 2)
        with file.looking() as db:
            whys = [why for (why,) in db.execute("SELECT why FROM moves WHERE kind = 'discarded' ORDER BY number")]
        assert whys == ["spoiled", "dropped"]


async def test_the_keys_at_the_foot_follow_the_cursor(kitchen, close):
    async with close(kitchen()) as here:
        keys = here.board.query_one("#keys", KeyLine)
        await here.until(here.pilot, lambda: keys.text.startswith(" x bin   & all alike"))  # of an expired box
        await here.press("down")
        await here.until(here.pilot, lambda: keys.text.startswith(" space as shown"))


async def test_a_typed_count_is_asked_for_and_the_line_can_be_opened(kitchen, close):
    async with close(kitchen()) as here:
        version = here.state.version
        here.go_to("count", "End 3")
        await here.press("enter")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, LineScreen))
        await here.press("escape", "c")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, AskAmount))
        await here.press("1", ".", "5", "enter")
        await here.settled(version + 1)
        assert [batch.left for batch in here.state.batches if batch.prep == "end3"] == [3 * L // 2]


async def test_a_board_of_one_station_closes_that_station(kitchen, close):
    async with close(kitchen(), ("pastry",)) as here:
        assert here.names("count") == ["Hot 5", "Stay 2"]
        assert "CLOSING + PASTRY" in here.board.query_one("#title", PlainLine).text


@pytest.mark.parametrize("size", [(44, 24), (80, 24)])
async def test_every_heading_is_in_sight_at_every_size(kitchen, close, size):
    async with close(kitchen(stays=11, ends=3, hot=1, each=2), size=size) as here:
        await here.pilot.pause()
        for name in NAMES:
            heading = here.board.query_one(f"#{name}-heading", PlainLine)
            assert heading.region.bottom <= size[1] - 2
            assert heading.region.height == 1


async def test_the_open_part_has_the_room_and_the_others_fold_to_heading_and_count(kitchen, close):
    """At 80×24: sixteen rows of the walk; every other part in one line, with how many it has."""
    async with close(kitchen(stays=11, ends=3, hot=1, each=2), size=(80, 24)) as here:
        await here.pilot.pause()
        assert here.board.list_of("count").size.height >= 13
        assert [here.board.list_of(name).size.height for name in ("decide", "pull", "sign", "carry-over")] == [0] * 4
        assert "6" in here.board.query_one("#decide-heading", PlainLine).text
        await here.pilot.click("#carry-over-heading")
        await here.until(here.pilot, lambda: here.board.list_of("carry-over").size.height >= 13)
        assert here.board.list_of("count").size.height == 0


async def test_a_close_is_left_and_gone_on_with_at_another_board_and_two_cooks_work_at_once(kitchen, close):
    file = kitchen()
    async with close(file) as one:
        version = one.state.version
        one.go_to("count", "End 3")
        await one.press("space")
        await one.settled(version + 1)
        async with close(file) as other:
            assert "End 3" not in other.names("count"), "what the one counted the other need not"
            other.go_to("count", "Stay 0")
            await other.press("space")
            await one.settled(version + 2)
            assert "Stay 0" not in one.names("count")
            assert one.under_cursor() == "Stay 1" or one.under_cursor() in one.names("count")


async def test_the_freezer_is_offered_only_where_it_gains_days_and_takes_all_of_those_at_once(kitchen, close):
    """What ends at midnight would have no day left; what keeps four days and is needed too late stands still there."""
    file = kitchen(stays=2, ends=1, hot=0)
    for prep in ("stay0", "stay1"):
        stock.use(file, ANOTHER, prep, L, "tasting")
    closing = plan(file.read(), NOW).closing
    assert [(line.batch.prep, line.freezes) for line in closing.decide] == [("end2", False)]
    async with close(file) as here:
        here.go_to("decide", "End 2")
        await here.press("h")
        assert "gains it nothing" in here.answer
        await here.press("ampersand")
        assert "Nothing here gains days" in here.answer


async def test_each_station_signs_its_own_close_once_nothing_of_it_is_left_to_discard(kitchen, close):
    """The two hot batches stand at pastry and sauce: roast may sign, pastry is refused until its one is gone."""
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        rows = {row.what: row for row in here.board.list_of("sign").rows}
        assert rows["Pastry"].words == "1 to bin, 1 to count"
        sign = here.board.list_of("sign")
        sign.focus()
        sign.move_to(2)
        await here.press("z")
        await here.until(here.pilot, lambda: "still to be discarded: Hot 5" in here.answer)
        assert here.state.version == version
        sign.move_to(1)
        await here.press("z")
        await here.settled(version + 1)
        assert [row.words for row in sign.rows if row.what == "Roast"] == ["signed, DK"]
        here.go_to("count")
        await here.press("ampersand")
        await here.settled(version + 2)
        sign.focus()
        sign.move_to(2)
        await here.press("z")
        await here.settled(version + 3)
        assert set(here.state.signed.values()) == {"DK"}
        await here.take_back()
        await here.settled(version + 4)
        assert [station for _day, station in here.state.signed] == ["roast"]


async def test_v_shows_what_was_thrown_away_by_day_week_and_month(kitchen, close, monkeypatch):
    """It is read in a thread: however long that takes, keys are answered."""
    from prepboard.store.past import waste

    read, real = [], waste.past_waste
    monkeypatch.setattr(waste, "past_waste", lambda *asked: read.append(current_thread()) or real(*asked))
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        here.go_to("count")
        await here.press("ampersand")
        await here.settled(version + 1)
        await here.press("dollar_sign")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, WastePage))
        page = here.pilot.app.screen
        text = page.query_one("#text", Static)
        await here.until(here.pilot, lambda: "expired" in str(text.content))
        assert "Sat 31 Oct" in str(text.content)
        await here.press("2")
        await here.until(here.pilot, lambda: "week of Mon 26 Oct" in str(text.content))
        await here.press("3")
        await here.until(here.pilot, lambda: "Oct 2026" in str(text.content))
        await here.press("escape")
        await here.until(here.pilot, lambda: here.pilot.app.screen is here.board)
        assert len(read) == 3
        assert current_thread() not in read


async def test_what_is_to_decide_is_kept_with_a_reason_and_frozen_only_while_it_has_a_day_left(kitchen, close):
    """A batch on its last day is refused by the freezer: nothing of its life would be left when it is thawed."""
    file = kitchen()
    async with close(file) as here:
        version = here.state.version
        decide = here.board.list_of("decide")
        decide.focus()
        decide.move_to(0)
        await here.press("h")
        await here.until(here.pilot, lambda: here.answer)
        assert here.state.version == version
        assert here.names("decide") == ["End 3", "End 4"]
        assert here.under_cursor() == "End 3", "the next key is meant for the line that was refused"
        await here.press("equals_sign")
        await here.until(here.pilot, lambda: isinstance(here.pilot.app.screen, AskText))
        await here.press(*"soup", "enter")
        await here.settled(version + 1)
        assert here.names("decide") == ["End 4"]
        carry = here.board.list_of("carry-over")
        carry.focus()
        carry.move_to([row.what for row in carry.rows].index("Stay 0"))
        await here.press("h")
        await here.settled(version + 2)
        assert [batch.store for batch in here.state.batches if batch.prep == "stay0"] == ["frozen"]


async def test_a_line_to_discard_says_when_it_ended_and_where_it_was_kept(kitchen, close):
    async with close(kitchen()) as here:
        (first, _second) = (row for row in here.board.list_of("count").rows if row.tone == "discard")
        assert first.words == f"{first.key}  expired 23:00: bin it"
        assert first.tone == "discard"
