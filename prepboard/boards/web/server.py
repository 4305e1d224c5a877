"""The server: pages from memory for devices that have a key, and one board's process for each open page.

Nothing is given without a key but the page that takes it from the link: all else is 403 and one word, static files too.
Host and Origin are checked against the configured name. A page that answers no ping is old: what it sends is not done.
"""

from __future__ import annotations

import asyncio
import json
from collections import deque
from collections.abc import Awaitable
from contextlib import suppress
from http import HTTPStatus
from pathlib import Path
from ssl import PROTOCOL_TLS_SERVER, SSLContext
from time import monotonic
from typing import Any

from msgspec import Struct
from websockets.asyncio.server import Server as Listening
from websockets.asyncio.server import ServerConnection, serve
from websockets.datastructures import Headers
from websockets.exceptions import ConnectionClosed
from websockets.http11 import Request, Response
from websockets.protocol import State

from prepboard.boards.web import messages, words
from prepboard.boards.web.devices import Device, DeviceFault, Devices
from prepboard.boards.web.sessions import Session, Sessions
from prepboard.texts import _, speaking

OLD = 1.0
"""Seconds of unanswered ping after which a key or a tap is dropped."""

SILENT = 10.0
"""Seconds of unanswered ping after which a page is gone, though nobody said so: switched off, or out of the Wi-Fi."""

_PAGE = Path(__file__).with_name("page")
_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
}
_OPEN = {"/": "enter.html", "/enter.js": "enter.js", "/enter.css": "enter.css"}
_KEYED = {"/board": "board.html", "/board.js": "board.js", "/board.css": "board.css"}
_A_YEAR = 365 * 24 * 3600


class Place(Struct, frozen=True):
    """Where the server listens, and under which name it is reached."""

    host: str = "127.0.0.1"
    port: int = 8430
    name: str = ""
    """As it stands in the link: "kitchen.local:8430"; empty is the host and port that are listened on."""
    certificate: str = ""
    key: str = ""
    behind_tls: bool = False
    """A proxy in front speaks TLS under that name."""

    @property
    def secure(self) -> bool:
        return bool(self.certificate) or self.behind_tls

    @property
    def names(self) -> frozenset[str]:
        """Hosts that a request may name."""
        own = {f"{self.host}:{self.port}"} if not self.name else {self.name}
        if not self.name and self.host in ("127.0.0.1", "localhost"):
            own |= {f"127.0.0.1:{self.port}", f"localhost:{self.port}"}
        return frozenset(own)

    @property
    def address(self) -> str:
        return f"{'https' if self.secure else 'http'}://{self.name or f'{self.host}:{self.port}'}/"


