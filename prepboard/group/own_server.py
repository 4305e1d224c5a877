"""A PostgreSQL of one's own for a while, in a folder: for the demo of a group, and for trying things."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct
from psycopg.conninfo import make_conninfo

from prepboard.texts import _


class NoServer(Exception):
    """No PostgreSQL is on this machine that could be started, in words."""


class OwnServer(Struct, frozen=True):
    """One in a folder. It can be reached from this machine only, by a socket in that folder."""

    folder: Path
    programs: Path
    as_whom: int | None
    options: str = ""
    """What it is started with besides, as on its command line."""

    @property
    def data(self) -> Path:
        return self.folder / "data"

    @property
    def url(self) -> str:
        """The connection string of its owner."""
        return make_conninfo(host=str(self.folder), dbname="postgres", user="office")

    def start(self) -> None:
        options = f"-c listen_addresses='' -c unix_socket_directories='{self.folder}' -c fsync=off {self.options}"
        self._control("-l", self.folder / "server.log", "-o", options, "start")

    def stop(self) -> None:
        self._control("-m", "immediate", "stop")

    def _control(self, *words: object) -> None:
        _call(self.as_whom, self.programs / "pg_ctl", "-D", self.data, "-w", *words)


def laid_in(folder: Path, options: str = "") -> OwnServer:
    """Its data, made in that folder; not started yet. NoServer."""
    programs = _programs()
    if programs is None or os.name != "posix":
        raise NoServer(_("this needs PostgreSQL on this machine: its packages for Debian, or: pip install pgserver"))
    data = folder / "data"
    data.mkdir(parents=True)
    server = OwnServer(folder, programs, _somebody(folder, data), options)
    _call(server.as_whom, programs / "initdb", "-D", data, "-U", "office", "-A", "trust", "-E", "UTF8", "--no-sync")
    return server


@contextmanager
def own_server(folder: Path) -> Iterator[str]:
    """Starts one whose data lie in `folder`; answers its owner's connection string, and ends it afterwards."""
    server = laid_in(folder)
    server.start()
    try:
        yield server.url
    finally:
        server.stop()


def _programs() -> Path | None:
    """Where initdb and pg_ctl are: in the path, where Debian puts them, or in the package pgserver."""
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    by_debian = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if by_debian:
        return by_debian[-1].parent
    try:
        import pgserver
    except ImportError:
        return None
    programs: Path = Path(pgserver.__file__).parent / "pginstall" / "bin"
    return programs if (programs / "initdb").exists() else None


def _somebody(folder: Path, data: Path) -> int | None:
    """PostgreSQL refuses to run as root: then it runs as nobody, to whom the folder is given. None: as who asks."""
    if os.geteuid() != 0:
        return None
    import pwd

    nobody = pwd.getpwnam("nobody").pw_uid
    for path in (folder, data):
        os.chown(path, nobody, -1)
    return nobody


def _call(as_whom: int | None, program: Path, *words: object) -> None:
    done = subprocess.run(
        [str(program), *map(str, words)], user=as_whom, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE, text=True, cwd="/", check=False,
    )  # fmt: skip
    if done.returncode:
        raise NoServer(_("PostgreSQL could not be started: {why}").format(why=done.stderr.strip().rpartition("\n")[2]))
