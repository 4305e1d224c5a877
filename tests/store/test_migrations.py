"""Files of every older schema open, keep what is in them, and come out with the tables of a new file."""

from __future__ import annotations

import json
import re
from hashlib import sha256
from sqlite3 import Connection, connect

import pytest
from new_files import tables_are_made_as_starts_do
from sqlite_utils import Database

from prepboard.clock import FixedClock
from prepboard.store.file.migrations import migrations
from prepboard.store.file.migrations.only_added import only_added
from prepboard.store.file.released import RELEASED
from prepboard.store.health.health import faults_in
from prepboard.store.kitchen_file import KitchenFile

FIRST_ORDER = (
    "m001_the_first_tables",
    "m005_history",
    "m006_today",
    "m007_close",
    "m008_checked_books",
    "m004_readings_and_chain",
    "m002_schedules",
    "m003_places",
)
"""In this order programs learned the first eight changes; a file has them up to one of these."""

HISTORIES = [FIRST_ORDER[: known + 1] for known in range(len(FIRST_ORDER))] + [
    tuple(sorted(RELEASED))[:known] for known in range(9, len(RELEASED))
]


@pytest.fixture(autouse=True)
def new_files_are_made_in_earnest():
    with tables_are_made_as_starts_do():
        yield


def carried_out(db: Database, names: tuple[str, ...]) -> None:
    """As the programs of that time did: each change when it was learned."""
    migrations.ensure_migrations_table(db)
    known = {each.name: each.fn for each in migrations.pending(db)}
    for name in names:
        known[name](db)
        db["_sqlite_migrations"].insert({"migration_set": "prepboard", "name": name, "applied_at": ""})


def tables(db: Connection) -> dict[str, object]:
    """Every table's columns with what they allow, every index and trigger; in whatever order columns came."""
    found: dict[str, object] = {}
    for name, kind, sql in db.execute("SELECT name, type, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"):
        if kind == "table":
            found[name] = sorted(row[1:] for row in db.execute(f"PRAGMA table_info({name})"))
        else:
            found[name] = re.sub(r"\s+", " ", sql).replace("IF NOT EXISTS ", "")
    return found


FILLED = (
    "INSERT INTO actions (id, at, by, station, did) VALUES ('a', '2026-10-31T14:00:00Z', 'jp', 'sauce', 'count')",
    """INSERT INTO batches (code, prep, state, left, unit, made_at, day_one, why, store, place, station, by)
       VALUES ('A23', 'jus', 'live', 700, 'ml', '2026-10-31T12:00:00Z', '2026-10-31', '', 'chilled', 'walk-in',
       'sauce', 'jp')""",
    """INSERT INTO moves (action, at, batch, kind, amount) VALUES
       ('a', '2026-10-31T14:00:00Z', 'A23', 'made', 1000), ('a', '2026-10-31T14:00:00Z', 'A23', 'discarded', -300)""",
    "INSERT INTO plates (at, service, day, dish, n, by, station) VALUES ('', 'dinner', '2026-10-31', 'cod', 2, '', '')",
)

VALUES: dict[str, object] = {
    "action": "a", "batch": "A23", "run": None, "plate": None, "gives_back": None, "parent": None,
    "book": 1, "version": 1, "day": "2026-10-31", "unit": "C", "kind": "batch", "texts": "{}", "state": "{}",
    "steps": "[]", "marks": "{}", "checked": "{}", "counts": "{}", "weekday": 5, "undone_by": None,
}  # fmt: skip
"""What stands in columns that do not take just any word; the others get their own name."""

OF_TABLE: dict[tuple[str, str], object] = {
    ("runs", "state"): "done", ("goods_counted", "kind"): "counted", ("food", "kind"): "batch", ("runs", "taken"): "[]",
    ("runs", "step_ends"): "{}", ("runs", "instead"): "{}",
    ("runs", "other_places"): "{}", ("book", "digest"): "d", ("run_lots", "run"): "code",
    ("probe_checks", "water"): "ice", ("schedules", "moved"): "{}",
    ("orders", "answer"): "yes", ("transfers", "got"): "taken in", ("received_as", "ours"): "A23",
    ("received_as", "transfer"): "id", ("received_as", "lots"): "[]", ("received_as", "ends"): "[]",
}  # fmt: skip

