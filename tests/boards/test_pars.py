"""The sous chef's board on a real file: what is typed moves everything, and one key saves it or leaves it."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from conftest import kitchen_file
from msgspec.json import encode
from textual.pilot import Pilot
from textual.widgets import Input, Static

from prepboard.boards.app.app import BoardApp
from prepboard.boards.keys import of
from prepboard.boards.pages.line_read import Look
from prepboard.boards.pages.sales import Sales
from prepboard.boards.pars import typed_numbers
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.pars.changes_page import Changes
from prepboard.boards.pars.menus import Menu
from prepboard.boards.questions.all_keys import AllKeys
from prepboard.boards.questions.mine_or_theirs import MineOrTheirs
from prepboard.boards.questions.sure import Sure
from prepboard.boards.questions.typed import AskText
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.widgets.columns import ColumnRow
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.clock import FixedClock
from prepboard.plan.given.state import Tonight
from prepboard.store.actions.food import making
from prepboard.store.actions.night import tonight
from prepboard.store.file.who import Who
from prepboard.store.health.upkeep import CHECKED, Checked
from prepboard.store.health.whole import Since
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 15, 0, tzinfo=UTC)
DAY = date(2026, 10, 31)
DINNER = ("dinner", DAY)
LUNCH = ("lunch", date(2026, 11, 1))
L = 10**9

BOOK = """
[stations.sauce]
name = "Sauce"

[stations.roast]
name = "Roast"

[equipment.deck]
name = "Deck oven"

[goods.leeks]
name = "Leeks"
unit = "kg"

[people.dk]
name = "Dana"
role = "sous"

[people.jp]
name = "Jo"
role = "sous"

[people.cc]
name = "Casey"
role = "cook"

