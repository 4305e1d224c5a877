"""A line over TLS, for real: a server with a certificate that was made here, kitchens that come with one of their own.

PostgreSQL's manual, 20.12 "Certificate Authentication" and 34.19.1 "Client Verification of Server Certificates":
`verify-full` checks the chain and the name; with `cert` the name in the client's certificate must be the login.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from psycopg.conninfo import make_conninfo
from store.group.conftest import InGroup, in_group

from prepboard.group.founding import connected, found, let_in, login_of
from prepboard.group.line import Line
from prepboard.group.own_server import NoServer, OwnServer, laid_in
from prepboard.group.shipper import Round, one_round
from prepboard.store.actions.group.joining import join

OPENSSL = shutil.which("openssl")
KEY = ("ec", "-pkeyopt", "ec_paramgen_curve:prime256v1")
"""A kind of key that is made at once."""


def made(folder: Path, *words: str) -> None:
    subprocess.run([str(OPENSSL), *words], cwd=folder, check=True, capture_output=True)


def authority(folder: Path, name: str) -> None:
    made(folder, "req", "-x509", "-newkey", *KEY, "-nodes", "-days", "2", "-subj", f"/CN={name}",
         "-keyout", f"{name}.key", "-out", f"{name}.crt")  # fmt: skip


def certificate(folder: Path, name: str, by: str, alias: str = "") -> None:
    """One that an authority signed, of that common name."""
    made(folder, "req", "-newkey", *KEY, "-nodes", "-subj", f"/CN={name}", "-keyout", f"{name}.key",
         "-out", f"{name}.csr")  # fmt: skip
    (folder / "more").write_text(f"subjectAltName=DNS:{alias or name}\n", "utf-8")
    made(folder, "x509", "-req", "-in", f"{name}.csr", "-CA", f"{by}.crt", "-CAkey", f"{by}.key", "-CAcreateserial",
         "-days", "2", "-extfile", "more", "-out", f"{name}.crt")  # fmt: skip
    (folder / f"{name}.key").chmod(0o600)


@pytest.fixture(scope="module")
def certificates(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if OPENSSL is None:
        pytest.skip("no certificates for the tests: openssl is not there")
    folder = tmp_path_factory.mktemp("certificates")
    authority(folder, "group")
    authority(folder, "stranger")
    certificate(folder, "localhost", "group")
    for kitchen in ("north", "south"):
        certificate(folder, login_of(kitchen), "group")
    return folder


@pytest.fixture(scope="module")
def tls(tmp_path_factory: pytest.TempPathFactory, certificates: Path) -> Iterator[int]:
    """The port of a server that only speaks TLS, and only with kitchens that show a certificate."""
    folder = tmp_path_factory.mktemp("pg")
    for above in (folder, *folder.parents[:3]):
        above.chmod(0o755)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    try:
        server = laid_in(folder, f"-c listen_addresses=localhost -c port={port} -c ssl=on -c ssl_ca_file=ca.crt")
        owned(server, certificates)
        server.start()
    except NoServer as fault:
        pytest.skip(f"no PostgreSQL here speaks TLS: {fault}")
    with connected(make_conninfo(server.url, port=port)) as owner:
        found(owner)
        for kitchen in ("north", "south"):
            let_in(owner, kitchen)
    yield port
    server.stop()


def owned(server: OwnServer, certificates: Path) -> None:
    """The server's own files, and who may come how."""
    for there, here in (("group.crt", "ca.crt"), ("localhost.crt", "server.crt"), ("localhost.key", "server.key")):
        shutil.copy(certificates / there, server.data / here)
        if server.as_whom is not None:
            os.chown(server.data / here, server.as_whom, -1)
        (server.data / here).chmod(0o600)
    (server.data / "pg_hba.conf").write_text("local all office trust\nhostssl all all all cert\n", "utf-8")


@pytest.fixture
def north(tmp_path: Path) -> Iterator[InGroup]:
    one = in_group(tmp_path, "north")
    yield one
    one.file.close()


async def shipped(north: InGroup, certificates: Path, port: int, **other: str) -> Round:
    """What a round comes to, with all as it should be but for what is `other`."""
    given = {
        "host": "localhost", "port": str(port), "dbname": "postgres", "user": login_of("north"),
        "sslmode": "verify-full", "sslrootcert": str(certificates / "group.crt"),
        "sslcert": str(certificates / "kitchen_north.crt"), "sslkey": str(certificates / "kitchen_north.key"),
    }  # fmt: skip
    url = make_conninfo("", **{key: value for key, value in {**given, **other}.items() if value})
    join(north.file, north.sous, url)
    line = Line(url)
    now = await one_round(north.file, line, "s")
    await line.hang_up()
    return now


async def test_a_kitchen_ships_with_its_certificate(tls: int, certificates: Path, north: InGroup) -> None:
    now = await shipped(north, certificates, tls)
    assert now.away == ""
    assert now.shipped is not None
    assert now.shipped.said == "in"
    assert now.shipped.actions == 1


@pytest.mark.parametrize(
    ("other", "why"),
    [
        ({"sslrootcert": "stranger.crt"}, "certificate verify failed"),
        ({"host": "127.0.0.1"}, "does not match host name"),
        ({"sslmode": "disable", "sslrootcert": "", "sslcert": "", "sslkey": ""}, "no pg_hba.conf entry"),
        ({"sslcert": "none.crt", "sslkey": "none.key"}, "certificate"),
        ({"user": "kitchen_south"}, "certificate authentication failed"),
    ],
    ids=["another authority", "another name", "no TLS", "no certificate", "another kitchen's"],
)
async def test_it_does_not_ship(tls: int, certificates: Path, north: InGroup, other: dict[str, str], why: str) -> None:
    paths = {key: str(certificates / value) if value.endswith((".crt", ".key")) else value
             for key, value in other.items()}  # fmt: skip
    now = await shipped(north, certificates, tls, **paths)
    assert now.shipped is None
    assert why in now.away
