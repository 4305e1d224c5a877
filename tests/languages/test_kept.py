"""The file keeps facts: what was done in one language reads whole in another, and what was typed stays as typed."""

from __future__ import annotations

import sqlite3
from fractions import Fraction
from pathlib import Path

import pytest
from conftest import kitchen_file
from languages.pseudo import THEIRS, Pseudo, in_other_letters, speaking, theirs

from prepboard import demo
from prepboard.book.amounts import Amount
from prepboard.commands.house.watching import as_facts
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.food.unknown import made
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.file.who import Who
from prepboard.store.health.about_the_file import about
from prepboard.store.health.book_faults import keep_book_faults
from prepboard.store.health.upkeep import check_now, checked, keep_checked
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.happened import done_since
from prepboard.store.past.log import log_rows
from prepboard.store.past.record import record
from prepboard.store.past.tracing import trace
from prepboard.texts import _, keeping, some, told

SOUS = Who("mr", "sauce")
LARDER = """
[goods.cream]
name = "Cream"
unit = "l"
keeps_open = "3 days"
store = "chilled"

[preps.whip]
name = "Whipped cream"
makes = "1 l"
keeps = "1 day"
uses = { cream = "1 l" }
steps = [{ do = "Whip", hands_on = "5 min" }]
"""


def test_no_word_of_the_writers_language_is_in_the_file(in_letters: Path) -> None:
    db = sqlite3.connect(in_letters)
    found = {}
    for (table,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
        for _number, column, *_rest in db.execute(f"PRAGMA table_info({table})").fetchall():
            for letter in THEIRS:
                sql = f'SELECT min("{column}") FROM {table} WHERE instr(lower("{column}"), ?)'
                if (text := db.execute(sql, [letter]).fetchone()[0]) is not None:
                    found[table, column] = text
    db.close()
    assert found == {}


def test_what_was_done_in_one_language_reads_in_another_as_if_it_had_been_done_in_it(
    in_letters: Path, in_english: Path
) -> None:
    english, letters = KitchenFile.open(in_english), KitchenFile.open(in_letters)
    try:
        rows = log_rows(english)
        assert len({row.did for row in rows}) > 12
        assert log_rows(letters) == rows
        assert [one.text for one in done_since(letters, 0)] == [one.text for one in done_since(english, 0)]
        assert record(letters, since=rows[0].at).lines == record(english, since=rows[0].at).lines
        with speaking(Pseudo()):
            in_theirs = [row.why for row in log_rows(english) if row.did == "used"]
        assert in_theirs
        assert all(map(theirs, in_theirs))
    finally:
        english.close()
        letters.close()


def test_what_a_name_or_a_block_says_is_said_to_whoever_reads_it(tmp_path: Path) -> None:
    """A pack is named with its lot, and what is withdrawn says so: neither may reach a reader as it is kept."""
    file = kitchen_file(tmp_path, demo.NOW, SOUS, kitchen=LARDER)
    try:
        with speaking(Pseudo()):
            (code,) = open_goods(file, SOUS, "cream", lot="A7").batches
            withdraw(file, SOUS, "cream", "glass", lot="A7", sure=True)
        (batch,) = [one for one in file.read().batches if one.code == code]
        assert (trace(file, code).batch.name, batch.name) == ("Cream, lot A7", "Cream, lot A7")
        assert _(batch.blocked) == "withdrawn: glass"
        assert "⟦" not in "".join(row.why + row.before + row.after for row in log_rows(file))
    finally:
        file.close()


def test_what_an_older_file_says_of_a_pack_and_of_a_block_is_said_to_whoever_reads_it(tmp_path: Path) -> None:
    """In English, as one sentence; what a person wrote as a reason, or called their food, stays."""
    file = kitchen_file(tmp_path, demo.NOW, SOUS, kitchen=LARDER)
    try:
        (code,) = open_goods(file, SOUS, "cream", lot="A7").batches
        (typed,) = made(file, SOUS, "Soup, opened", Amount(Fraction(1), "l")).batches
        db = sqlite3.connect(file.path)
        for (trigger,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f'DROP TRIGGER "{trigger}"')
        old = "UPDATE batches SET name = ?, blocked = ? WHERE code = ?"
        db.execute(old, ["Cream, lot A7", "withdrawn: glass", code])
        db.execute(old, ["Soup, opened", "smells", typed])
        db.commit()
        db.close()
        with speaking(Pseudo()):
            read = {one.code: one for one in file.read().batches}
            said = read[code].name, _(read[code].blocked)
            held = trace(file, code).batch.blocked
        lot, why = in_other_letters("{name}, lot {lot}"), in_other_letters("withdrawn: {why}")
        assert said == (lot.format(name="Cream", lot="A7"), why.format(why="glass"))
        assert held == why.format(why="glass")
        assert (read[typed].name, read[typed].blocked) == ("Soup, opened", "smells")
    finally:
        file.close()


def test_a_text_is_kept_with_all_that_is_filled_into_it() -> None:
    with keeping():
        kept = _("{limit} by {time}").format(limit=_("core"), time="17:50") + "; " + some("{n} prep", "{n} preps", 3)
        assert told(kept) == kept, "what goes into the file is said later"
    assert told(kept) == "core by 17:50; 3 preps"
    with speaking(Pseudo()):
        assert told(kept) == in_other_letters("core by {time}; {n} preps").format(time="17:50", n=3)


@pytest.mark.parametrize("typed", ["⟦", "⟦[1]⟧", '⟦["{a}", {"b": 1}]', '⟦["=none"]⟧', "⟦{}⟧", "a ⟦b⟧ c"])
def test_what_somebody_typed_stays_as_typed(typed: str) -> None:
    assert told(typed) == typed


def test_what_is_wrong_with_a_folder_and_with_the_file_is_kept_as_facts(demo_file: Path, tmp_path: Path) -> None:
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "kitchen.toml").write_text('clock = 13\n[preps.jus]\nmakes = "1 l"\n')
    db = sqlite3.connect(demo_file)
    for (trigger,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        db.execute(f'DROP TRIGGER "{trigger}"')
    db.execute("UPDATE log SET after = 'more' WHERE number = 3")
    db.commit()
    db.close()
    file = KitchenFile.open(demo_file)
    try:
        with speaking(Pseudo()):
            keep_book_faults(file, "book", as_facts(tmp_path / "book"))
            (wrong,) = check_now(file)
            with file.glance() as db:
                keep_checked(file, checked(db, None, file.clock.now()))
        assert theirs(wrong)
        told = about(file).wrong
        assert "book has 3 faults" in told[0]
        assert "kitchen.toml, line 1, clock: expected 12 or 24" in told[0]
        assert "line 3: it was changed after it was written" in told[-1]
        with speaking(Pseudo()):
            assert all(map(theirs, about(file).wrong))
    finally:
        file.close()
