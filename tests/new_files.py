"""New files of tests: what a file begins with comes out the same each time, and is worked out once in a process."""

from __future__ import annotations

import sqlite3
from collections.abc import Generator
from contextlib import contextmanager
from sqlite3 import Connection
from uuid import uuid4

import pytest

from prepboard.store.file import migrations

_AS_STARTS_DO = migrations.bring_up_to_date
_begun: list[Connection] = []
"""A file with all tables and nothing in them, in memory."""


def _from_the_one_before(db: Connection) -> None:
    """Gives a file that has no table yet those of the one that was made first; an older one is brought up to date."""
    if db.execute("SELECT count(*) FROM sqlite_master").fetchone() != (0,):
        _AS_STARTS_DO(db)
        return
    if not _begun:
        _AS_STARTS_DO(db)
        _begun.append(sqlite3.connect(":memory:", check_same_thread=False))
        db.backup(_begun[0])
    else:
        _begun[0].backup(db)
        for name in OF_ITS_OWN:
            db.execute("UPDATE settings SET value = ? WHERE name = ?", [uuid4().hex, name])


OF_ITS_OWN = ("kitchen id", "file id")
"""Settings that each file has drawn for itself."""


@contextmanager
def tables_are_made_once() -> Generator[None]:
    """Has new files take their tables from one another. How they are made has tests of its own, which do so."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(migrations, "bring_up_to_date", _from_the_one_before)
        yield


@contextmanager
def tables_are_made_as_starts_do() -> Generator[None]:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(migrations, "bring_up_to_date", _AS_STARTS_DO)
        yield
