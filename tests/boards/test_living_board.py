"""A board that lives: what others did, what is due, what is open, what is not saved, and who stands before it."""

from __future__ import annotations

import asyncio
import gc
import sqlite3
from collections.abc import AsyncIterator, Callable
from datetime import timedelta
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from boards.at_a_station import ALL, ANOTHER, JUS, NOW
from msgspec.structs import force_setattr, replace

from prepboard.boards.acts import desk as desks
from prepboard.boards.app.app import BoardApp
from prepboard.boards.app.first_frame import Frame, Opening
from prepboard.boards.frame import board_screen, live
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.questions.all_keys import AllKeys
from prepboard.boards.questions.initials import AskInitials
from prepboard.boards.questions.typed import AskText, AskTyped
from prepboard.boards.station.board import StationScreen
from prepboard.boards.widgets import line_list
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import Row
from prepboard.paper.text.layout import wrap
from prepboard.store.actions.food import making, stock
from prepboard.store.file.faults import StoreFault
from prepboard.store.kitchen_file import KitchenFile


def page(it: Any) -> str:
    return "\n".join(str(each.render()) for each in it.app.screen.query("#line-title, #text"))


# --- an open line ----------------------------------------------------------------------------------------


async def test_an_open_line_that_is_started_there_goes_on_as_the_run(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.choose("enter")
        await it.until(it.pilot, lambda: "WHY THIS MUCH" in page(it))
        await it.press("s")
        await it.until(it.pilot, lambda: "started 14:00 by LM" in page(it))
        assert "▸ 1  Sweat the shallots" in page(it)
        await it.press("s")
        await it.until(it.pilot, lambda: "▸ 2  Reduce" in page(it))
        await it.choose("d")
        await it.press("enter")
        await it.until(it.pilot, lambda: type(it.app.screen) is AskTyped)  # How warm is it? Enter passes over it.
        await it.press("enter")
        await it.on(StationScreen)
        await it.answered("2 l, batch")


async def test_an_open_line_that_another_station_starts_goes_on_as_the_run(
    desk: Callable[..., Any], another: KitchenFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with desk() as it:
        monkeypatch.setattr(line_list, "SLID", 60.0)  # However slow the machine, the press below comes in time.
        await it.choose("enter")
        assert "start by" in page(it)
        making.start(another, ANOTHER, "jus", Fraction(1), it.board.board.make[0].line)
        answer = it.app.screen.query_one("#answer", PlainLine)
        await it.until(it.pilot, lambda: f"14:00, JP, Sauce: {JUS} started" in " ".join(answer.text.split()))
        assert "started 14:00 by JP" in page(it)
        assert "start by" not in page(it), "what was true before the press is not said beside it"
        await it.press("s")
        await it.until(it.pilot, lambda: "press again" in answer.text)
        assert it.board.board.under_way[0].step == 0, "a press that was meant to start it is no step further"


async def test_an_open_line_that_is_gone_says_that_it_stands_as_it_was(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    made = making.made(file, ANOTHER, "Pea purée", _amount("2 kg"))
    async with desk() as it:
        await it.go_to("goes-off", "Pea purée")
        await it.choose("enter")
        assert "as it was" not in page(it)
        stock.discard(file, ANOTHER, made.batches[0], 2 * 10**9, "dropped")
        await it.until(it.pilot, lambda: "as it was before 14:00" in page(it))


async def test_a_line_that_is_gone_before_it_opens_leaves_no_empty_page(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        it.board.open_line(Row("XYZ", what="Pea purée"))
        await it.answered("Pea purée is no longer in this list")
        await it.on(StationScreen)


@pytest.mark.parametrize(
    "open_page",
    [
        BoardScreen.action_timeline,
        BoardScreen.action_vans,
        StationScreen.action_bring,
        lambda board: board.open_line(next(rows[0] for one in board.query(LineList) if (rows := one.rows))),
    ],
)
async def test_news_that_comes_while_a_page_opens_stands_on_it(
    open_page: Callable[[Any], None], desk: Callable[..., Any]
) -> None:
    """Somebody pressed between a key and its page, which has no lines yet to be written to."""
    async with desk() as it:
        open_page(it.board)
        opening, shown = it.app.screen, []
        opening.show = lambda board, show=opening.show: (show(board), shown.append(board))
        news = replace(it.board.board)
        it.board._take(news)
        await it.until(it.pilot, lambda: any(one is news for one in shown))


async def test_an_open_batch_says_what_it_was_made_from_and_where_it_went(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    made = making.made(file, ANOTHER, "Pea purée", _amount("2 kg"))
    (code,) = made.batches
    async with desk() as it:
        await it.go_to("goes-off", "Pea purée")
        await it.choose("enter")
        for words in ("good to midnight, no recipe knows it", "MADE FROM\n  no other batch", "14:00  2 kg made"):
            assert words in page(it)
        stock.use(file, ANOTHER, code, 500 * 10**6, "staff")
        await it.until(it.pilot, lambda: "14:00  500 g gone: staff  JP" in page(it))
        assert "1.5 kg" in page(it)


def _amount(text: str) -> Any:
    from prepboard.book.amounts import read_amount

    return read_amount(text)


# --- what is due -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("wanted", [True, False], ids=["bell", "quiet"])
async def test_a_step_that_is_due_is_said_and_rung_once(
    desk: Callable[..., Any], another: KitchenFile, monkeypatch: pytest.MonkeyPatch, wanted: bool
) -> None:
    rung: list[bool] = []
    monkeypatch.setattr(BoardApp, "bell", lambda _app: rung.append(True))
    async with desk() as it:
        force_setattr(it.board.board.state.book.kitchen, "bell", wanted)
        await it.press("s")
        await it.shows("under-way", [JUS])
        for minutes in (14, 15, 16):
            it.file.clock.at = another.clock.at = NOW + timedelta(minutes=minutes)
            stock.discard(another, ANOTHER, "shallot", 10**6, "trim")
            await it.until(it.pilot, lambda: it.board.board.now == it.file.clock.at)
            await it.pilot.pause(0.1)
            assert ("Now: Lamb [b]jus[/b]: Reduce" in it.answer) is (minutes >= 15)
        assert len(rung) == (1 if wanted else 0)


# --- what is not saved -----------------------------------------------------------------------------------


async def test_not_saved_is_said_until_it_is_whatever_else_is_answered(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    file.patience = 0.05
    async with desk() as it:
        lock = sqlite3.connect(file.path, isolation_level=None)
        lock.execute("BEGIN IMMEDIATE")
        await it.press("s")
        await it.answered("not saved")
        await it.press("q")
        await it.answered("q once more closes without it")
        assert "not saved" in it.answer
        lock.execute("ROLLBACK")
        lock.close()
        await it.press("r")
        await it.answered(f"{JUS} started")
        assert "not saved" not in it.answer


# --- who stands before it --------------------------------------------------------------------------------


async def test_initials_are_asked_again_after_half_an_hour_without_a_press(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        it.board.desk._ticks = lambda: it.board.desk._pressed + desks.STRANGER_AFTER + 1
        await it.press("down")
        await it.until(it.pilot, lambda: "LM" not in it.board.query_one("#title", PlainLine).text)
        it.board.desk._ticks = lambda: it.board.desk._pressed
        await it.choose("s")
        assert isinstance(it.app.screen, AskInitials)
        await it.press("r", "k", "enter")
        await it.answered("Chive oil started")
        assert [run.by for run in it.file.read().runs] == ["LM", "rk"]


# --- finding one's way -----------------------------------------------------------------------------------


async def test_a_filter_leaves_the_lines_with_these_letters_and_escape_shows_all(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.choose("slash")
        assert isinstance(it.app.screen, AskText)
        await it.type("OI")
        await it.shows("to-make", ["Chive oil"])
        assert "ONLY “OI”" in it.board.query_one("#to-make-heading", PlainLine).text
        await it.press("escape")
        await it.shows("to-make", ALL)


async def test_the_keys_screen_explains_the_focused_list_first_and_presses_a_key(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.choose("question_mark")
        assert isinstance(it.app.screen, AllKeys)
        assert str(it.app.screen.query_one("#focused").render()) == "TO MAKE"
        await it.press("enter")
        await it.shows("under-way", [JUS])


@pytest.mark.parametrize("size", [(44, 24), (120, 36)])
async def test_the_keys_screen_explains_a_key_whole_at_every_size(desk: Callable[..., Any], size: Any) -> None:
    """Of each key, moved to one after the other: its words are all on the screen, and so are the keys below them."""
    async with desk(size=size) as it:
        await it.choose("question_mark")
        screen, height = it.app.screen, size[1]
        keys = screen.query_one(LineList).rows
        for row in keys:
            screen.query_one(LineList).move_to(keys.index(row))
            await it.pilot.pause()
            help, below = screen.query_one("#help"), screen.query_one(KeyLine)
            assert len(wrap(str(help.render()).split("\n")[0], help.size.width)) < help.size.height, row.what
            assert help.region.bottom <= below.region.y < below.region.bottom < height, row.what


async def test_two_benches_stand_in_one_board_and_each_line_says_whose_it_is(
    file: KitchenFile, until: Callable[..., Any]
) -> None:
    app = BoardApp(StationScreen(file, ("sauce", "roast"), "LM"))
    async with app.run_test(size=(120, 36)) as pilot:
        board = app.screen_stack[0]
        assert isinstance(board, StationScreen)
        await until(pilot, lambda: board.list_of("to-make").rows)
        benches = {row.extra.partition(",")[0] for row in board.list_of("to-make").rows}
        assert benches == {"Sauce", "Roast"}
        assert board.query_one("#title", PlainLine).text.strip().startswith("SAUCE + ROAST")


# --- opening ---------------------------------------------------------------------------------------------

SAUCE = Frame("SAUCE", "station")


async def test_the_frame_is_there_before_the_board(file: KitchenFile, until: Callable[..., Any]) -> None:
    seen: list[str] = []

    def opened() -> StationScreen:
        seen.append(str(app.screen.query_one("#whose", PlainLine).text).strip())
        return StationScreen(file, ("sauce",), "LM")

    app = BoardApp(Opening(SAUCE, opened))
    async with app.run_test() as pilot:
        await until(pilot, lambda: isinstance(app.screen, StationScreen))
        assert seen == ["SAUCE"]
        await until(pilot, lambda: app.screen.board is not None)
        await pilot.press("s")
        await until(pilot, lambda: len(file.read().runs) == 1)


async def test_garbage_is_collected_once_the_board_stands(file: KitchenFile, until: Callable[..., Any]) -> None:
    gc.unfreeze()
    gc.disable()
    try:
        async with BoardApp(Opening(SAUCE, lambda: StationScreen(file, ("sauce",), "LM"))).run_test() as pilot:
            await until(pilot, gc.isenabled)
            assert gc.get_freeze_count() > 1000
    finally:
        gc.enable()


async def test_what_is_pressed_before_the_figures_are_there_says_so_and_is_not_done_later(
    file: KitchenFile, until: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    worked_out = asyncio.Event()

    async def later(of: KitchenFile, **_how: Any) -> AsyncIterator[Any]:
        await worked_out.wait()
        async for news in live.follow(of):
            yield news

    monkeypatch.setattr(board_screen, "follow", later)
    opening = Opening(SAUCE, lambda: StationScreen(file, ("sauce",), "LM"))
    app = BoardApp(opening)
    async with app.run_test() as pilot:
        said = opening.query_one("#reading", PlainLine)
        await until(pilot, lambda: said.text.strip() == "Reading the kitchen's file.")
        await pilot.press("s")
        await until(pilot, lambda: said.text.strip() == "Reading the kitchen's file; press again in a moment.")
        await pilot.click(KeyLine, offset=(3, 0))
        worked_out.set()
        await until(pilot, lambda: isinstance(app.screen, StationScreen) and app.screen.board)
        assert app.screen.list_of("to-make").rows
        await pilot.pause()
        assert file.read().runs == ()
        await pilot.press("s")
        await until(pilot, lambda: len(file.read().runs) == 1)


async def test_a_board_of_a_file_that_cannot_be_read_says_why_for_every_key(
    file: KitchenFile, until: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    async def broken(of: KitchenFile, **_how: Any) -> AsyncIterator[Any]:
        yield live.NotLive(NOW, "kitchen.db is gone")

    monkeypatch.setattr(board_screen, "follow", broken)
    app = BoardApp(Opening(SAUCE, lambda: StationScreen(file, ("sauce",), "LM")))
    async with app.run_test() as pilot:
        await until(pilot, lambda: isinstance(app.screen, StationScreen) and app.screen.not_live)
        await until(pilot, lambda: app.screen.query_one("#title", PlainLine).text.strip() == "kitchen.db is gone")
        await pilot.press("p")
        await until(pilot, lambda: app.screen.query_one("#answer", PlainLine).text.strip() == "kitchen.db is gone")


async def test_what_cannot_be_opened_ends_the_board_with_the_reason() -> None:
    def opened() -> StationScreen:
        raise StoreFault("kitchen.db is gone")

    opening = Opening(SAUCE, opened)
    async with BoardApp(opening).run_test() as pilot:
        await pilot.pause()
    assert str(opening.fault) == "kitchen.db is gone"


def test_a_look_is_remembered_for_its_board(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    opening = Opening(SAUCE, StationScreen)
    BoardApp(opening, remembered_as="here sauce")._look("light")
    assert BoardApp(opening, remembered_as="here sauce").theme == "light"
    assert BoardApp(opening, remembered_as="here roast").theme == "dark"


def test_a_board_forgets_since_when_something_was_short_that_is_there_again(file: KitchenFile) -> None:
    """So that it is short anew only since it came back."""
    key, day = ("jus", f"dinner.{NOW.date().isoformat()}"), NOW.date()
    live._keep_shorts(file, _looked(new={key: day}))
    assert file.read().short_since == {key: NOW}
    live._keep_shorts(file, _looked(ended={key: day}))
    assert file.read().short_since == {}


def _looked(new: Any = None, ended: Any = None) -> Any:
    return SimpleNamespace(new_shorts=new or {}, ended_shorts=ended or {}, now=NOW)
