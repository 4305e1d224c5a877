"""Two boards on one file at once, each a program in a terminal and a language of its own: what is pressed on one is
told on the other as its reader would say it."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from conftest import kitchen_file
from languages.two_names import QUAY

from prepboard import demo
from prepboard.store.file.who import Who

ESCAPES = re.compile(
    rb"\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b\[[0-9;?<>=]*[ -/]*[@-~]|\x1b[PX^_].*?\x1b\\|\x1b[()][0-9A-B]|\x1b.", re.S
)
PATIENCE = 40
"""Seconds; a machine that does much else starts a board slowly."""


class Terminal:
    """What a board drew on its terminal since it was last asked, without colours and cursor moves."""

    def __init__(self, path: Path, by: str, size: tuple[int, int]) -> None:
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        here = os.environ | {"TERM": "xterm-256color", "PREPBOARD_NOW": demo.NOW.isoformat()}
        self.board = subprocess.Popen(
            [sys.executable, "-m", "prepboard", "--file", str(path), "--by", by, "station", "sauce"],
            stdin=slave, stdout=slave, stderr=slave, start_new_session=True, env=here,
        )  # fmt: skip
        os.close(slave)
        self._drawn = b""

    def forget(self) -> None:
        """What was drawn until now."""
        while select.select([self._master], [], [], 0)[0]:
            os.read(self._master, 65536)
        self._drawn = b""

    def type(self, keys: str) -> None:
        self.forget()
        os.write(self._master, keys.encode())

    def until(self, *texts: str) -> str:
        """Reads until each of these texts was drawn; all that was."""
        ends = time.monotonic() + PATIENCE
        while not all(text in self.drawn for text in texts):
            assert time.monotonic() < ends, self.drawn[-3000:]
            if select.select([self._master], [], [], 0.2)[0]:
                self._drawn += os.read(self._master, 65536)
        return self.drawn

    @property
    def drawn(self) -> str:
        return ESCAPES.sub(b"", self._drawn).decode("utf-8", "replace")

    def end(self) -> None:
        self.board.kill()
        self.board.wait()
        os.close(self._master)


@contextmanager
def terminals(path: Path, size: tuple[int, int]) -> Iterator[tuple[Terminal, Terminal]]:
    """A board of somebody who reads Spanish, by the book, and one of somebody who reads English."""
    opened = [Terminal(path, by, size) for by in ("ab", "mr")]
    try:
        yield opened[0], opened[1]
    finally:
        for one in opened:
            one.end()


@pytest.mark.skipif(sys.platform != "linux", reason="terminals are opened as Linux has them")
def test_a_press_on_one_board_is_told_on_the_other_in_its_own_language(tmp_path: Path) -> None:
    kitchen_file(tmp_path, demo.NOW, Who("mr", "sauce"), kitchen=QUAY).close()
    with terminals(tmp_path / "shared" / "kitchen.db", (44, 24)) as (spanish, english):
        theirs, ours = spanish.until("POR HACER", "Jugo de cordero"), english.until("TO MAKE", "Lamb jus")
        assert not re.search("TO MAKE|Lamb jus|Sauce", theirs)
        assert not re.search("POR HACER|Jugo|Salsas", ours)
        english.forget()
        spanish.type("s")
        assert "Jugo de cordero en marcha" in spanish.until("en marcha: 1 receta")
        assert "ab, Sauce: Lamb jus started: 1 recipe" in english.until("started: 1 recipe")
        spanish.forget()
        english.type("y1")
        english.until("timer: rings at")
        assert "Timer" not in spanish.until("Temporizador")
        english.forget()
        spanish.type("u")
        spanish.until("deshacerlo")
        spanish.type("\r")
        assert "deshecho: Jugo de cordero en marcha" in spanish.until("deshecho:")
        assert "Jugo" not in english.until("TO MAKE", "Lamb jus")
