"""What comes in over the network: nothing without a key, one word for all that is refused, nothing acted on late."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from time import monotonic
from typing import Any

import pytest
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed, InvalidStatus

from prepboard.boards.web import server
from prepboard.boards.web import sessions as pages
from prepboard.boards.web.devices import Device
from prepboard.boards.web.server import OLD, Boards, Place
from prepboard.boards.web.starting import Starter

pytestmark = pytest.mark.asyncio


class Asked:
    """A server on a free port, asked as a browser asks, or otherwise."""

    def __init__(self, boards: Boards, port: int) -> None:
        self.boards, self.port = boards, port
        self.host = f"127.0.0.1:{port}"

    async def get(self, path: str, *headers: str, host: str | None = None, how: str = "GET") -> tuple[int, str, bytes]:
        """Status, headers and body."""
        reader, writer = await asyncio.open_connection("127.0.0.1", self.port)
        lines = [f"{how} {path} HTTP/1.1", f"Host: {host or self.host}", *headers, "", ""]
        writer.write("\r\n".join(lines).encode("utf-8", "surrogateescape"))
        answer = await asyncio.wait_for(reader.read(), 5)
        writer.close()
        head, _, body = answer.partition(b"\r\n\r\n")
        status = int(head.split(b" ")[1]) if head else 0
        return status, head.decode("latin-1"), body

    async def enter(self, secret: str) -> str:
        status, head, _body = await self.get("/enter", f"Authorization: Bearer {secret}")
        assert status == 200
        (cookie,) = [line for line in head.split("\r\n") if line.lower().startswith("set-cookie")]
        return cookie.split(": ", 1)[1].split(";")[0]

    def live(self, cookie: str, origin: str | None = "", **more: Any) -> connect:
        named = f"http://{self.host}" if origin == "" else origin
        return connect(
            f"ws://{self.host}/live", origin=named, additional_headers={"Cookie": cookie} if cookie else {},
            compression=None, ping_interval=None, **more,
        )  # fmt: skip


async def free_port() -> int:
    probe = await asyncio.start_server(lambda reader, writer: None, "127.0.0.1", 0)
    port = int(probe.sockets[0].getsockname()[1])
    probe.close()
    await probe.wait_closed()
    return port


@asynccontextmanager
async def serving(path: Path, port: int = 0, *, starter: Starter | None = None, **more: Any) -> AsyncIterator[Asked]:
    port = port or await free_port()
    boards = Boards(path, Place("127.0.0.1", port, **more))
    if starter:
        boards.sessions.starter = starter
    async with boards.listen():
        after = asyncio.create_task(boards.look_after())
        try:
            yield Asked(boards, port)
        finally:
            after.cancel()
            await boards.close()


@pytest.fixture
def no_process(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Boards are `cat`: what they are told comes back as a message."""
    told: list[dict[str, Any]] = []

    async def start(self: Any, device: Device, width: int, height: int) -> Any:
        told.append({"started": device.name, "size": (width, height)})
        pipe = asyncio.subprocess.PIPE
        return await asyncio.create_subprocess_exec("cat", stdin=pipe, stdout=pipe)

    monkeypatch.setattr(pages.Sessions, "_start", start)
    return told


async def joined(asked: Asked, cookie: str, page: str = "12345678") -> Any:
    line = await asked.live(cookie)
    await line.send(json.dumps({"do": "join", "page": page, "width": 80, "height": 24}))
    return line


async def until(line: Any, holds: Any) -> dict[str, Any]:
    async with asyncio.timeout(5):
        while True:
            message = json.loads(await line.recv())
            if "ping" in message:
                await line.send(json.dumps({"do": "pong", "ping": message["ping"]}))
            if holds(message):
                return message


REFUSED = (403, b"no\n")


@pytest.mark.parametrize(
    "path",
    ["/board", "/board.js", "/board.css", "/live", "/nothing", "/../enter.js", "/enter.js/../board.js", "/%2e%2e/x"],
)
async def test_nothing_is_given_without_a_key(tmp_path, path):
    async with serving(tmp_path / "k.db") as asked:
        status, head, body = await asked.get(path)
        assert (status, body) == REFUSED
        assert "Server:" not in head


async def test_a_wrong_key_an_old_cookie_and_no_key_get_the_same_word(tmp_path):
    async with serving(tmp_path / "k.db") as asked:
        secret = asked.boards.devices.add(Device("t", "station", ("fish",)))
        cookie = await asked.enter(secret)
        assert (await asked.get("/board", f"Cookie: {cookie}"))[0] == 200
        asked.boards.devices.remove("t")
        for headers in (
            (f"Cookie: {cookie}",),
            ("Cookie: prepboard=" + "x" * 43,),
            ("Cookie: prepboard=" + "x" * 5000,),
            (f"Cookie: {secret}",),
        ):
            status, _head, body = await asked.get("/board", *headers)
            assert (status, body) == REFUSED
        for kind in ("", f"Basic {secret}", "Bearer", f"Bearer {secret}x", f"Bearer {secret}"):
            status, _head, body = await asked.get("/enter", f"Authorization: {kind}")
            assert (status, body) == REFUSED


