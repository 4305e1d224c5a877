"""A board whose terminal goes away under it ends, also where no signal says so."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from select import select

import pytest
from stations.conftest import NOW

from prepboard.boards.app.hanging_up import HUNG_UP


def shown(master: int, text: bytes) -> None:
    """Reads until a program has drawn a text; fails once it has drawn nothing more for long."""
    seen = b""
    while text not in seen:
        assert select([master], [], [], 20)[0], seen[-2000:]
        seen += os.read(master, 65536)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere a board ends by its signal only")
def test_a_board_ends_with_a_terminal_that_is_not_its_own_and_that_nobody_holds_any_more(stations):
    """As of a program that ran the board and was killed: no SIGHUP, and reading gives nothing ever."""
    master, slave = pty.openpty()
    board = subprocess.Popen(
        [sys.executable, "-m", "prepboard", "--file", str(stations.path), "station", "sauce"],
        stdin=slave, stdout=slave, stderr=slave, start_new_session=True,
        env=os.environ | {"TERM": "xterm-256color", "PREPBOARD_NOW": NOW.isoformat()},
    )  # fmt: skip
    try:
        os.close(slave)
        shown(master, b"UNDER WAY")
        assert board.poll() is None
        os.close(master)
        assert board.wait(5) == HUNG_UP
    finally:
        board.kill()
        board.wait()
