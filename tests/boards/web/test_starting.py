"""How a board's process is begun and ended: out of the one that has boards loaded, and never a second longer."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
from typing import Any

import pytest
import pytest_asyncio

from prepboard.boards.web import starting
from prepboard.boards.web.child import Wanted
from prepboard.boards.web.starting import BoardProcess, Starter

pytestmark = pytest.mark.asyncio(loop_scope="session")


@pytest_asyncio.fixture(loop_scope="session")
async def own_starter():
    own = Starter()
    yield own
    await own.close()


async def said(process: BoardProcess, holds: Any) -> dict[str, Any]:
    """What a board says, once it comes to that."""
    async with asyncio.timeout(20):
        while line := await process.stdout.readline():
            message = json.loads(line)
            if holds(message):
                return message
    raise AssertionError("it ended")


def first_figures(message: dict[str, Any]) -> bool:
    return "TO MAKE" in json.dumps(message.get("lines", ""))


def tell(process: BoardProcess, **message: Any) -> None:
    process.stdin.write(json.dumps(message).encode() + b"\n")


def there(pid: int) -> bool:
    """Whether a process runs; one that has ended and that nobody asked for yet does not (proc(5), state Z)."""
    try:
        with open(f"/proc/{pid}/stat") as stat:  # noqa: PTH123
            return stat.read().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


async def gone(*pids: int) -> None:
    async with asyncio.timeout(10):
        while any(there(pid) for pid in pids):
            await asyncio.sleep(0.02)


async def test_what_is_loaded_runs_no_thread_and_has_nothing_that_boards_do_not_need():
    """A process that forks may have one thread only (fork(2)); what boards never use would stand in each of them."""
    asked = (
        "import sys, threading; from prepboard.boards.web import loaded; loaded.load();"
        "many = {'pydantic', 'sqlite_utils', 'websockets', 'numpy'};"
        "print(threading.active_count(), sorted(many & set(sys.modules)),"
        " 'prepboard.store.actions.food.making' in sys.modules)"
    )
    process = await asyncio.create_subprocess_exec(sys.executable, "-c", asked, stdout=asyncio.subprocess.PIPE)
    out, _ = await process.communicate()
    assert out.decode().strip() == "1 [] True"


async def test_a_board_is_told_what_it_is_and_where_and_nothing_else_of_the_server(kitchen, own_starter, monkeypatch):
    monkeypatch.setenv("A_SECRET_OF_THE_SERVER", "hush")
    board = await own_starter.start(Wanted(str(kitchen), "station", ("sauce",), "LM"), 66, 30)
    first = await said(board, first_figures)
    assert first["size"] == [66, 30]
    environment = _environment_of(board.pid)
    assert "A_SECRET_OF_THE_SERVER" not in environment
    board.stdin.close()
    assert await asyncio.wait_for(board.wait(), 10) == 0


def _environment_of(pid: int) -> str:
    with open(f"/proc/{pid}/environ", encoding="utf-8", errors="replace") as held:  # noqa: PTH123
        return held.read()


async def test_a_board_that_is_closed_by_its_own_key_ends_though_its_page_is_still_there(kitchen, starter):
    board = await starter.start(Wanted(str(kitchen), "station", ("sauce",), "LM"), 80, 30)
    await said(board, first_figures)
    await asyncio.sleep(0.1)
    tell(board, do="key", key="q")
    assert await asyncio.wait_for(board.wait(), 10) == 0


async def test_a_board_that_cannot_be_opened_says_why_and_ends(tmp_path, starter):
    board = await starter.start(Wanted(str(tmp_path / "none.db"), "wall"), 80, 30)
    fault = (await said(board, lambda message: "fault" in message))["fault"]
    assert "none.db" in fault
    assert await asyncio.wait_for(board.wait(), 10) == 1


@pytest.mark.parametrize("forks", [True, False])
async def test_a_board_can_be_made_to_end_and_its_server_knows(kitchen, starter, monkeypatch, forks):
    monkeypatch.setattr(starting, "FORKS", forks)
    board = await (starter if forks else Starter()).start(Wanted(str(kitchen), "wall"), 80, 30)
    await said(board, lambda message: message.get("lines"))
    os.kill(board.pid, signal.SIGSTOP)
    assert board.returncode is None
    board.kill()
    assert await asyncio.wait_for(board.wait(), 10) == -signal.SIGKILL


async def test_where_what_was_loaded_is_killed_boards_end_and_the_next_page_has_one(kitchen, own_starter):
    wanted = Wanted(str(kitchen), "wall")
    first = await own_starter.start(wanted, 80, 30)
    await said(first, lambda message: message.get("lines"))
    loaded = own_starter._loaded._process
    loaded.kill()
    await loaded.wait()
    second = await own_starter.start(wanted, 80, 30)
    await said(second, lambda message: message.get("lines"))
    for board in (first, second):
        board.stdin.close()
        await asyncio.wait_for(board.wait(), 10)
    await gone(first.pid, second.pid)


async def test_names_that_look_like_options_or_commands_are_names(tmp_path, monkeypatch):
    """Where a board is begun anew its names stand in one JSON argument: nothing is a shell's."""
    seen: list[tuple[str, ...]] = []

    async def spawn(*command: str, **how: Any) -> Any:
        seen.append(command)
        return await real("cat", stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE)

    real = asyncio.create_subprocess_exec
    monkeypatch.setattr(starting, "FORKS", False)
    monkeypatch.setattr(starting.asyncio, "create_subprocess_exec", spawn)
    hostile = "--help; touch x $(id) `id`"
    process = await Starter().start(Wanted(str(tmp_path / "k.db"), "station", (hostile,)), 80, 24)
    process.stdin.close()
    await process.wait()
    ((_python, dash_m, module, wanted),) = seen
    assert (dash_m, module) == ("-m", "prepboard.boards.web.child")
    assert json.loads(wanted)["stations"] == [hostile]