WITH_ROWS = frozenset({"actions", "batches", "moves", "plates", "log", "settings", "_sqlite_migrations"})
"""Tables that are filled by hand above."""

MADE_ANEW = frozenset({"schedules", "learned", "checked_books", "readings"})
"""Tables that a change of the tables emptied: all but readings follow from the others, and before `m004` no program
wrote a reading."""


def fill(db: Connection) -> dict[str, dict[str, object]]:
    """One row in every other table, whatever columns it has by then."""
    found = {}
    names = [name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    for name in sorted(set(names) - WITH_ROWS - {"sqlite_sequence"}, key=lambda one: one != "book"):
        columns = [(row[1], row[2]) for row in db.execute(f"PRAGMA table_info({name})")]
        row = {
            column: OF_TABLE.get((name, column), VALUES.get(column, 1 if kind == "INTEGER" else column))
            for column, kind in columns
        }
        marks = ", ".join("?" * len(row))
        db.execute(f"INSERT INTO {name} ({', '.join(row)}) VALUES ({marks})", list(row.values()))
        found[name] = row
    return found


def kept(db: Connection, table: str, row: dict[str, object]) -> bool:
    """Whether the one row of a table still says what it said, in all columns that it had."""
    (found,) = db.execute(f"SELECT {', '.join(row)} FROM {table}").fetchall()
    return found == tuple(row.values())


def log_line(db: Connection, *, chained: bool) -> None:
    """One line of the log, with its hash and seal where files had a chain by then."""
    words = ["a", "2026-10-31T14:00:00Z", "jp", "cook", "sauce", "made", "A23", "jus", "", "", "1 ml", ""]
    names = "action, at, by, role, station, did, batch, prep, dish, before, after, why"
    db.execute(f"INSERT INTO log (number, {names}) VALUES (1, {', '.join('?' * len(words))})", words)
    if chained:
        db.execute("DROP TRIGGER log_are_never_changed")
        link = sha256(json.dumps(["", 1, *words], ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()
        db.execute("UPDATE log SET chain = ?", [link])
        db.execute("INSERT OR REPLACE INTO settings VALUES ('log seal', ?)", [f"1 {link}"])
        db.execute(only_added("log", "changed", "UPDATE"))


@pytest.mark.parametrize("names", HISTORIES, ids=lambda names: names[-1][:4])
def test_a_file_of_an_older_schema_opens_with_what_is_in_it(tmp_path, names, empty):
    path = tmp_path / "old.db"
    old = Database(connect(path, isolation_level=None))
    old.execute("PRAGMA synchronous = OFF")  # nothing here has to survive a power cut
    old.execute("BEGIN")
    carried_out(old, names)
    for statement in FILLED:
        old.execute(statement)
    filled = fill(old.conn)
    log_line(old.conn, chained="m004_readings_and_chain" in names)
    # All of this was done before lines held what their actions left.
    old.execute("UPDATE settings SET value = '1' WHERE name = 'sealed from'")
    old.execute("COMMIT")
    old.close()
    opened = KitchenFile.open(path, FixedClock(empty.clock.at))
    with opened.looking() as db, empty.file.looking() as new:
        assert tables(db) == tables(new)
        assert db.execute("SELECT kind, amount FROM moves").fetchall() == [("made", 1000), ("discarded", -300)]
        assert db.execute("SELECT left FROM batches").fetchall() == [(700,)]
        assert db.execute("SELECT n FROM plates").fetchall() == [(2,)]
        for table in filled.keys() - MADE_ANEW:
            assert kept(db, table, filled[table]), table
        faults = faults_in(db)
    # A book and a reading that were made up here are in no log, and no line of it holds the batch.
    made_up = ("book 1", "reading 1", "batch A23: the file no longer knows which line")
    assert [fault for fault in faults if not any(one in fault for one in made_up)] == []
    opened.close()


def test_changes_are_carried_out_in_the_order_of_their_numbers():
    pending = [each.name for each in migrations.pending(Database(memory=True))]
    assert pending == sorted(pending)
    assert {name[:4] for name in pending} >= {f"m{number:03}" for number in range(1, 10)}


def test_no_two_changes_have_one_number():
    assert len({name[:4] for name in RELEASED}) == len(RELEASED)