async def test_the_cookie_is_for_no_script_and_no_other_site(tmp_path):
    async with serving(tmp_path / "k.db") as asked:
        secret = asked.boards.devices.add(Device("t", "wall"))
        _status, head, _body = await asked.get("/enter", f"Authorization: Bearer {secret}")
        (cookie,) = [line for line in head.split("\r\n") if line.startswith("Set-Cookie")]
        assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(cookie.split("; "))
        assert "Secure" not in cookie


async def test_behind_tls_the_cookie_is_bound_to_the_host(tmp_path):
    """RFC 6265bis section 4.1.3.2: a name that begins with __Host- needs Secure, Path=/ and no Domain."""
    async with serving(tmp_path / "k.db", name="kitchen.example", behind_tls=True) as asked:
        secret = asked.boards.devices.add(Device("t", "wall"))
        _s, head, _b = await asked.get("/enter", f"Authorization: Bearer {secret}", host="kitchen.example")
        (cookie,) = [line for line in head.split("\r\n") if line.startswith("Set-Cookie")]
        assert cookie.startswith("Set-Cookie: __Host-prepboard=")
        assert cookie.endswith("; Secure")
        assert "Domain" not in cookie


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "localhost:1", "", "kitchen.local:8430"])
async def test_a_foreign_host_is_refused_even_with_a_key(tmp_path, host):
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        status, _head, body = await asked.get("/board", f"Cookie: {cookie}", host=host or "\t")
        assert (status, body) == REFUSED or status == 400


@pytest.mark.parametrize("origin", ["http://evil.example", "null", None, "https://127.0.0.1"])
async def test_a_foreign_origin_gets_no_line(tmp_path, origin, no_process):
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        with pytest.raises(InvalidStatus) as refused:
            await asked.live(cookie, origin)
        assert refused.value.response.status_code == 403
        assert no_process == []


async def test_only_reading_is_asked_for(tmp_path):
    async with serving(tmp_path / "k.db") as asked:
        for how in ("POST", "PUT", "DELETE", "TRACE"):
            status, _head, _body = await asked.get("/board", how=how)
            assert status in (400, 403, 405, 501)


async def test_pages_may_run_no_script_but_their_own(tmp_path):
    async with serving(tmp_path / "k.db") as asked:
        _status, head, body = await asked.get("/")
        (policy,) = [line for line in head.split("\r\n") if line.startswith("Content-Security-Policy")]
        assert "default-src 'none'; script-src 'self'; style-src 'self'" in policy
        assert b"<script src=" in body
        assert b"style=" not in body
        assert b"//" not in body.replace(b"<!doctype html>", b"")


@pytest.mark.parametrize("said", ["", "[]", "{", '{"do": "key", "key": "s"}', "x" * 5000, '{"do": "end"}'])
async def test_nonsense_ends_the_line_and_starts_no_board(tmp_path, said, no_process):
    async with serving(tmp_path / "k.db") as asked:
        line = await asked.live(await asked.enter(asked.boards.devices.add(Device("t", "wall"))))
        with pytest.raises(ConnectionClosed):  # noqa: PT012
            await line.send(said)
            while True:
                await asyncio.wait_for(line.recv(), 5)
        assert no_process == []


