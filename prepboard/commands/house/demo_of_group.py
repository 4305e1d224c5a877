"""`demo --group`: three made-up kitchens and a PostgreSQL of their own, printed or opened, gone at the end."""

from __future__ import annotations

import asyncio
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.session import Session, tell
from prepboard.commands.group.group import needs_driver
from prepboard.commands.house.boards import on_a_terminal

if TYPE_CHECKING:
    from prepboard.group.demo import Laid

FIRST = "quay"
"""The kitchen whose board is opened: it has food that the central kitchen holds back."""

LISTS = {"central": ("vans", "orders", "group"), "quay": ("coming", "left"), "hill": ("coming", "left")}


def demo_group(session: Session) -> None:
    """Prints what each kitchen sees; on a terminal one of them is opened, while all three ship and hear."""
    needs_driver()
    from prepboard.group.own_server import NoServer, own_server

    with tempfile.TemporaryDirectory(prefix="prepboard-group-") as name:
        folder = Path(name)
        folder.chmod(0o755)
        try:
            with own_server(folder / "postgresql") as office:
                _show(session, folder, office)
        except NoServer as fault:
            raise click.ClickException(str(fault)) from None


def _show(session: Session, folder: Path, office: str) -> None:
    from prepboard.group.demo import lay

    laid = asyncio.run(lay(folder, office))
    if on_a_terminal():
        with _shippers(laid):
            _call("--file", str(laid.files[FIRST]), *_language(session), "station")
        return
    for kitchen, lists in LISTS.items():
        for one in lists:
            tell(_call("--file", str(laid.files[kitchen]), *_language(session), "show", one, caught=True))
    tell(_call("group", "week", "--url", office, "--since", "2026-06-12", caught=True))


@contextmanager
def _shippers(laid: Laid) -> Iterator[None]:
    ships = [
        subprocess.Popen(
            [sys.executable, "-m", "prepboard", "--file", str(path), "group", "ship"],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )
        for path in laid.files.values()
    ]  # fmt: skip
    try:
        yield
    finally:
        for one in ships:
            one.terminate()
        for one in ships:
            one.wait(10)


def _language(session: Session) -> tuple[str, ...]:
    return ("--language", session.language) if session.language else ()


def _call(*words: str, caught: bool = False) -> str:
    """This program once more, on another file."""
    done = subprocess.run([sys.executable, "-m", "prepboard", *words], capture_output=caught, text=True, check=False)
    return done.stdout if caught else ""
