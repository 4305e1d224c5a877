"""A page of another size loses nothing of what was there."""

from __future__ import annotations

import asyncio
import os
import signal
from typing import Any

import pytest
from boards.web.test_starting import first_figures, said, tell

from prepboard.boards.web.child import Wanted
from prepboard.boards.web.starting import BoardProcess

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def shown(board: BoardProcess, height: int) -> str:
    """All lines as the page has them, once it was sent so many."""
    lines: dict[int, str] = {}

    def whole(message: dict[str, Any]) -> bool:
        lines.update({int(n): "".join(run[0] for run in runs) for n, runs in message.get("lines", {}).items()})
        return message.get("size") == [80, height] and len(lines) == height

    await said(board, whole)
    return "\n".join(lines.values())


async def test_a_size_that_came_and_went_before_the_board_looked_leaves_the_picture(starter, kitchen):
    """A page that comes back may say two sizes at once, and a busy board takes them for none."""
    board = await starter.start(Wanted(str(kitchen), "station", ("sauce",), "LM"), 80, 30)
    await said(board, first_figures)
    await asyncio.sleep(0.3)
    os.kill(board.pid, signal.SIGSTOP)
    for height in (33, 30):
        tell(board, do="size", width=80, height=height)
    await board.stdin.drain()
    os.kill(board.pid, signal.SIGCONT)
    assert "TO MAKE" in await shown(board, 30)
    board.stdin.close()
    await board.wait()