async def test_what_a_page_presses_reaches_its_board(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        line = await joined(asked, await asked.enter(asked.boards.devices.add(Device("t", "wall"))))
        await until(line, lambda message: message == {"do": "repaint"})
        await line.send(json.dumps({"do": "key", "key": "s", "ping": 1, "age": 3}))
        await until(line, lambda message: message.get("key") == "s" and set(message) == {"do", "key", "at"})


async def test_keys_that_come_all_at_once_are_told_as_they_were_pressed(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        line = await joined(asked, await asked.enter(asked.boards.devices.add(Device("t", "wall"))))
        ping = (await until(line, lambda message: "ping" in message))["ping"]
        await line.send(json.dumps({"do": "pong", "ping": ping, "at": 70_000}))
        await asyncio.sleep(0.3)
        for key, at in (("n", 70_100), ("o", 70_160), ("x", 90_000)):
            await line.send(json.dumps({"do": "key", "key": key, "ping": ping, "age": 3, "at": at}))
        n, o, x = [await until(line, lambda message, key=key: message.get("key") == key) for key in "nox"]
        assert o["at"] - n["at"] == pytest.approx(0.06, abs=0.002)
        assert x["at"] <= monotonic(), "what a page says of its clock moves nothing into the future"


async def test_a_key_from_an_old_page_is_dropped_and_said(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        line = await joined(asked, await asked.enter(asked.boards.devices.add(Device("t", "wall"))))
        await asyncio.sleep(OLD + 1.3)  # pings come, and none is answered
        await line.send(json.dumps({"do": "key", "key": "s", "ping": 0, "age": 3}))
        told = await until(line, lambda message: "told" in message or message.get("key") == "s")
        assert "press again" in told["told"]


async def test_a_page_that_comes_back_has_its_board_again(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        line = await joined(asked, cookie)
        await until(line, lambda message: message == {"do": "repaint"})
        await line.close()
        line = await joined(asked, cookie)
        await until(line, lambda message: message == {"do": "repaint"})
        assert len(no_process) == 1


async def test_a_page_that_came_back_while_its_board_was_still_being_opened_is_heard(tmp_path, no_process, monkeypatch):
    """A slow machine: its first line was given up before the board stood, and is found to be so only then."""
    start = pages.Sessions._start

    async def slowly(*told: Any) -> Any:
        await asyncio.sleep(0.3)
        return await start(*told)

    monkeypatch.setattr(pages.Sessions, "_start", slowly)
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        first = await joined(asked, cookie)
        await asyncio.sleep(0.1)
        await first.close()
        second = await joined(asked, cookie)
        await until(second, lambda message: message == {"do": "repaint"})
        await asyncio.sleep(0.2)
        await second.send(json.dumps({"do": "key", "key": "s", "ping": 1, "age": 3}))
        await until(second, lambda message: message.get("key") == "s")
        assert len(no_process) == 1


async def test_a_page_that_is_just_coming_back_keeps_its_board(tmp_path, no_process, monkeypatch):
    """The minute ends between its coming and its first picture."""
    monkeypatch.setattr(pages, "GRACE", 0.3)
    told = pages.Session.tell

    async def slowly(session: pages.Session, message: dict[str, Any]) -> None:
        if message["do"] == "size":
            await asyncio.sleep(0.5)
        await told(session, message)

    monkeypatch.setattr(pages.Session, "tell", slowly)
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        first = await joined(asked, cookie)
        await until(first, lambda message: message == {"do": "repaint"})
        await first.close()
        await asyncio.sleep(0.1)
        second = await joined(asked, cookie)
        await until(second, lambda message: message == {"do": "repaint"})
        assert len(no_process) == 1


async def test_a_page_that_answers_nothing_is_gone_though_nobody_said_so(tmp_path, no_process, monkeypatch):
    """Its battery ended, or its Wi-Fi: its board would be watched by nobody, for ever."""
    monkeypatch.setattr(server, "SILENT", 0.5)
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        silent, there = await joined(asked, cookie), await joined(asked, cookie, "another-one")
        for line in (silent, there):
            await until(line, lambda message: message == {"do": "repaint"})
        first, second = (asked.boards.sessions.open["t", page] for page in ("12345678", "another-one"))
        began = monotonic()
        while monotonic() < began + 4:
            message = json.loads(await there.recv())
            if "ping" in message:
                await there.send(json.dumps({"do": "pong", "ping": message["ping"]}))
            if first.left_at:
                break
        assert not first.watched
        assert second.watched
        with pytest.raises(ConnectionClosed):  # noqa: PT012
            while True:
                await asyncio.wait_for(silent.recv(), 5)


async def test_a_page_that_comes_back_does_not_wait_for_its_old_line(tmp_path, no_process):
    """What was sent there last is on its way to nobody."""
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        await until(await joined(asked, cookie), lambda message: message == {"do": "repaint"})
        (session,) = asked.boards.sessions.open.values()

        over = asyncio.Event()

        async def on_its_way(_message: dict[str, Any]) -> None:
            await over.wait()

        session.send = on_its_way
        try:
            await until(await joined(asked, cookie), lambda message: message == {"do": "repaint"})
        finally:
            over.set()


async def test_a_ring_that_nobody_was_there_to_hear_is_said_once_to_the_page_that_comes_back(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        rang = []
        for missed in (0, 1, 0):
            line = await joined(asked, cookie)
            rang.append((await until(line, lambda message: "fresh" in message))["rang"])
            await until(line, lambda message: message == {"do": "repaint"})
            (session,) = asked.boards.sessions.open.values()
            await session.tell({"rings": 1})  # The board that stands in here says what it is told.
            await until(line, lambda message: "rings" in message)
            await line.close()
            while session.watched:
                await asyncio.sleep(0.01)
            if missed == 0:
                await session.tell({"rings": 2})
                await asyncio.sleep(0.1)
        assert rang == [False, True, False]


async def test_pages_at_rest_are_asked_all_at_once(tmp_path, no_process):
    """A server that woke for each of them would be as busy as with work."""
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        lines = []
        for n in range(2):
            lines.append(await joined(asked, cookie, f"page-{n}-abc"))
            await asyncio.sleep(0.45)

        async def pinged(line: Any) -> float:
            while (await until(line, lambda message: "ping" in message))["ping"] < 3:
                pass
            return monotonic()

        one, other = await asyncio.gather(*map(pinged, lines))
        assert abs(one - other) < 0.2 or abs(abs(one - other) - 1) < 0.2


async def test_a_lost_page_is_waited_for_no_longer_than_that(tmp_path, no_process, monkeypatch):
    monkeypatch.setattr(pages, "GRACE", 0.2)
    async with serving(tmp_path / "k.db") as asked:
        line = await joined(asked, await asked.enter(asked.boards.devices.add(Device("t", "wall"))))
        await until(line, lambda message: message == {"do": "repaint"})
        (session,) = asked.boards.sessions.open.values()
        await line.close()
        await asyncio.wait_for(session.ended.wait(), 5)
        assert asked.boards.sessions.open == {}


async def test_a_device_has_three_boards_and_the_one_nobody_looks_at_gives_way(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        held = [await joined(asked, cookie, f"page-{n}-abc") for n in range(3)]
        for line in held:
            await until(line, lambda message: message == {"do": "repaint"})
        fourth = await joined(asked, cookie, "page-4-abc")
        assert "close one first" in (await until(fourth, lambda message: "out" in message))["out"]
        await held[0].close()
        await asyncio.sleep(0.1)
        fifth = await joined(asked, cookie, "page-5-abc")
        await until(fifth, lambda message: message == {"do": "repaint"})
        assert {page for _name, page in asked.boards.sessions.open} == {"page-1-abc", "page-2-abc", "page-5-abc"}


async def test_all_devices_together_have_no_more_boards_than_the_machine_bears(tmp_path, no_process, monkeypatch):
    assert pages.IN_ALL == 64
    monkeypatch.setattr(pages, "IN_ALL", 2)
    async with serving(tmp_path / "k.db") as asked:
        lines = []
        for name in "abc":
            cookie = await asked.enter(asked.boards.devices.add(Device(name, "wall")))
            lines.append(await joined(asked, cookie))
        assert "close one first" in (await until(lines[-1], lambda message: "out" in message))["out"]
        assert len(asked.boards.sessions.open) == 2


async def test_a_removed_device_is_shut_out_at_once(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        line = await joined(asked, await asked.enter(asked.boards.devices.add(Device("t", "wall"))))
        await until(line, lambda message: message == {"do": "repaint"})
        asked.boards.devices.remove("t")
        assert "removed" in (await until(line, lambda message: "out" in message))["out"]
        assert asked.boards.sessions.open == {}


async def test_a_storm_of_a_hundred_lines_leaves_three_boards(tmp_path, no_process):
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        lines = await asyncio.gather(*(joined(asked, cookie, f"page-{n:04}-abc") for n in range(100)))
        await asyncio.sleep(0.5)
        assert len(asked.boards.sessions.open) <= pages.OF_A_DEVICE
        for line in lines:
            await line.close()


async def test_a_server_that_is_closed_has_heard_its_boards_out(tmp_path, monkeypatch):
    """What a board says comes by a pipe that is open until its last word, which may come after it has ended."""

    async def start(*_asked: Any) -> Any:
        pipe = asyncio.subprocess.PIPE
        return await asyncio.create_subprocess_exec("sh", "-c", "sleep 0.5 & head -n 1", stdin=pipe, stdout=pipe)

    monkeypatch.setattr(pages.Sessions, "_start", start)
    async with serving(tmp_path / "k.db") as asked:
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall")))
        line = await joined(asked, cookie)
        await until(line, lambda message: message == {"do": "repaint"})
        (board,) = [one.process for one in asked.boards.sessions.open.values()]
        while board.returncode is None:
            await asyncio.sleep(0.01)
        await line.close()
    assert board.stdout.at_eof()


async def test_the_pages_ask_nobody_else_for_anything():
    folder = Path(__file__).parents[3] / "prepboard" / "boards" / "web" / "page"
    for file in folder.iterdir():
        text = file.read_text(encoding="utf-8")
        assert "http://" not in text.replace('http://" :', "")
        assert "https://" not in text
        assert "@import" not in text
    assert sum(len(file.read_bytes()) for file in folder.iterdir()) < 25_000
