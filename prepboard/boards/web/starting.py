"""How the server starts a board's process: out of one that has everything loaded, or anew where that is no way."""

from __future__ import annotations

import asyncio
import os
import socket
import sys
from asyncio.subprocess import DEVNULL, PIPE, Process
from contextlib import suppress
from typing import Protocol

import msgspec

from prepboard.boards.web.child import Wanted
from prepboard.boards.web.loaded import Asked, Told

FORKS = sys.platform == "linux"
"""Elsewhere a process that forked may not do all that a new one may."""

LONGEST_LINE = 4 * 1024 * 1024
"""Bytes of one message of a board."""

PASSED_ON = (
    "PATH",
    "HOME",
    "LANG",
    "LC_ALL",
    "TZ",
    "NO_COLOR",
    "PYTHONPATH",
    "VIRTUAL_ENV",
    "PREPBOARD_NOW",
    "SYSTEMROOT",
)
"""What of the server's environment a board is given."""


class BoardProcess(Protocol):
    """A board's process: what it is told goes into `stdin`, what it says comes out of `stdout`."""

    stdin: asyncio.StreamWriter | None
    stdout: asyncio.StreamReader | None

    @property
    def pid(self) -> int: ...
    @property
    def returncode(self) -> int | None: ...
    async def wait(self) -> int: ...
    def kill(self) -> None: ...


class Starter:
    """Starts boards. What has everything loaded is begun with the first of them, or before, with `get_ready`."""

    def __init__(self) -> None:
        self._loaded: _Loaded | None = None

    async def get_ready(self) -> None:
        """Begins to load what boards need, before the first page asks."""
        if FORKS and (self._loaded is None or self._loaded.is_gone):
            self._loaded = await _Loaded.begin()

    async def start(self, wanted: Wanted, width: int, height: int) -> BoardProcess:
        """A board of that many columns and lines. OSError where the machine has no room for one."""
        environment = _environment() | {"PREPBOARD_PAGE": f"{width}x{height}"}
        for _turn in range(2):  # What was loaded may have been killed; once more, then.
            await self.get_ready()
            if self._loaded is None:
                break
            with suppress(_Gone):
                return await self._loaded.start(wanted, environment)
        command = (sys.executable, "-m", "prepboard.boards.web.child", msgspec.json.encode(wanted).decode())
        return await asyncio.create_subprocess_exec(
            *command, stdin=PIPE, stdout=PIPE, stderr=DEVNULL, env=environment, limit=LONGEST_LINE
        )

    async def close(self) -> None:
        """Ends what was loaded; its boards have ended before."""
        if self._loaded:
            await self._loaded.end()
            self._loaded = None


def _environment() -> dict[str, str]:
    passed = {name: os.environ[name] for name in PASSED_ON if name in os.environ}
    return passed | {"TEXTUAL_COLOR_SYSTEM": "truecolor", "TERM": "xterm-256color"}


class _Gone(OSError):
    """What was loaded is there no more."""


class _Forked:
    """A board that what is loaded has become."""

    def __init__(self, pid: int, loaded: _Loaded) -> None:
        self.pid, self._loaded = pid, loaded
        self.stdin: asyncio.StreamWriter | None = None
        self.stdout: asyncio.StreamReader | None = None
        self.returncode: int | None = None
        self._ended = asyncio.Event()

    def has_ended(self, code: int) -> None:
        self.returncode = code
        self._ended.set()

    async def wait(self) -> int:
        await self._ended.wait()
        return self.returncode or 0

    def kill(self) -> None:
        self._loaded.kill(self.pid)


class _Loaded:
    """The server's end of the process that has everything loaded."""

    def __init__(self, line: socket.socket, process: Process) -> None:
        self._line, self._process = line, process
        self._boards: dict[int, _Forked] = {}
        self._answers: asyncio.Queue[_Forked | str] = asyncio.Queue()
        self._rest = b""
        self._one_at_a_time = asyncio.Lock()
        self.is_gone = False
        line.setblocking(False)
        asyncio.get_running_loop().add_reader(line, self._hear)

    @classmethod
    async def begin(cls) -> _Loaded:
        ours, theirs = socket.socketpair()
        with theirs:
            command = (sys.executable, "-m", "prepboard.boards.web.loaded", str(theirs.fileno()))
            process = await asyncio.create_subprocess_exec(
                *command, stdin=DEVNULL, stdout=DEVNULL, stderr=DEVNULL, env=_environment(), pass_fds=(theirs.fileno(),)
            )
        return cls(ours, process)

    async def start(self, wanted: Wanted, environment: dict[str, str]) -> BoardProcess:
        ours, theirs = socket.socketpair()
        async with self._one_at_a_time:
            if self.is_gone:
                raise _Gone
            with theirs:
                asked = msgspec.json.encode(Asked(start=wanted, environment=environment)) + b"\n"
                socket.send_fds(self._line, [asked], [theirs.fileno()])
            answer = await self._answers.get()
        if isinstance(answer, str):
            ours.close()
            raise _Gone if self.is_gone else OSError(answer)
        answer.stdout, answer.stdin = await asyncio.open_connection(sock=ours, limit=LONGEST_LINE)
        return answer

    def kill(self, pid: int) -> None:
        if pid in self._boards and not self.is_gone:
            with suppress(OSError):
                self._line.sendall(msgspec.json.encode(Asked(kill=pid)) + b"\n")

    async def end(self) -> None:
        self._went()
        await self._process.wait()

    def _hear(self) -> None:
        try:
            data = self._line.recv(65536)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        if not data:
            self._went()
        *lines, self._rest = (self._rest + data).split(b"\n")
        for text in lines:
            told = msgspec.json.decode(text, type=Told)
            if told.started:
                self._boards[told.started] = board = _Forked(told.started, self)
                self._answers.put_nowait(board)
            elif told.ended:
                self._boards.pop(told.ended).has_ended(told.code)
            else:
                self._answers.put_nowait(told.fault)

    def _went(self) -> None:
        """It is there no more, or need not be: its boards end by themselves, with their lines."""
        if self.is_gone:
            return
        self.is_gone = True
        asyncio.get_running_loop().remove_reader(self._line)
        self._line.close()
        for board in self._boards.values():
            board.has_ended(-1)
        self._boards.clear()
        self._answers.put_nowait("")
