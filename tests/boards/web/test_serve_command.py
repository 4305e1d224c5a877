"""`prepboard serve` itself, in a process of its own: what it says, TLS, and that it stops with all it began."""

from __future__ import annotations

import asyncio
import signal
import ssl
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from boards.web.test_server import free_port
from boards.web.test_starting import gone

pytestmark = pytest.mark.asyncio(loop_scope="session")


@asynccontextmanager
async def a_server(kitchen: Path, port: int, *more: str) -> AsyncIterator[asyncio.subprocess.Process]:
    """The command itself, in a process of its own, once it listens."""
    command = (sys.executable, "-m", "prepboard", "--file", str(kitchen), "serve", "--port", str(port), *more)
    process = await asyncio.create_subprocess_exec(*command, stdout=asyncio.subprocess.PIPE)
    try:
        assert process.stdout
        await asyncio.wait_for(process.stdout.readline(), 20)
        yield process
    finally:
        if process.returncode is None:
            process.send_signal(signal.SIGTERM)
            await asyncio.wait_for(process.wait(), 10)


def begun_by(pid: int) -> list[int]:
    """All processes that one has begun, and those that they have (proc(5))."""
    parents = {}
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                parents[int(folder.name)] = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
            except OSError:
                continue
    found = [pid]
    for each in found:
        found += [child for child, parent in parents.items() if parent == each]
    return found[1:]


async def answers(address: str, port: int) -> bool:
    """Whether somebody listens there. 127.0.0.2 is this machine too (RFC 1122 section 3.2.1.3 g): whoever listens on
    all addresses answers there."""
    try:
        _reader, writer = await asyncio.open_connection(address, port)
    except ConnectionRefusedError:
        return False
    writer.close()
    return True


async def rest_of(process: asyncio.subprocess.Process) -> str:
    """What it says until it ends."""
    return (await asyncio.wait_for(process.stdout.read(), 20)).decode()


async def test_on_a_network_it_says_once_what_plain_http_means_and_stops_with_all_that_it_began(kitchen):
    port = await free_port()
    async with a_server(kitchen, port, "--host", "0.0.0.0") as server:
        assert await answers("127.0.0.1", port)
        assert await answers("127.0.0.2", port)
        begun = begun_by(server.pid)
        assert begun
        server.send_signal(signal.SIGINT)
        said = await rest_of(server)
        assert said.count("Plain http") == 1
        assert "Stopped; all boards are closed." in said
        assert await server.wait() == 0
        await gone(*begun)


async def test_with_a_certificate_of_its_own_it_speaks_https_on_this_machine_only_and_says_nothing_of_plain_http(
    kitchen, tmp_path
):
    """The certificate is made by openssl, and read by the standard library's client."""
    made = ("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "1",
            "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost",
            "-keyout", str(tmp_path / "key.pem"), "-out", str(tmp_path / "chain.pem"))  # fmt: skip
    try:
        making = await asyncio.create_subprocess_exec(*made, stderr=asyncio.subprocess.DEVNULL)
    except FileNotFoundError:
        pytest.skip("openssl is not installed: no certificate was made")
    assert await making.wait() == 0
    port = await free_port()
    held = ("--certificate", str(tmp_path / "chain.pem"), "--key", str(tmp_path / "key.pem"))
    async with a_server(kitchen, port, "--name", f"localhost:{port}", *held) as server:
        trusts = ssl.create_default_context(cafile=tmp_path / "chain.pem")
        reader, writer = await asyncio.open_connection("localhost", port, ssl=trusts)
        writer.write(f"GET /board HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n".encode())
        assert (await asyncio.wait_for(reader.read(), 5)).endswith(b"\r\n\r\nno\n")
        writer.close()
        assert not await answers("127.0.0.2", port), "unless told otherwise"
        server.send_signal(signal.SIGTERM)
        assert "Plain http" not in await rest_of(server)