[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 62

[services.lunch]
name = "Lunch"
on = "2026-11-01"
starts = "12:00"
ends = "15:00"
covers = 40

[preps.jus]
name = "Lamb [b]jus[/b]"
station = "sauce"
keeps = "5 days"
makes = "2 l"
steps = [{ do = "Reduce", hands_on = "20 min", wait = "1 h" }]

[preps.terrine]
name = "Leek terrine"
station = "sauce"
keeps = "5 days"
makes = "10 each"
uses = { leeks = "2 kg" }
steps = [{ do = "Press", hands_on_each = "10 min", wait = "2 h 10 min" }]

[preps.stock]
name = "Brown stock"
station = "sauce"
keeps = "5 days"
makes = "8 l"
par = "5 l"
steps = [{ do = "Simmer", hands_on = "10 min", wait = "1 h" }]

[dishes.lamb]
name = "Pressed lamb"
services = ["dinner"]
course = "main"
share = 0.5
plate = { jus = "50 ml" }

[dishes.leek]
name = "Leek"
services = ["dinner", "lunch"]
course = "main"
share = 0.25
plate = { terrine = "1 each" }

[dishes.perch]
name = "Perch"
services = ["dinner"]
course = "main"
share = 0.25
plate = { jus = "20 ml" }
"""

KITCHEN = (
    'name = "Tin Larder"\ntime_zone = "UTC"\nready_before = "0 min"\nday_starts = "04:00"\nrules = "food-code-2022"\n'
)

Until = Callable[..., Awaitable[None]]


@pytest.fixture(scope="module")
def before_dinner(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file at 15:00 on a Saturday, before a dinner of 62 and a lunch of 40; made once for all tests."""
    made = kitchen_file(tmp_path_factory.mktemp("before-dinner"), NOW, Who("dk", ""), kitchen=KITCHEN, book=BOOK)
    made.close()
    return made.path


@pytest.fixture
def path(tmp_path: Path, before_dinner: Path) -> Path:
    """A copy of that file, in a folder of its own."""
    (tmp_path / "shared").mkdir()
    return Path(shutil.copy(before_dinner, tmp_path / "shared"))


@pytest.fixture
def file(path: Path) -> Iterator[KitchenFile]:
    opened = KitchenFile.open(path, FixedClock(NOW))
    yield opened
    opened.close()


@dataclass
class Desk:
    """A sous chef's board with someone at its keys."""

    pilot: Pilot[None]
    file: KitchenFile
    wait: Until

    async def until(self, holds: Callable[[], object]) -> None:
        await self.wait(self.pilot, holds)

    @property
    def board(self) -> ParsScreen:
        screen = self.pilot.app.screen_stack[0]
        assert isinstance(screen, ParsScreen)
        return screen

    async def press(self, *keys: str) -> None:
        """Presses keys and waits until the board has caught up with them."""
        await self.pilot.press(*keys)
        await self.until(lambda: not self.board.typed._behind and not self.board.typed.catching_up)

    async def menu(self, key: str, *keys: str) -> None:
        """Opens the menu of the line, takes what has this key there, and presses further keys."""
        await self.pilot.press("full_stop")
        await self.until(lambda: isinstance(self.pilot.app.screen, Menu))
        await self.pilot.press(key)
        app: Any = self.pilot.app
        await self.until(lambda: not isinstance(app.screen, Menu) and not app.presses.undecided)
        await self.press(*keys)

    def rows(self, list_: str) -> dict[str, ColumnRow]:
        return {row.what: row for row in self.board.list_of(list_).rows if isinstance(row, ColumnRow)}

    def cells(self, list_: str, what: str) -> list[str]:
        return [cell.text for cell in self.rows(list_)[what].cells]

    def says(self, id: str) -> str:
        return self.board.query_one(f"#{id}", PlainLine).text

    @property
    def here(self) -> str | None:
        focused = self.board.focused
        return getattr(focused, "cursor", None)

    @property
    def tonight(self) -> Tonight:
        return self.file.read().tonight.get(DINNER, Tonight())


Open = Callable[..., object]


@pytest.fixture
def board(file: KitchenFile, until: Until) -> Open:
    @asynccontextmanager
    async def opened(
        by: str = "DK", on: KitchenFile | None = None, size: tuple[int, int] = (120, 36)
    ) -> AsyncIterator[Desk]:
        screen = ParsScreen(on or file, "", by)
        await screen.look_first()
        async with BoardApp(screen).run_test(size=size) as pilot:
            await until(pilot, lambda: screen.typed.preview is not None and screen.list_of("services").rows)
            yield Desk(pilot, on or file, until)

    return opened


# Seen before it is saved


async def test_everything_moves_as_a_number_is_typed_and_nothing_is_saved(board: Open) -> None:
    async with board() as desk:
        before = desk.cells("numbers", "Lamb [b]jus[/b]")[1]
        await desk.press("9")
        assert desk.cells("services", "Dinner")[1:3] == ["[ 9 ]", "62"]
        await desk.press("4")
        assert desk.cells("services", "Dinner")[1:3] == ["[ 94 ]", "62"]
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[1] != before
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[3].startswith("+")
        assert "IF YOU SAVE" in desk.says("if-you-save")
        assert "10 min more work until Sun Lunch: Sauce" in desk.says("if-you-save")
        assert desk.tonight == Tonight()


async def test_enter_saves_all_of_it_and_one_undo_takes_it_back(board: Open) -> None:
    async with board() as desk:
        await desk.press("9", "4", "down", "7", "0", "enter")
        await desk.until(lambda: desk.tonight.covers == 94)
        assert desk.file.read().tonight[LUNCH].covers == 70
        await desk.until(lambda: desk.cells("services", "Dinner")[1:3] == ["94  ", ""])
        await desk.until(lambda: "NOTHING TYPED" in desk.says("if-you-save"))
        await desk.press("u")
        await desk.until(lambda: desk.pilot.app.screen is not desk.board)
        await desk.pilot.press("u")
        await desk.until(lambda: desk.tonight == Tonight())
        assert LUNCH not in desk.file.read().tonight


async def test_a_number_far_above_what_is_usual_is_asked_about_once(board: Open) -> None:
    async with board() as desk:
        await desk.press("9", "9", "9", "9", "enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Sure))
        asked = str(desk.pilot.app.screen.query_one(".title").render())
        assert asked.startswith("more than three times what is usual: Dinner Sat, covers: 9999, usually 62")
        await desk.pilot.press("escape")
        await desk.until(lambda: desk.pilot.app.screen is desk.board)
        assert desk.tonight == Tonight()
        await desk.press("enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Sure))
        await desk.pilot.press("enter" if "enter" in yes_keys() else yes_keys()[0])
        await desk.until(lambda: desk.tonight.covers == 9999)


def yes_keys() -> list[str]:
    return next(key.keys.split(",") for key in of("sure") if key.action == "yes")


async def test_a_number_that_was_saved_while_the_plan_lagged_behind_is_never_shown_as_it_was(
    board: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The preview of what was typed comes after the save, and the file's own board after that."""
    saved, at_once = threading.Event(), typed_numbers.plan
    shown: list[str] = []

    def late(state: Any, now: Any, **more: Any) -> Any:
        saved.wait(5)
        return at_once(state, now, **more)

    async with board() as desk:
        monkeypatch.setattr(typed_numbers, "plan", late)
        monkeypatch.setattr("screens.LONG", 0.1)  # No press waits for that plan.
        put = desk.board.put
        monkeypatch.setattr(desk.board, "put", lambda: (put(), shown.append(desk.cells("services", "Dinner")[1]))[0])
        await desk.pilot.press("9", "4", "enter")
        await desk.until(lambda: desk.tonight.covers == 94)
        saved.set()
        await desk.until(
            lambda: DINNER in desk.board.board.state.tonight and shown and not desk.board.typed.catching_up
        )
        assert {cell.strip(" []") for cell in shown} == {"94"}
        assert shown[-1] == "94  "


async def test_escape_leaves_the_number_as_it_was_and_then_all_of_them(board: Open) -> None:
    async with board() as desk:
        before = desk.rows("numbers")
        await desk.press("9", "4", "down", "7", "0", "escape")
        assert desk.cells("services", "Dinner")[1] == "[ 94 ]"
        assert desk.cells("services", "Sun Lunch")[1].strip() == "40"
        await desk.press("7", "0", "up", "escape")
        assert desk.rows("numbers") == before
        assert desk.board.typed.drafting.draft == {}
        assert "2 numbers typed are dropped" in desk.says("answer")
        assert desk.tonight == Tonight()


async def test_what_is_no_number_is_said_and_changes_nothing(board: Open) -> None:
    async with board() as desk:
        await desk.press("9", "x")
        said = desk.board.entry.query_one("#number-was").render()
        assert "is no number" in str(said)
        assert desk.cells("services", "Dinner")[1] == "[ 9 ]"
        await desk.press("backspace", "backspace", "tab")
        assert desk.board.typed.drafting.draft == {}


async def test_what_becomes_late_is_said_and_listed(board: Open) -> None:
    """A terrine takes 2 h 20 for one recipe and 10 min more for each further: at 15:00 eleven recipes are too many."""
    async with board() as desk:
        assert desk.rows("late") == {}
        await desk.press("4", "0", "0")
        said = desk.says("if-you-save")
        assert re.search(r"Dinner: no Leek terrine before 19:\d\d; \d\d guests", said.splitlines()[0]), (
            "the worst first"
        )
        late = desk.rows("late")["Leek terrine"]
        assert late.tone == "late"
        assert late.words.startswith("ready ")


async def test_fewer_covers_say_what_is_left_over_and_until_when(board: Open, file: KitchenFile) -> None:
    making.done(file, Who("dk", "sauce"), prep="terrine", outputs={"terrine": 30 * 10**6})
    async with board() as desk:
        await desk.press("2", "0")
        assert "more left over: " in desk.says("if-you-save")
        assert "Leek terrine, good to Wed" in desk.says("if-you-save")


# Every kind of number


async def test_a_par_by_hand_and_free_again(board: Open) -> None:
    async with board() as desk:
        await desk.press("tab", "down")
        assert desk.here == "par jus"
        await desk.menu("h", *"2.5", "space", "l")
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[1] == "[ 2.5 l ]"
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[2] == "", "lamb and perch take different amounts of it"
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[4] == "by hand, 99 in 100"
        await desk.press("enter")
        await desk.until(lambda: desk.tonight.pars == {"jus": 5 * L // 2})
        await desk.until(lambda: desk.cells("numbers", "Lamb [b]jus[/b]")[1] == "2.5 l")
        await desk.menu("f")
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[4].startswith("mix")
        await desk.press("enter")
        await desk.until(lambda: desk.tonight == Tonight())


async def test_the_mix_scales_the_other_dishes_of_the_course(board: Open) -> None:
    async with board() as desk:
        await desk.press("right", "5", "0")  # not the shares that 5 alone had made of the others
        assert desk.board.typed.drafting.draft == {}
        await desk.press("backspace", "backspace", "4", "0")
        assert [desk.cells("numbers", dish)[1] for dish in ("Pressed lamb", "Leek", "Perch")] == [
            "[ 40 % ]",
            "[ 30 % ]",
            "[ 30 % ]",
        ]
        await desk.press("enter")
        await desk.until(lambda: desk.tonight.shares.get("lamb") == Fraction(2, 5))
        assert desk.tonight.shares == {"lamb": Fraction(2, 5), "leek": Fraction(3, 10), "perch": Fraction(3, 10)}
        await desk.press("left")
        assert "Leek terrine" in desk.rows("numbers")


async def test_a_fixed_count_a_percentage_and_a_standing_par(board: Open) -> None:
    async with board() as desk:
        await desk.press("right")
        await desk.menu("k", "1", "2", "tab")
        assert desk.cells("numbers", "Pressed lamb")[3:5] == ["[ 12 ]", "12"]
        await desk.press("left")
        await desk.menu("a", "minus", "1", "0", "tab")
        assert "all pars -10 %" in desk.cells("services", "Dinner")[5]
        await desk.press("tab", "end")
        await desk.menu("s", "6", "tab")
        assert desk.here == "par stock"
        assert desk.cells("numbers", "Brown stock")[1] == "[ 6 l ]"
        await desk.press("enter")
        await desk.until(lambda: desk.tonight == Tonight(percent=-10, counts={"lamb": 12}))
        assert desk.file.read().standing == {"stock": 6 * L}


async def test_another_service_shows_its_own_pars(board: Open) -> None:
    async with board() as desk:
        assert list(desk.rows("numbers")) == ["Leek terrine", "Lamb [b]jus[/b]", "Brown stock"]
        await desk.press("down")
        assert desk.says("numbers-heading").strip().startswith("PARS FOR SUN LUNCH")
        assert "Lamb [b]jus[/b]" not in desk.rows("numbers")


async def test_a_line_can_be_looked_into(board: Open) -> None:
    async with board() as desk:
        await desk.press("tab")
        await desk.menu("o")
        assert isinstance(desk.pilot.app.screen, Look)


async def test_what_the_dishes_of_a_line_sold_lately_can_be_looked_at(board: Open) -> None:
    async with board() as desk:
        await desk.press("tab")
        await desk.menu("c")
        assert isinstance(desk.pilot.app.screen, Sales)
        said = "\n".join(str(part.content) for part in desk.pilot.app.screen.query(Static))
        assert "No service of it has been learned yet." in said


async def test_a_special_day_is_marked_and_unmarked(board: Open) -> None:
    async with board() as desk:
        await desk.menu("y")
        await desk.until(lambda: desk.tonight.special)
        await desk.until(lambda: desk.board.board.state.tonight.get(DINNER, Tonight()).special)
        await desk.menu("y")
        await desk.until(lambda: not desk.tonight.special)


async def test_a_new_recipe_is_asked_for_by_dish(board: Open, file: KitchenFile) -> None:
    async with board() as desk:
        await desk.press("right")
        await desk.menu("z")
        await desk.until(lambda: file.read().resets)


# What is different today


async def test_a_cook_sick_an_oven_dead_goods_missing(board: Open) -> None:
    async with board() as desk:
        await desk.press("left")
        assert list(desk.rows("numbers")) == [
            "Sauce, cooks",
            "Roast, cooks",
            "Deck oven, places that work",
            "Leeks missing until",
        ]
        await desk.press("0")
        assert desk.cells("numbers", "Sauce, cooks")[1:] == ["[ 0 ]", "1", "1"]
        assert set(desk.rows("late")) == {"Leek terrine", "Lamb [b]jus[/b]", "Brown stock"}
        assert "Dinner: no Leek terrine; 16 guests" in desk.says("if-you-save")
        await desk.press("down", "down", "0", "down", *"17:00", "enter")
        await desk.until(lambda: desk.file.read().hands == {("sauce", DAY): 0})
        state = desk.file.read()
        assert state.equipment == {("deck", DAY): 0}
        assert state.missing == {"leeks": datetime(2026, 10, 31, 17, 0, tzinfo=UTC)}
        await desk.until(lambda: desk.cells("numbers", "Leeks missing until")[1] == "missing until 17:00")
        await desk.press("end")
        await desk.menu("f", "enter")
        await desk.until(lambda: desk.file.read().missing == {})


async def test_a_sitting_cancelled_and_held_after_all(board: Open) -> None:
    async with board() as desk:
        await desk.press("down")
        await desk.menu("x")
        assert desk.cells("services", "Sun Lunch")[5] == "[ cancelled ]"
        assert "more left over: 10 Leek terrine" in desk.says("if-you-save")  # a quarter of 40 guests
        await desk.press("enter")
        await desk.until(lambda: desk.file.read().tonight.get(LUNCH) == Tonight(cancelled=True))
        await desk.until(lambda: desk.cells("services", "Sun Lunch")[5] == "cancelled")
        assert desk.here == "lunch.2026-11-01"
        await desk.menu("x")
        assert desk.cells("services", "Sun Lunch")[1].strip() == "40"
        await desk.press("enter")
        await desk.until(lambda: not desk.file.read().tonight[LUNCH].cancelled)


async def test_a_sitting_more(board: Open) -> None:
    async with board() as desk:
        await desk.press("plus", *"Late", "space", *"22:30-23:45", "space", *"x", "enter")
        assert "write it like" in str(desk.pilot.app.screen.query_one(".fault").render())
        await desk.pilot.press("backspace", "2", "0", "enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
        assert "Late" not in desk.rows("services"), "what it changes is shown first"
        await desk.pilot.press("enter")
        await desk.until(lambda: "Late" in desk.rows("services"))
        assert desk.cells("services", "Late")[1].strip() == "20"
        await desk.press("down", "down", "plus", *"dinner", "space", *"30", "enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
        await desk.pilot.press("enter")
        await desk.until(lambda: "Sun Dinner" in desk.rows("services"))
        assert desk.file.read().tonight["dinner", date(2026, 11, 1)].covers == 30
        for answer, added in (("escape", False), (yes_keys()[0], True)):
            await desk.press("plus", *"Feast", "space", *"22:30-23:45", "space", *"900", "enter")
            await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
            await desk.pilot.press("enter")
            await desk.until(lambda: isinstance(desk.pilot.app.screen, Sure))
            asked = str(desk.pilot.app.screen.query_one(".title").render())
            assert asked.startswith("900 covers is more than three times what is usual, ")
            await desk.pilot.press(answer)
            await desk.until(lambda: desk.pilot.app.screen is desk.board)
            if added:
                await desk.until(lambda: len(desk.file.read().added) == 3)
            else:
                assert len(desk.file.read().added) == 2


async def test_a_dish_taken_off_needs_a_reason_and_comes_back_at_once(board: Open) -> None:
    async with board() as desk:
        await desk.press("right")
        await desk.menu("x", *"dropped", "enter")
        await desk.until(lambda: desk.tonight.why_off == {"lamb": "dropped"})
        await desk.until(lambda: desk.cells("numbers", "Pressed lamb")[7] == "86: dropped")
        await desk.until(lambda: "86: Pressed lamb" in desk.says("title"))
        await desk.menu("x")
        assert desk.cells("numbers", "Pressed lamb")[7] == "[ back ]"
        await desk.press("enter")
        await desk.until(lambda: desk.tonight.off == frozenset())
        await desk.until(lambda: "86" not in desk.says("title"))


async def test_a_prep_given_to_another_bench_and_a_smaller_portion(board: Open) -> None:
    async with board() as desk:
        await desk.press("tab")
        await desk.menu("g", *"ro")
        par, plates = desk.cells("numbers", "Leek terrine")[1:3]
        assert par == str(plates), "a plate takes one"
        assert desk.cells("numbers", "Leek terrine")[9].endswith(", Roast makes it")
        assert "as much work in all until Sun Lunch: Sauce −30 min, Roast +30 min" in desk.says("if-you-save")
        await desk.press("down")
        await desk.menu("p")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, AskWhich))
        await desk.pilot.press("p", "r", "enter")
        await desk.until(lambda: desk.board.entry.open)
        await desk.press(*"40", "space", *"ml", "enter")
        await desk.until(lambda: desk.file.read().given == {("terrine", DAY): "roast"})
        assert desk.file.read().portions == {(DAY, "lamb", "jus"): 40 * 10**6}


# Who, and how it ends


async def test_a_cook_is_told_that_only_a_sous_chef_may(board: Open) -> None:
    async with board(by="CC") as desk:
        await desk.press("9", "4", "enter")
        await desk.until(lambda: "only a sous chef may do that" in desk.says("answer"))
        assert desk.tonight == Tonight()
        assert len(desk.board.typed.drafting.draft) == 1


async def test_initials_are_asked_once_before_the_first_save(board: Open) -> None:
    async with board(by="") as desk:
        await desk.press("9", "4", "enter")
        await desk.until(lambda: desk.pilot.app.screen is not desk.board)
        await desk.pilot.press(*"dk", "enter")
        await desk.until(lambda: desk.tonight.covers == 94)


async def test_closing_with_numbers_typed_asks_once(board: Open) -> None:
    async with board() as desk:
        await desk.press("9", "tab", "q")
        assert "1 number is not saved" in desk.says("answer")
        await desk.pilot.press("q")
        await desk.until(lambda: desk.pilot.app._exit)


async def test_the_keys_say_what_enter_does_here(board: Open) -> None:
    async with board() as desk:
        await desk.press("question_mark")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, AllKeys))
        rows = {row.when: row.words for row in desk.pilot.app.screen.query_one("#all-keys", LineList).rows}
        assert rows["enter"].startswith("save all that was typed, as one")
        assert rows["0 to 9"] == "begins to type the number of this line"
        assert "open the line: the recipe for this run, and why this much" not in rows.values()


@pytest.mark.parametrize("size", [(44, 24), (80, 24)])
async def test_every_list_has_room_whatever_the_screen(board: Open, size: tuple[int, int]) -> None:
    async with board(size=size) as desk:
        await desk.press("4", "0", "0")
        for name in ("services", "numbers", "late"):
            list_ = desk.board.list_of(name)
            assert list_.size.height >= list_.lines, name
            assert list_.size.height % list_.lines == 0, name
        assert desk.board.query_one("#keys").region.bottom == size[1]
        assert desk.board.entry.region.height == 1
        assert desk.board.query_one("#if-you-save").region.bottom <= size[1] - 2


# Live, and two at once


async def test_what_others_do_moves_neither_cursor_nor_draft(board: Open, file: KitchenFile) -> None:
    async with board() as desk:
        await desk.press("tab", "down")
        await desk.menu("h", *"2.5", "tab", "end")
        assert desk.here == "par stock"
        before = desk.board.typed.drafting.draft
        making.done(file, Who("cc", "sauce"), prep="terrine", outputs={"terrine": 30 * 10**6})
        await desk.until(lambda: desk.cells("numbers", "Leek terrine")[6] == "30")
        assert desk.board.typed.drafting.draft == before
        assert desk.here == "par stock"
        assert desk.cells("numbers", "Lamb [b]jus[/b]")[1] == "[ 2.5 l ]"


async def test_a_number_being_typed_stays_while_the_file_changes(board: Open, file: KitchenFile) -> None:
    async with board() as desk:
        await desk.press("9")
        tonight.adjust(file, Who("jp", ""), DINNER, 10)
        await desk.until(lambda: "all pars +10 %" in desk.cells("services", "Dinner")[5])
        await desk.press("4")
        assert desk.cells("services", "Dinner")[1] == "[ 94 ]"
        assert desk.board.entry.open


async def test_two_sous_chefs_the_second_to_save_chooses(board: Open, path: Path, file: KitchenFile) -> None:
    """Two boards on one file. Nothing is overwritten unseen, whichever of the two numbers is taken."""
    other = KitchenFile.open(path, FixedClock(NOW))
    async with board(by="DK") as mine, board(by="JP", on=other) as theirs:
        await mine.press("9", "4", "tab", "down", "7", "5", "tab")
        await theirs.press("8", "0", "enter")
        await theirs.until(lambda: theirs.tonight.covers == 80)
        await mine.until(lambda: "changed meanwhile" in mine.says("if-you-save"))
        said = " ".join(mine.says("if-you-save").split())
        assert "Dinner, covers is 80 (JP, 15:00), you typed 94; enter asks which counts" in said
        await mine.until(lambda: mine.cells("services", "Dinner")[1:3] == ["[ 94 ]", "80"])
        await mine.press("enter")
        await mine.until(lambda: isinstance(mine.pilot.app.screen, MineOrTheirs))
        await mine.pilot.press("escape")
        await mine.until(lambda: "Nothing was saved" in mine.says("answer"))
        assert mine.tonight.covers == 80
        await mine.press("enter")
        await mine.until(lambda: isinstance(mine.pilot.app.screen, MineOrTheirs))
        await mine.pilot.press("m")
        await mine.until(lambda: mine.tonight.covers == 94)
        assert file.read().tonight[LUNCH].covers == 75
        await theirs.until(lambda: theirs.cells("services", "Dinner")[1].strip() == "94")
    other.close()


async def test_theirs_may_stay(board: Open, path: Path) -> None:
    other = KitchenFile.open(path, FixedClock(NOW))
    async with board(by="DK") as mine:
        await mine.press("9", "4", "tab")
        tonight.covers(other, Who("JP", ""), DINNER, 80)
        await mine.until(lambda: "changed meanwhile" in mine.says("if-you-save"))
        await mine.press("enter")
        await mine.until(lambda: isinstance(mine.pilot.app.screen, MineOrTheirs))
        await mine.pilot.press("t")
        await mine.until(lambda: "Theirs stays" in mine.says("answer"))
        await mine.until(lambda: mine.cells("services", "Dinner")[1].strip() == "80")
        assert mine.tonight.covers == 80
    other.close()


async def test_what_changed_before_the_screen_could_show_it_is_refused_by_the_file(
    board: Open, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = KitchenFile.open(path, FixedClock(NOW))
    async with board(by="DK") as mine:
        await mine.press("9", "4", "tab")
        stands = mine.board.board
        monkeypatch.setattr(mine.board, "show", lambda board: None)  # this screen shows nothing newer any more
        tonight.covers(other, Who("JP", ""), DINNER, 80)
        await mine.until(lambda: mine.board.board is not stands)
        mine.board.board = stands
        await mine.press("enter")
        await mine.until(lambda: "not saved, changed meanwhile" in mine.says("answer"))
        assert "80 (JP, 15:00)" in mine.says("answer")
        assert mine.tonight.covers == 80
    other.close()


async def test_a_note_on_a_service_names_its_guests_and_stands_on_its_row(board: Open) -> None:
    async with board() as desk:
        await desk.pilot.press("n")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, AskText))
        desk.pilot.app.screen.query_one(Input).value = "table 12: no nuts"
        await desk.pilot.press("enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, AskWhich))
        await desk.pilot.press("enter")  # The sitting under the cursor stands first.
        await desk.until(lambda: getattr(desk.pilot.app.screen, "asks", "") == "Which plates is it about?")
        await desk.pilot.press("enter")
        await desk.until(lambda: "1 note" in desk.cells("services", "Dinner")[5])
        assert [note.whom for note in desk.file.read().notes] == ["dinner.2026-10-31"]


# The kitchen's file


async def test_what_is_wrong_with_the_file_stands_below_the_title_until_it_is_seen_to(
    board: Open, file: KitchenFile
) -> None:
    with file.writing() as db:
        checked = Checked("2026-10-31T04:10:00Z", True, Since(), ("batch X5X: 3 left, but its moves add up to 2",))
        db.execute("INSERT INTO settings VALUES (?, ?)", [CHECKED, encode(checked).decode()])
    async with board(size=(80, 24)) as desk:
        said = " ".join(desk.says("file").split())
        assert said.startswith(
            "The check of 04:10 found 1 fault in the kitchen's file (`prepboard check` names them): batch X5X"
        )
        well = encode(Checked("2026-10-31T13:59:00Z", True, Since())).decode()
        with file.writing() as db:
            db.execute("UPDATE settings SET value = ? WHERE name = ?", [well, CHECKED])
        await desk.until(lambda: not desk.says("file").strip())
        await desk.until(lambda: "file checked 13:59" in desk.says("services-heading"))


async def test_what_a_save_would_change_is_a_list_whose_lines_open_what_they_are_about(board: Open) -> None:
    async with board() as desk:
        await desk.press("9", "4", "down")
        await desk.pilot.press("v")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
        opens = [one for _line, one in desk.pilot.app.screen._lines]
        at = next(n for n, one in enumerate(opens) if one is not None)
        desk.pilot.app.screen.query_one(LineList).move_to(at)
        await desk.pilot.press("enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Look))
        await desk.pilot.press("escape")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
        await desk.pilot.press("escape")
        await desk.until(lambda: desk.pilot.app.screen is desk.board)
        assert desk.tonight == Tonight(), "it was only read"
