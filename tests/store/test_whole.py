"""What somebody changes in the file by hand is found: drawn tamperings of every table, or the table is named as one of
which `check` cannot know."""

from __future__ import annotations

import sqlite3
from datetime import date
from fractions import Fraction
from random import Random

import pytest

from prepboard.plan.given.state import Line
from prepboard.store.actions.food.making import done, start, step
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import count, discard
from prepboard.store.actions.handover import note, sign, tick_off
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.tonight import covers, par
from prepboard.store.actions.undoing import undo
from prepboard.store.file import chain
from prepboard.store.health.health import check, faults_in
from prepboard.store.health.whole import CANNOT_KNOW
from prepboard.store.transaction import sealing
from prepboard.store.transaction.sealing import OF_ACTION, SEALED
from prepboard.store.transaction.tables import KEYS

LITRE = 10**9


@pytest.fixture
def day(kitchen):
    """A day with something in most tables."""
    kitchen.once("a day", lambda: _go_through_it(kitchen))
    return kitchen


def _go_through_it(kitchen):
    file, jp, lm = kitchen.file, kitchen.jp, kitchen.lm
    done(file, lm, prep="brown-stock")
    done(file, lm, prep="onion-crisp")
    run = start(file, jp, "lamb-jus", Fraction(1), Line("lamb-jus", "dinner.2026-10-31", 0)).run
    step(file, jp, run)
    kitchen.later(hours=1)
    (jus,) = done(file, jp, run=run).batches
    read(file, jp, "batch", jus, Fraction(4), "C")
    covers(file, kitchen.sous, kitchen.dinner, 70)
    par(file, kitchen.sous, kitchen.dinner, "lamb-jus", LITRE)
    plate(file, lm, kitchen.dinner, "lamb-toast", 3)
    plate(file, lm, kitchen.dinner, "lamb-toast", 2)
    undo(file, lm)
    discard(file, jp, "brown-stock", LITRE // 10, "spoiled")
    count(file, jp, "brown-stock", LITRE)
    note(file, jp, "the walk-in is warm")
    note(file, jp, "no parsley")
    tick_off(file, lm, 1)
    kitchen.later(hours=8)
    sign(file, jp, "sauce", date(2026, 10, 31))


def tables_of(db: sqlite3.Connection) -> list[str]:
    found = db.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    return [name for (name,) in found if db.execute(f"SELECT count(*) FROM {name}").fetchone()[0]]


def tampered(random: Random, db: sqlite3.Connection, table: str) -> str:
    """One row of a table changed in one column, or taken out; says what was done, or "" where that cannot be."""
    rowid = random.choice(db.execute(f"SELECT rowid FROM {table}").fetchall())[0]
    columns = [row[1] for row in db.execute(f"PRAGMA table_info({table})")]
    if random.random() < 0.2:
        statement, values = f"DELETE FROM {table} WHERE rowid = ?", [rowid]
    else:
        column = random.choice(columns)
        (old,) = db.execute(f"SELECT {column} FROM {table} WHERE rowid = ?", [rowid]).fetchone()
        new = old + 1 if isinstance(old, int) else "2026-11-09" if old is None else f"{old}1"
        statement, values = f"UPDATE {table} SET {column} = ? WHERE rowid = ?", [new, rowid]
    try:
        db.execute(statement, values)
    except sqlite3.IntegrityError:
        return ""
    return f"{statement} {values}"


def test_two_hundred_drawn_tamperings_are_found_or_their_table_is_named(day):
    random, drawn, missed = Random(20261031), 0, []
    assert check(day.file) == []
    with day.file.looking() as db:
        # A checked book that is gone, or another program's, is made again of its texts; what it says is held elsewhere.
        names = [name for name in tables_of(db) if name != "checked_books"]
    assert {"batches", "moves", "runs", "readings", "plates", "log", "actions", "book", "notes"} <= set(names)
    raw = sqlite3.connect(day.file.path, isolation_level=None)
    triggers = raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for (trigger,) in triggers:
        raw.execute(f"DROP TRIGGER {trigger}")
    while drawn < 200:
        raw.execute("BEGIN")
        table = random.choice(names)
        done_ = tampered(random, raw, table)
        if done_ and table not in CANNOT_KNOW:
            drawn += 1
            missed += [] if faults_in(raw) else [done_]
        raw.execute("ROLLBACK")
    raw.close()
    assert missed == [], "\n".join(missed)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE batches SET use_by = '2026-11-20T00:00:00Z'",
        "UPDATE batches SET made_at = '2026-10-31T13:59:00Z'",
        "UPDATE batches SET day_one = '2026-11-05'",
        "UPDATE batches SET blocked = 'held'",
        "UPDATE readings SET ok = 1 - coalesce(ok, 0)",
        "UPDATE moves SET amount = amount + 1 WHERE number = 1",
        "UPDATE actions SET undone_by = NULL",
        "UPDATE actions SET undone_by = (SELECT id FROM actions LIMIT 1) WHERE number = 3",
        "UPDATE checked_books SET checked = replace(checked, 'Test Kitchen', 'Best Kitchen')",
        "UPDATE book SET texts = replace(texts, '5 days', '9 days')",
        "DELETE FROM settings WHERE name = 'log seal'",
        "DELETE FROM settings WHERE name = 'sealed from'",
    ],
)
def test_what_an_inspector_would_ask_about_is_not_changed_unseen(day, sql):
    with sqlite3.connect(day.file.path, isolation_level=None) as raw:
        for (trigger,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {trigger}")
        assert raw.execute(sql).rowcount > 0
    raw.close()
    assert check(day.file) != []


def test_lines_cut_off_with_their_seal_are_missed(day):
    """250 of 303 lines and no seal: the chain of what is left is unbroken."""
    with sqlite3.connect(day.file.path, isolation_level=None) as raw:
        raw.execute("DROP TRIGGER log_are_never_deleted")
        raw.execute("DELETE FROM log WHERE number > 5")
        raw.execute("DELETE FROM settings WHERE name = 'log seal'")
    raw.close()
    assert "its seal is gone" in check(day.file)[-1]


def test_renamed_food_is_no_tampering(day, book_folder):
    from prepboard.store.actions.loading import load_book

    for path in book_folder.glob("*.toml"):
        path.write_text(path.read_text(encoding="utf-8").replace("brown-stock", "dark-stock"), encoding="utf-8")
    preps = book_folder / "preps.toml"
    said = preps.read_text(encoding="utf-8")
    preps.write_text(said.replace("[preps.dark-stock]", '[preps.dark-stock]\nwas = "brown-stock"'), encoding="utf-8")
    load_book(day.file, day.sous, book_folder)
    assert day.batches("dark-stock")
    assert check(day.file) == []


def test_every_table_that_actions_change_is_held_or_named(kitchen):
    """A new table, or a new column of one that is held, has to be added to what is sealed, or named."""
    assert KEYS.keys() - SEALED.keys() <= CANNOT_KNOW
    with kitchen.file.looking() as db:
        for table, columns in {**SEALED, **OF_ACTION}.items():
            there = {row[1] for row in db.execute(f"PRAGMA table_info({table})")}
            assert there - set(columns) <= {"action", "id", "number", "undone_by"}, table


def test_what_found_nothing_to_do_needs_no_line(kitchen):
    discard(kitchen.file, kitchen.jp, "brown-stock", None, "spoiled")
    assert check(kitchen.file) == []


def test_lines_of_an_earlier_program_are_proved_as_they_were_written(kitchen, monkeypatch):
    """Longer digests, whole names of tables, a longer hash: in one file with the lines of today."""
    monkeypatch.setattr(sealing, "SHORT", 16)
    monkeypatch.setattr(sealing, "SHORT_NAMES", {})
    monkeypatch.setattr(chain, "LINKS", (64, 64))
    code = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches[0]
    note(kitchen.file, kitchen.jp, "the walk-in is warm")
    monkeypatch.undo()
    with kitchen.file.writing() as db:
        db.execute("DELETE FROM held_batches")
    (held,) = kitchen.select("SELECT holds FROM log WHERE did = 'note'")[0]
    assert '"notes [1]"' in str(held)
    assert check(kitchen.file) == []
    count(kitchen.file, kitchen.jp, "lamb-jus", LITRE)
    assert f'"f.{code}"' in str(kitchen.select("SELECT holds FROM log WHERE did = 'counted'"))
    assert check(kitchen.file) == []
    with kitchen.file.writing() as db:
        db.execute("UPDATE notes SET text = 'something else'")
        db.execute("UPDATE batches SET made_at = '2026-10-31T13:00:00Z' WHERE code = ?", [code])
    assert [fault.split(":")[0] for fault in check(kitchen.file)] == [f"batches {code}", "notes 1"]


def test_a_hash_that_was_cut_short_is_no_hash(kitchen):
    note(kitchen.file, kitchen.jp, "the walk-in is warm")
    with kitchen.file.writing() as db:
        db.execute("DROP TRIGGER log_are_never_changed")
        db.execute("UPDATE log SET chain = substr(chain, 1, 3)")
    assert "was changed after it was written" in check(kitchen.file)[0]


def test_what_only_took_food_names_no_batch_and_each_amount_is_held_by_its_move(kitchen):
    """A line is as long as what it says: that a batch lost some, its moves say."""
    done(kitchen.file, kitchen.jp, prep="onion-crisp")
    for n in (2, 3):
        plate(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast", n)
    lines = [str(held) for (held,) in kitchen.select("SELECT holds FROM log WHERE did = 'plated'")]
    assert not any('"f.' in line for line in lines)
    assert check(kitchen.file) == []
    with kitchen.file.writing() as db:
        for change in ("moves_are_never_changed", "moves_are_never_deleted"):
            db.execute(f"DROP TRIGGER {change}")
    assert found_after(kitchen, "UPDATE moves SET amount = amount - 1 WHERE plate = 1")
    assert found_after(kitchen, "DELETE FROM moves WHERE plate = 2")


def found_after(kitchen, sql: str) -> bool:
    """Whether a move that was changed by hand is found although what is left of the food was changed to match."""
    raw = sqlite3.connect(kitchen.file.path, isolation_level=None)
    raw.execute("BEGIN")
    raw.execute(sql)
    raw.execute("UPDATE batches SET left = (SELECT sum(amount) FROM moves WHERE batch = code)")
    found = faults_in(raw)
    raw.execute("ROLLBACK")
    raw.close()
    assert not any("add up" in fault for fault in found)
    return bool(found)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE held_batches SET line = line - 1 WHERE line > 1",
        "DELETE FROM held_batches",
        "INSERT INTO held_batches VALUES ('ZZZ', 1)",
    ],
)
def test_the_line_that_holds_a_batch_is_not_another_one(day, sql):
    with day.file.writing() as db:
        assert db.execute(sql).rowcount > 0
    assert any("which line of the log holds it" in fault for fault in check(day.file))
