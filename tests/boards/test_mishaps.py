"""A board never dies: what goes wrong inside is said and kept for whoever mends it, and the board goes on."""

from __future__ import annotations

import asyncio
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from boards.at_a_station import ALL, JUS, NOW

from prepboard.boards.acts import runs
from prepboard.boards.frame import board_screen, live
from prepboard.boards.frame.mishaps import keep_traceback
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.typed import Typed
from prepboard.boards.station.board import StationScreen
from prepboard.boards.widgets import line_list
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.clock import FixedClock
from prepboard.store.file.writing import connect
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture(autouse=True)
def notes(falls: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Boards stand, and what is kept of mishaps lies here."""
    monkeypatch.setattr(board_screen, "STANDS", True)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state" / "prepboard" / "mishaps"


def breaks(*_given: Any, **_named: Any) -> Any:
    raise ZeroDivisionError("no such thing as a half pan")


async def goes_on(it: Any, notes: Path) -> None:
    """The board says it, names the file, and the next keys do what they do."""
    await it.answered("Something went wrong inside: no such thing as a half pan. The board goes on")
    (kept,) = notes.iterdir()
    assert kept.name in it.answer.replace("\n", "").replace(" ", "")
    assert "ZeroDivisionError" in kept.read_text(encoding="utf-8")
    await it.go_to("to-make", ALL[1])
    await it.press("d")
    await it.on(AskAmount)


async def test_a_key_that_fails_leaves_the_board_standing(
    desk: Callable[..., Any], notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runs, "start", breaks)
    async with desk(size=(200, 50)) as it:
        await it.press("s")
        await goes_on(it, notes)


async def test_a_key_that_fails_while_it_asks_leaves_the_board_standing(
    desk: Callable[..., Any], notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def asks(*_given: Any) -> None:
        breaks()

    monkeypatch.setattr(runs, "start", asks)
    async with desk(size=(200, 50)) as it:
        await it.press("s")
        await goes_on(it, notes)


async def test_lists_that_cannot_be_filled_leave_the_board_standing(
    desk: Callable[..., Any], notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with desk(size=(200, 50)) as it:
        with monkeypatch.context() as once:
            once.setattr(StationScreen, "show", breaks)
            it.board.call_later(it.board._take, it.board.board)
            await it.answered("Something went wrong inside")
        await goes_on(it, notes)


async def test_a_line_that_cannot_be_drawn_says_so_and_the_others_stand(
    desk: Callable[..., Any], notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with desk(size=(200, 50)) as it:
        with monkeypatch.context() as once:
            once.setattr(line_list, "_drawn_once", breaks)
            it.board.list_of("to-make").refresh_lines(0)
            await it.answered("Something went wrong inside")
        await goes_on(it, notes)


async def test_a_question_that_fails_leaves_the_board_standing(
    desk: Callable[..., Any], notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with desk(size=(200, 50)) as it:
        with monkeypatch.context() as once:
            once.setattr(Typed, "take", breaks)
            await it.go_to("to-make", JUS)
            await it.press("d")
            await it.on(AskAmount)
            await it.press("enter")
            await it.answered("Something went wrong inside")
            await it.press("escape")
        await goes_on(it, notes)


async def test_a_plan_that_fails_leaves_the_figures_and_says_so(
    desk: Callable[..., Any], notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with desk(size=(200, 50)) as it:
        monkeypatch.setattr(live, "plan", breaks)
        await it.press("s")
        await it.answered("no such thing as a half pan; more of it is in")
        (kept,) = notes.iterdir()
        assert "ZeroDivisionError" in kept.read_text(encoding="utf-8")
        assert it.names("to-make")


async def test_another_programs_lock_keeps_no_key_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever a plan has to keep is kept beside the loop: the loop runs on while that waits."""
    free, waited = threading.Event(), []
    monkeypatch.setattr(live, "plan", lambda _state, _now: SimpleNamespace(new_shorts={"jus": 1}))
    monkeypatch.setattr(live, "_keep", lambda *_: waited.append(free.wait(5)))
    file: Any = SimpleNamespace(clock=FixedClock(NOW), acted=False, planner=None)
    working = asyncio.create_task(live._work_out("a state", file))  # type: ignore[arg-type]
    await asyncio.sleep(0.05)
    free.set()
    await working
    assert waited == [True]


async def test_a_board_goes_on_while_another_program_holds_the_file(
    desk: Callable[..., Any], file: KitchenFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However long that takes: keys move, questions come and go, and what was pressed is done once the file is free."""
    monkeypatch.setattr(file, "patience", 60.0)
    monkeypatch.setattr("screens.LONG", 0.1)  # A thread waits all the while, and no press waits for it.
    async with desk() as it:
        foreign = connect(file.path)
        foreign.execute("BEGIN IMMEDIATE")
        await it.go_to("to-make", JUS)
        await it.press("s")
        await it.press("down", "down")
        await it.until(it.pilot, lambda: it.cursor == ALL[2])
        await it.press("d")
        await it.on(AskAmount)
        await it.choose("escape")
        await it.press("enter")
        await it.until(it.pilot, lambda: it.app.screen is not it.board)
        await it.choose("escape")
        assert file.read().runs == ()
        foreign.execute("ROLLBACK")
        foreign.close()
        await it.until(it.pilot, lambda: [run.recipe.id for run in file.read().runs] == ["jus"])


async def test_the_file_is_tended_beside_the_board_and_what_goes_wrong_there_is_kept(
    notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Copies and the day's check: in a thread, after whatever was done, and no end of the board if they fail."""
    tended: list[tuple[threading.Thread, bool]] = []
    over = asyncio.Event()
    loop = asyncio.get_running_loop()

    def tend(_file: object, *, wrote: bool) -> None:
        tended.append((threading.current_thread(), wrote))
        raise ZeroDivisionError

    def kept(fault: BaseException, now: Any) -> None:
        keep_traceback(fault, now)
        loop.call_soon_threadsafe(over.set)

    monkeypatch.setattr("prepboard.store.health.upkeep.tend", tend)
    monkeypatch.setattr(live, "keep_traceback", kept)
    monkeypatch.setattr(
        live,
        "plan",
        lambda _state, _now: SimpleNamespace(new_shorts={}, ended_shorts={}, new_run_outs={}, new_learned=()),
    )
    clock = FixedClock(NOW, set_by_hand=False)
    file: Any = SimpleNamespace(clock=clock, acted=True, planner=None)
    await live._work_out("a state", file)  # type: ignore[arg-type]
    await over.wait()
    ((thread, wrote),) = tended
    assert wrote
    assert thread is not threading.main_thread()
    assert "ZeroDivisionError" in next(notes.iterdir()).read_text(encoding="utf-8")
    file.acted = False
    await live._work_out("a state", file)  # type: ignore[arg-type]
    assert len(tended) == 1


async def test_an_open_board_asks_to_be_opened_again_when_a_newer_program_took_the_file_over(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    async with desk() as it:
        with closing(sqlite3.connect(file.path, isolation_level=None)) as newer:
            newer.execute("CREATE TABLE from_the_future (x TEXT)")
            newer.execute(
                "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) VALUES ('prepboard', 'm999_x', '')"
            )
        await it.answered("was brought up to date by a newer prepboard: close this board and")
        assert "not live since" in it.board.query_one("#title", PlainLine).text
