"""A real PostgreSQL for the tests of a group, started once, and a database of its own for each test."""

from __future__ import annotations

import os
import shutil
from collections.abc import Generator, Iterator
from pathlib import Path
from tempfile import gettempdir
from uuid import uuid4

import pytest
from conftest import any_plan, books_are_read_once
from psycopg import sql
from psycopg.conninfo import make_conninfo

from prepboard.book.book import Book
from prepboard.group.founding import Owner, connected, found, let_in, login_of
from prepboard.group.line import Line

KITCHENS = ("central", "north", "south")


class Group:
    """What a test knows of it: the owner's connection, and how each kitchen calls."""

    def __init__(self, url: str, owner: Owner) -> None:
        self.url, self.owner = url, owner
        self._lines: dict[str, Line] = {}

    def url_of(self, kitchen: str) -> str:
        return make_conninfo(self.url, user=login_of(kitchen), password="of the test")

    def line_of(self, kitchen: str) -> Line:
        """One that its shipper keeps from round to round, as it does."""
        return self._lines.setdefault(kitchen, Line(self.url_of(kitchen)))


_BOOKS: dict[str, Book] = {}


@pytest.fixture(scope="module", autouse=True)
def plans_are_quick() -> Generator[None]:
    """What goes between stations and kitchens does not ask how good a plan is."""
    with any_plan(), books_are_read_once(_BOOKS):
        yield


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The connection string of a server that only these tests have."""
    pgserver = pytest.importorskip(
        "pgserver", reason="no PostgreSQL for the tests: pgserver is not there for this Python"
    )
    os.environ.setdefault("XDG_RUNTIME_DIR", gettempdir())
    folder = Path(gettempdir()) / f"prepboard-pg-{uuid4().hex[:8]}"
    server = pgserver.get_server(folder)
    with connected(server.get_uri()) as owner:  # nothing of it has to outlive the tests
        owner.execute("ALTER SYSTEM SET fsync = off")
        owner.execute("SELECT pg_reload_conf()")
    try:
        yield server.get_uri()
    finally:
        server.cleanup()
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def laid(server: str) -> str:
    """The name of a database with a group of three kitchens, to be copied."""
    with connected(server) as owner:
        owner.execute("CREATE DATABASE group_laid")
    with connected(make_conninfo(server, dbname="group_laid")) as owner:
        found(owner)
        for kitchen in KITCHENS:
            let_in(owner, kitchen, "of the test")
    return "group_laid"


@pytest.fixture(scope="session")
def owner(server: str) -> Iterator[Owner]:
    with connected(server) as owner:
        yield owner


_LEFT: list[str] = []
"""Databases of tests that are over. While somebody still hangs up the server waits a tenth of a second before it drops
one: the next test does so."""


@pytest.fixture
def group(server: str, owner: Owner, laid: str) -> Iterator[Group]:
    """A group of three kitchens on a database of its own."""
    while _LEFT:
        owner.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(_LEFT.pop())))
    name = f"group_{uuid4().hex[:8]}"
    owner.execute(
        sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY file_copy").format(sql.Identifier(name), sql.Identifier(laid))
    )
    url = make_conninfo(server, dbname=name)
    with connected(url) as its:
        yield Group(url, its)
    _LEFT.append(name)
