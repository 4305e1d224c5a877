"""A process that has loaded all that boards need, and becomes one for each page that asks.

A board that begins from nothing takes half a second of processor for what it imports, and holds it once more; sixteen
tablets that come back together would wait for it sixteen times. The server says over a socket, one JSON object a line,
which board it wants, and gives the board's own end of a socket with it; it is told which process that is, and when one
has ended. It runs no thread and no loop, so that what it becomes begins as if it were new.
"""

from __future__ import annotations

import gc
import os
import select
import signal
import socket
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import msgspec
from msgspec import Struct

import prepboard
from prepboard.boards.web import child
from prepboard.boards.web.child import Wanted

ROOMS = ("plan", "store", "boards")
APART = (
    "prepboard.boards.web",
    "prepboard.store.file.migrations",
    "prepboard.store.actions.loading",
    "prepboard.store.actions.group.books",
)
"""What boards have no use for; each would bring much that they have not: a server, the making of files, of books."""

OF_OTHERS = ("inotify_simple", "textual.drivers.linux_driver", "textual.scrollbar", "textual.layouts.horizontal")
"""What Textual and the store load once a board runs."""


class Asked(Struct):
    """What the server asks for: a board, or that one is ended that did not end when it was asked to."""

    start: Wanted | None = None
    environment: dict[str, str] = {}
    kill: int = 0


class Told(Struct, omit_defaults=True):
    """What it is told: which process a board has become, why none could be made, which one has ended and how."""

    started: int = 0
    fault: str = ""
    ended: int = 0
    code: int = 0


def load() -> None:
    """Loads all that boards may need; what is not there on this machine is not needed on it either."""
    folder = Path(prepboard.__file__).parent
    for file in sorted(file for room in ROOMS for file in (folder / room).rglob("*.py")):
        name = ".".join(("prepboard", *file.relative_to(folder).with_suffix("").parts)).removesuffix(".__init__")
        if not name.startswith(APART):
            import_module(name)
    for name in OF_OTHERS:
        with suppress(ModuleNotFoundError):
            import_module(name)


class Loaded:
    """The process itself, on its end of the server's line."""

    def __init__(self, line: socket.socket) -> None:
        self._line = line
        self._boards: set[int] = set()
        self._given: list[int] = []
        """Sockets of boards that are not started yet, as they came."""
        self._woken, self._wakes = socket.socketpair()
        for one in (self._woken, self._wakes):
            one.setblocking(False)

    def serve(self) -> None:
        """Until the server's end is closed."""
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is the server's, which ends its boards in order.
        signal.signal(signal.SIGCHLD, lambda *_: None)
        signal.set_wakeup_fd(self._wakes.fileno())
        rest = b""
        while True:
            ready, _, _ = select.select([self._line, self._woken], [], [])
            if self._woken in ready:
                self._woken.recv(4096)
                self._say_who_ended()
            if self._line in ready:
                data, sockets, _flags, _address = socket.recv_fds(self._line, 65536, 16)
                self._given += sockets
                if not data:
                    return
                *lines, rest = (rest + data).split(b"\n")
                for text in lines:
                    self._do(msgspec.json.decode(text, type=Asked))

    def _do(self, asked: Asked) -> None:
        if asked.start:
            self._start(asked.start, asked.environment, self._given.pop(0))
        elif asked.kill in self._boards:
            os.kill(asked.kill, signal.SIGKILL)

    def _start(self, wanted: Wanted, environment: dict[str, str], end: int) -> None:
        try:
            pid = os.fork()
        except OSError as fault:
            self._tell(Told(fault=str(fault)))
        else:
            if not pid:
                self._become(wanted, environment, end)
            self._boards.add(pid)
            self._tell(Told(started=pid))
        os.close(end)

    def _become(self, wanted: Wanted, environment: dict[str, str], end: int) -> None:
        """In the new process: a board, and nothing of what it came from. Does not return."""
        code = 1
        try:
            signal.set_wakeup_fd(-1)
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            for one in (self._line, self._woken, self._wakes):
                one.close()
            for standard in (0, 1):
                os.dup2(end, standard)
            for other in (end, *self._given):
                os.close(other)
            os.environ.clear()
            os.environ.update(environment)
            code = child.answer(wanted)
        finally:
            os._exit(code)

    def _say_who_ended(self) -> None:
        while self._boards:
            pid, status = os.waitpid(-1, os.WNOHANG)
            if not pid:
                return
            self._boards.discard(pid)
            self._tell(Told(ended=pid, code=os.waitstatus_to_exitcode(status)))

    def _tell(self, told: Told) -> None:
        try:
            self._line.sendall(msgspec.json.encode(told) + b"\n")
        except OSError:
            return  # The server is gone: the next look at its line ends this process too.


def main() -> None:
    gc.disable()
    load()
    gc.collect()
    gc.freeze()  # What boards share is not looked through by any of them, and so not copied.
    Loaded(socket.socket(fileno=int(sys.argv[1]))).serve()


if __name__ == "__main__":
    main()