class Boards:
    """One kitchen's boards for browsers."""

    def __init__(self, file: Path, place: Place) -> None:
        self.place = place
        self.devices = Devices(file)
        self.sessions = Sessions(str(file))
        self._files = {name: (_PAGE / name).read_bytes() for name in (*_OPEN.values(), *_KEYED.values())}
        self._cookie = "__Host-prepboard" if place.secure else "prepboard"
        self._waiting: set[asyncio.Future[None]] = set()
        self._pings = _Pings()

    def language_of(self, device: Device) -> str:
        """What a device's reader reads."""
        return self.sessions.language_of(device)

    def listen(self) -> Any:
        """Listens until its context ends. OSError where the address is taken."""
        ssl = None
        if self.place.certificate:
            ssl = SSLContext(PROTOCOL_TLS_SERVER)
            ssl.load_cert_chain(self.place.certificate, self.place.key or None)
        return serve(
            self._talk,
            self.place.host,
            self.place.port,
            ssl=ssl,
            process_request=self._answer,
            max_size=messages.LONGEST,
            max_queue=64,
            ping_interval=None,
            compression=None,  # A few kB over a kitchen's own network: packing them costs each page more than it saves.
            server_header=None,
            open_timeout=10,
            close_timeout=2,
        )

    # --- pages ---------------------------------------------------------------------------------------------

    def _answer(self, connection: ServerConnection, request: Request) -> Response | None:
        path = request.path.split("?")[0]
        if request.headers.get("Host") not in self.place.names:
            return self._refused()
        if path == "/live":
            origin = f"{'https' if self.place.secure else 'http'}://"
            fine = request.headers.get("Origin") in {origin + name for name in self.place.names}
            return None if fine and self._device(request) else self._refused()
        if path in _OPEN:
            return self._page(_OPEN[path], words.preferred(request.headers.get("Accept-Language") or ""))
        if path == "/enter":
            return self._enter(request)
        if path in _KEYED and (device := self._device(request)):
            return self._page(_KEYED[path], self.language_of(device))
        return self._refused()

    def _device(self, request: Request) -> Device | None:
        """The device whose cookie a request carries."""
        for header in request.headers.get_all("Cookie"):
            for part in header.split(";"):
                name, _equals, value = part.strip().partition("=")
                if name == self._cookie and len(value) < 200:
                    with suppress(DeviceFault):
                        return self.devices.of_cookie(value)
        return None

    def _enter(self, request: Request) -> Response:
        """A link's secret for a cookie's. Answered with 200: after a redirect a strict cookie would stay behind."""
        kind, _space, secret = request.headers.get("Authorization", "").partition(" ")
        try:
            entered = self.devices.enter(secret) if kind == "Bearer" and 20 < len(secret) < 200 else None
        except (DeviceFault, OSError):
            entered = None
        if entered is None:
            return self._refused()
        cookie = f"{self._cookie}={entered[1]}; Path=/; Max-Age={_A_YEAR}; HttpOnly; SameSite=Strict"
        headers = self._headers("text/plain; charset=utf-8", 2)
        headers["Set-Cookie"] = cookie + ("; Secure" if self.place.secure else "")
        return Response(HTTPStatus.OK, "OK", headers, b"in")

    def _page(self, name: str, language: str) -> Response:
        body = self._files[name]
        if name.endswith(".html"):
            body = words.filled_in(body, language)
        return Response(HTTPStatus.OK, "OK", self._headers(_KINDS[Path(name).suffix], len(body)), body)

    def _refused(self) -> Response:
        body = b"no\n"
        return Response(HTTPStatus.FORBIDDEN, "Forbidden", self._headers("text/plain; charset=utf-8", len(body)), body)

    def _headers(self, kind: str, length: int) -> Headers:
        return Headers(
            {
                "Content-Type": kind,
                "Content-Length": str(length),
                "Cache-Control": "no-store",
                "Connection": "close",
                "X-Content-Type-Options": "nosniff",
                "Referrer-Policy": "no-referrer",
                "Cross-Origin-Resource-Policy": "same-origin",
                "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
                f"connect-src 'self' {' '.join(sorted(self._sockets()))}; base-uri 'none'; form-action 'none'; "
                "frame-ancestors 'none'",
            }
        )

    def _sockets(self) -> set[str]:
        return {f"{'wss' if self.place.secure else 'ws'}://{name}" for name in self.place.names}

    # --- a page's line -------------------------------------------------------------------------------------

    async def _talk(self, connection: ServerConnection) -> None:
        device = self._device(connection.request) if connection.request else None
        if device is None:
            return
        line = _Line(connection)
        session: Session | None = None
        try:
            async for text in connection:
                message = messages.read(text)
                if session is None:
                    session = await self._join(device, message, line)
                    if session is None:
                        return
                else:
                    await self._take(session, message, line)
        except (messages.Bad, ConnectionClosed):
            pass
        finally:
            self._pings.leave(line)
            if session and session.send == line.send:
                self._lost(session)

    def _lost(self, session: Session) -> None:
        """Its page is gone, as of now; its board waits for it."""
        session.leave()
        self._beside(self.sessions.wait_for_page(session))

    def _beside(self, work: Awaitable[None]) -> None:
        """Lets something run until it ends or the server does."""
        task = asyncio.ensure_future(work)
        self._waiting.add(task)
        task.add_done_callback(self._waiting.discard)

    async def _join(self, device: Device, message: dict[str, Any], line: _Line) -> Session | None:
        if message["do"] != "join":
            raise messages.Bad("order")
        self._pings.join(line)  # A page is told that somebody is there, however long its board takes to open.
        session, full = await self.sessions.of(device, message["page"], message["width"], message["height"])
        if session is None:
            await line.send({"out": full})
            return None
        if line.is_gone:  # It gave up while its board was being opened, and may be here again by another line.
            if session.send is None:
                self._lost(session)
            return None
        if session.send:
            with speaking(self.language_of(device)):
                said = _("This board was opened in another window.")
            self._beside(session.send({"out": said}))  # Where nobody hears it, nobody waits for it.
        shown = {"line": device.line, "letters": device.letters, "sleeps": device.sleeps}
        await line.send({"fresh": True, "rang": session.rings > session.heard, **shown})
        session.send, session.left_at = line.send, None
        await session.tell({"do": "repaint"})
        return session

    async def _take(self, session: Session, message: dict[str, Any], line: _Line) -> None:
        if message["do"] == "pong":
            line.heard(message["ping"], message.get("at"))
        elif message["do"] == "join":
            raise messages.Bad("order")
        elif message["do"] != "size" and line.is_old(message):
            with speaking(self.language_of(session.device)):
                said = _("The line was down for a moment: that was not done. Look, and press again.")
            await line.send({"told": said})
        else:
            meant = {name: value for name, value in message.items() if name not in ("ping", "age", "at")}
            await session.tell(meant | ({"at": line.pressed(message)} if message["do"] == "key" else {}))

    # --- as long as it runs --------------------------------------------------------------------------------

    async def look_after(self) -> None:
        """Ends the boards of devices that were removed meanwhile."""
        while True:
            await asyncio.sleep(1)
            with suppress(DeviceFault):
                await self.sessions.drop_removed(self.devices.all())

    async def close(self, listening: Listening | None = None) -> None:
        """Stops: no process of ours is left."""
        for task in list(self._waiting):
            task.cancel()
        self._pings.stop()
        await self.sessions.close()


