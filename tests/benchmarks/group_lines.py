"""Lines between kitchens and their group that can be cut, go silent, or lose every answer: what goes to one port of
this machine is passed on to the server's socket."""

from __future__ import annotations

import asyncio
import threading
from collections import Counter
from contextlib import suppress
from pathlib import Path
from typing import Literal

How = Literal["whole", "cut", "silent", "deaf"]
"""`silent`: nothing is passed on any more, and nothing is closed. `deaf`: what is asked arrives, no answer comes
back."""


class Lines:
    """One port for each kitchen. The server's socket may go and come again."""

    def __init__(self, socket: Path, names: tuple[str, ...]) -> None:
        self._socket, self._names = socket, names
        self._how: dict[str, How] = dict.fromkeys(names, "whole")
        self._open: dict[str, set[asyncio.StreamWriter]] = {name: set() for name in names}
        self.ports: dict[str, int] = {}
        self.lost_answers = Counter[str]()
        """How often a kitchen asked something that arrived, and never heard the answer."""
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Lines:
        self._thread.start()
        self._ready.wait()
        return self

    def __exit__(self, *_fault: object) -> None:
        asyncio.run_coroutine_threadsafe(self._end(), self._loop).result()
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    async def _end(self) -> None:
        tasks = asyncio.all_tasks() - {asyncio.current_task()}
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)

    def make(self, name: str, how: How) -> None:
        """From now on; what was open on a line that is cut, or is whole again, is closed."""
        asyncio.run_coroutine_threadsafe(self._make(name, how), self._loop).result()

    async def _make(self, name: str, how: How) -> None:
        self._how[name] = how
        if how in ("whole", "cut"):
            for writer in list(self._open[name]):
                writer.transport.abort()

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.run_until_complete(self._listen())
        self._ready.set()
        self._loop.run_forever()

    async def _listen(self) -> None:
        for name in self._names:
            server = await asyncio.start_server(lambda r, w, name=name: self._called(name, r, w), "127.0.0.1", 0)
            self.ports[name] = server.sockets[0].getsockname()[1]

    async def _called(self, name: str, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._open[name].add(writer)
        try:
            if self._how[name] == "cut":
                return
            there, back = await asyncio.open_unix_connection(str(self._socket))
            try:
                ways = (self._pass(name, reader, back, "there"), self._pass(name, there, writer, "back"))
                await asyncio.wait([asyncio.ensure_future(way) for way in ways], return_when=asyncio.FIRST_COMPLETED)
            finally:
                back.transport.abort()
        except OSError:
            pass
        finally:
            self._open[name].discard(writer)
            writer.transport.abort()

    async def _pass(self, name: str, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, way: str) -> None:
        with suppress(OSError):
            while some := await reader.read(65536):
                while self._how[name] == "silent":
                    await asyncio.sleep(0.05)
                if self._how[name] == "deaf" and way == "back":
                    self.lost_answers[name] += 1
                    continue
                writer.write(some)
                await writer.drain()
