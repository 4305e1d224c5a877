"""A copy of a database as it stands at one moment, made while its stations go on.

A copy is one file: it is not in WAL mode, so that it can be read from a stick that may not be written to.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from sqlite3 import Connection

from prepboard.store.file.faults import StoreFault
from prepboard.store.file.writing import in_words, patiently
from prepboard.texts import _

PAGES_AT_ONCE = 500
"""Of a copy; between them the stations get their turn."""


@contextmanager
def only_reading(path: Path) -> Iterator[Connection]:
    """A connection that changes nothing, on read-only media too. StoreFault when the file cannot be read."""
    db = _opened(path)
    try:
        yield db
    except sqlite3.DatabaseError as fault:
        raise in_words(fault, path, _("cannot be read")) from None
    finally:
        db.close()


def _opened(path: Path) -> Connection:
    """A file in WAL mode needs a folder that may be written to; where it may not be, nobody writes the file either,
    and SQLite is told so (sqlite.org/wal.html, "Read-Only Databases")."""
    fault: sqlite3.Error | None = None
    for how in ("mode=ro", "mode=ro&immutable=1"):
        db = sqlite3.connect(f"{path.as_uri()}?{how}", uri=True, isolation_level=None)
        try:
            db.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.DatabaseError as found:
            fault = fault or found
            db.close()
        else:
            return db
    assert isinstance(fault, sqlite3.DatabaseError)
    raise in_words(fault, path, _("cannot be read")) from None


def copy(source: Path, target: Path) -> None:
    """Copies `source` as it stands at one moment to `target`, where there must be nothing yet. StoreFault says why it
    could not be; nothing of it is left then."""
    if target.exists():
        raise StoreFault(_("there is a file {file} already").format(file=target))
    if not target.parent.is_dir():
        raise StoreFault(_("there is no folder {folder}").format(folder=target.parent))
    try:
        target.touch(exist_ok=False)
    except OSError as fault:
        raise StoreFault(_("no copy at {file}: {why}").format(file=target, why=fault.strerror)) from None
    try:
        copy_onto(source, target)
    except BaseException:
        target.unlink(missing_ok=True)
        raise


def copy_onto(source: Path, target: Path) -> None:
    """Copies onto a file that nobody has open and whose contents nobody needs."""
    with only_reading(source) as begin:
        end = sqlite3.connect(target, isolation_level=None)
        try:
            # With one reading transaction around it all of it is of one moment, and writers never make it begin anew.
            begin.execute("BEGIN")
            begin.execute("SELECT count(*) FROM sqlite_master").fetchone()
            patiently(lambda: begin.backup(end, pages=PAGES_AT_ONCE), target)
            end.execute("PRAGMA journal_mode = DELETE")
        except sqlite3.DatabaseError as fault:
            raise in_words(fault, target, _("cannot be copied")) from None
        finally:
            end.close()