class _Line:
    """What goes to one page, and how old the page's answers are."""

    def __init__(self, connection: ServerConnection) -> None:
        self._connection = connection
        self._sent: dict[int, float] = {}
        self._last = 0
        self._began: deque[float] = deque(maxlen=60)
        """When the page's own clock began, by this machine's, as each answer to a ping says; the network adds to it."""
        self._pinging: asyncio.Task[None] | None = None

    async def send(self, message: dict[str, Any]) -> None:
        with suppress(ConnectionClosed):
            await self._connection.send(json.dumps(message, ensure_ascii=False, separators=(",", ":")))

    @property
    def is_gone(self) -> bool:
        return self._connection.state is not State.OPEN

    def ping(self) -> None:
        """Asks whether somebody is there; not again while the last one is not even on its way. Who does not answer for
        long is gone."""
        if self._sent and monotonic() - min(self._sent.values()) > SILENT:
            self._connection.transport.abort()
            return
        if self._pinging and not self._pinging.done():
            return
        self._last += 1
        self._sent[self._last] = monotonic()
        self._pinging = asyncio.create_task(self.send({"ping": self._last}))

    def heard(self, ping: int, at: int | None) -> None:
        if at is not None:
            self._began.append(monotonic() - at / 1000)
        for old in [one for one in self._sent if one <= ping]:
            del self._sent[old]

    def is_old(self, message: dict[str, Any]) -> bool:
        """Whether it was pressed on an old page: one that had not seen a ping that was sent a while ago."""
        waiting = [at for ping, at in self._sent.items() if ping > message.get("ping", 0)]
        return bool(waiting) and monotonic() - min(waiting) > OLD

    def pressed(self, message: dict[str, Any]) -> float:
        """The moment of a press, by this machine's clock: of several that come at once each its own."""
        now = monotonic()
        at: int | None = message.get("at")
        if at is None or not self._began:
            return now
        return min(now, max(now - OLD, min(self._began) + at / 1000))


class _Pings:
    """A ping a second to each page, all at once: a server whose pages are at rest wakes once for all of them."""

    def __init__(self) -> None:
        self._lines: set[_Line] = set()
        self._beat: asyncio.Task[None] | None = None

    def join(self, line: _Line) -> None:
        line.ping()
        self._lines.add(line)
        if self._beat is None or self._beat.done():
            self._beat = asyncio.create_task(self._go_on())

    def leave(self, line: _Line) -> None:
        self._lines.discard(line)

    async def _go_on(self) -> None:
        while self._lines:
            await asyncio.sleep(1)
            for line in tuple(self._lines):
                line.ping()

    def stop(self) -> None:
        if self._beat:
            self._beat.cancel()
