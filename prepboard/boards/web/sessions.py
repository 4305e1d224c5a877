"""Open pages: each has a board in a process of its own, which waits a while for a page that was lost.

A board ends when nobody came back for a minute, when its device was removed, when it was closed on the page, or when
another page needs its place and nobody is looking at it.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable
from contextlib import suppress
from time import monotonic
from typing import Any

from prepboard.boards.web.child import Wanted
from prepboard.boards.web.devices import Device
from prepboard.boards.web.starting import BoardProcess, Starter
from prepboard.texts import _, speaking, spoken

GRACE = 60.0
"""Seconds that a board waits for a page that was lost."""

OF_A_DEVICE, IN_ALL = 3, 64
"""Boards at once."""

LAST_WORDS = 3.0
"""Seconds in which a board that has ended is heard out, when its server closes."""

Send = Callable[[dict[str, Any]], Awaitable[None]]


class Session:
    """One page's board."""

    def __init__(self, device: Device, page: str, process: BoardProcess) -> None:
        self.device, self.page, self.process = device, page, process
        self.left_at: float | None = None
        """When the page was lost, on this machine's clock; None while it is there, and while it is still coming."""
        self.send: Send | None = None
        self.rings = 0
        """How often its bell rang."""
        self.heard = 0
        """The same, when somebody was last there to hear it."""
        self.ended = asyncio.Event()

    @property
    def watched(self) -> bool:
        return self.send is not None or self.left_at is None

    def leave(self) -> None:
        """Nobody looks at it any more."""
        self.send, self.left_at, self.heard = None, monotonic(), self.rings

    async def tell(self, message: dict[str, Any]) -> None:
        """Says something to the board; one that has ended hears nothing."""
        if self.process.stdin and not self.process.stdin.is_closing():
            with suppress(ConnectionError, BrokenPipeError):
                self.process.stdin.write(json.dumps(message).encode() + b"\n")
                await self.process.stdin.drain()

    async def end(self) -> None:
        """Ends the board: asked first, then made to. Its page hears nothing of it, and asks for another one."""
        self.send = None
        if self.process.returncode is None:
            if self.process.stdin:
                self.process.stdin.close()
            try:
                await asyncio.wait_for(self.process.wait(), 3)
            except TimeoutError:
                with suppress(ProcessLookupError):
                    self.process.kill()
                await self.process.wait()
        self.ended.set()


class Sessions:
    """All boards of a server, by device and page."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.starter = Starter()
        self.language_of: Callable[[Device], str] = lambda device: device.language or spoken()
        self.open: dict[tuple[str, str], Session] = {}
        self._tasks: set[asyncio.Task[None]] = set()
        self._one_at_a_time = asyncio.Lock()

    async def of(self, device: Device, page: str, width: int, height: int) -> tuple[Session | None, str]:
        """The board of a page, begun or gone on with; None, and why, where there is no room for one more."""
        async with self._one_at_a_time:  # A hundred pages at once find the room of one.
            known = self.open.get((device.name, page))
            if known and not known.ended.is_set():
                known.left_at = None  # It is coming: whoever waits for it to come back, or looks for room, leaves it.
                await known.tell({"do": "size", "width": width, "height": height})
                return known, ""
            full = await self._make_room(device)
            if full:
                return None, full
            try:
                process = await self._start(device, width, height)
            except OSError as fault:
                with speaking(self.language_of(device)):
                    return None, _("The kitchen's machine cannot open a board now: {why}").format(why=fault)
            session = Session(device, page, process)
            self.open[device.name, page] = session
        task = asyncio.create_task(self._listen(session))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
        return session, ""

    async def _make_room(self, device: Device) -> str:
        """Where there are too many, ends the one that nobody has looked at for longest; else says so."""
        mine = [one for one in self.open.values() if one.device.name == device.name]
        for those, most in ((mine, OF_A_DEVICE), (list(self.open.values()), IN_ALL)):
            if len(those) < most:
                continue
            idle = sorted((one for one in those if not one.watched), key=lambda one: one.left_at or 0.0)
            if not idle:
                with speaking(self.language_of(device)):
                    return _("This device has {n} boards open: close one first.").format(n=len(those))
            await self.drop(idle[0])
        return ""

    async def _start(self, device: Device, width: int, height: int) -> BoardProcess:
        wanted = Wanted(self.file, device.board, device.stations, device.by, device.look, device.language)
        return await self.starter.start(wanted, width, height)

    async def _listen(self, session: Session) -> None:
        """Passes on what a board says until it ends."""
        assert session.process.stdout
        said = ""
        while line := await session.process.stdout.readline():
            try:
                message = json.loads(line)
            except ValueError:
                continue
            session.rings = int(message.get("rings", session.rings))
            if "fault" in message:
                said = str(message["fault"])
            elif session.send and "ended" not in message:
                await session.send(message)
        await session.process.wait()
        session.ended.set()
        self.open.pop((session.device.name, session.page), None)
        if session.send:
            with speaking(self.language_of(session.device)):
                closed = _("This board was closed. Open the page again to have it back.")
            await session.send({"out": said or closed, "again": session.device.board == "wall"})

    async def wait_for_page(self, session: Session) -> None:
        """A page is gone: its board waits for it, then ends."""
        await asyncio.sleep(GRACE)
        if not session.watched and session.left_at is not None and monotonic() - session.left_at >= GRACE - 0.1:
            await self.drop(session)

    async def drop(self, session: Session) -> None:
        if self.open.get((session.device.name, session.page)) is session:
            del self.open[session.device.name, session.page]
        await session.end()

    async def drop_removed(self, devices: tuple[Device, ...]) -> None:
        """Ends the boards of devices that may no longer be here."""
        names = {(one.name, one.link) for one in devices}
        for session in [one for one in self.open.values() if (one.device.name, one.device.link) not in names]:
            if session.send:
                with speaking(self.language_of(session.device)):
                    said = _("This device was removed.")
                await session.send({"out": said})
            await self.drop(session)

    async def close(self) -> None:
        """Ends all boards, and hears them out: what a board's process holds open is closed after its last word."""
        await asyncio.gather(*(self.drop(one) for one in list(self.open.values())))
        if self._tasks:
            await asyncio.wait(self._tasks, timeout=LAST_WORDS)
        await self.starter.close()
