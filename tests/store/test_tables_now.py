"""`store/file/tables_now.sql` is what all changes of the tables come to: to be read by people, in one place. A change
writes it anew with PREPBOARD_TABLES=write."""

from __future__ import annotations

import os
from pathlib import Path
from sqlite3 import connect

from sqlite_utils import Database

import prepboard.store.file
from prepboard.store.file.migrations import migrations

KEPT = Path(prepboard.store.file.__file__).parent / "tables_now.sql"
HEAD = "-- Every table as it stands in a new file. Made from the migrations, which are what counts; read only.\n"


def now() -> str:
    """Tables first, then their indexes and triggers, by name."""
    db = connect(":memory:")
    migrations.apply(Database(db))
    rows = db.execute(
        "SELECT type, sql FROM sqlite_master WHERE sql IS NOT NULL AND tbl_name NOT GLOB '*sqlite_*'"
        " ORDER BY tbl_name, type != 'table', name"
    ).fetchall()
    assert {kind for kind, _sql in rows} >= {"table", "index"}
    return HEAD + "".join(("\n" if kind == "table" else "") + tidied(sql) + ";\n" for kind, sql in rows)


def tidied(sql: str) -> str:
    """Without the indent that it had in a program's text."""
    lines = [line.rstrip() for line in sql.splitlines()]
    rests = [len(line) - len(line.lstrip()) for line in lines[1:] if line.strip()]
    cut = max(0, min(rests, default=0) - 2) if rests and min(rests) > 2 else 0
    return "\n".join([lines[0], *(line[cut:] for line in lines[1:])])


def test_the_tables_that_people_read_are_those_of_a_new_file() -> None:
    if os.environ.get("PREPBOARD_TABLES") == "write":
        KEPT.write_text(now(), encoding="utf-8")
    assert KEPT.read_text(encoding="utf-8") == now()
