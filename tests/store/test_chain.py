"""The log's chain: whole while only actions write, and broken where somebody else did."""

from __future__ import annotations

import pytest

from prepboard.clock import FixedClock
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import discard
from prepboard.store.file import chain
from prepboard.store.file.migrations.only_added import only_added
from prepboard.store.health.health import check, sealed
from prepboard.store.health.restoring import backup, restore
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def written(kitchen):
    """A kitchen with a few lines in its log."""
    batch = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches[0]
    read(kitchen.file, kitchen.jp, "place", "walk-in", 4, "C")
    discard(kitchen.file, kitchen.lm, batch, 100_000_000, "dropped")
    return kitchen


def tamper(kitchen, *statements):
    """As somebody would who opens the file with another program."""
    with kitchen.file.writing() as db:
        for change, done_ in (("UPDATE", "changed"), ("DELETE", "deleted")):
            db.execute(f"DROP TRIGGER log_are_never_{done_}")
            db.execute(f"DROP TRIGGER readings_are_never_{done_}")
            for table in ("log", "readings"):
                assert change in only_added(table, done_, change)
        for statement in statements:
            db.execute(statement)


def lines(kitchen):
    return int(str(kitchen.select("SELECT max(number) FROM log")[0][0]))


def test_a_log_that_only_actions_wrote_is_whole(written):
    assert check(written.file) == []
    assert lines(written) >= 4


@pytest.mark.parametrize("column", chain.COLUMNS)
def test_the_first_line_that_was_changed_is_named(written, column):
    other = "(SELECT id FROM actions WHERE id != log.action LIMIT 1)" if column == "action" else "'other'"
    tamper(written, f"UPDATE log SET {column} = {other} WHERE number >= 2")
    assert check(written.file)[-1] == "log, line 2: it was changed after it was written"


def test_a_line_that_was_taken_out_is_named(written):
    tamper(written, "DELETE FROM log WHERE number = 2")
    assert check(written.file)[-1] == "log, line 2: it is missing"


def test_a_line_that_was_taken_off_the_end_is_named_also_once_more_were_written(written):
    last = lines(written)
    tamper(written, f"DELETE FROM log WHERE number = {last}")
    assert check(written.file)[-1] == f"log, line {last}: it is missing"
    done(written.file, written.jp, prep="onion-crisp")
    assert check(written.file)[-1] == f"log, line {last}: it is missing"


def test_a_line_that_was_put_in_is_named(written):
    last = lines(written)
    tamper(
        written,
        f"INSERT INTO log SELECT {last + 1}, action, at, by, role, station, did, batch, prep, dish, before, after,"
        f" why, chain, holds FROM log WHERE number = {last}",
    )
    assert check(written.file)[-1] == f"log, line {last + 1}: it was changed after it was written"


def test_a_reading_that_says_other_than_the_log_is_found(written):
    tamper(written, "UPDATE readings SET degrees = '2'")
    assert check(written.file)[0] == "reading 1: it says 2 °C, the log says 4 °C"


def test_a_reading_that_was_taken_out_is_found(written):
    tamper(written, "DELETE FROM readings")
    assert check(written.file)[0].endswith("its reading is missing")


def test_a_printed_seal_is_found_again_until_its_line_was_changed(written):
    seal = sealed(written.file)
    done(written.file, written.jp, prep="onion-crisp")
    assert check(written.file, seal) == []
    assert check(written.file, seal.replace(" ", " f")) == [
        f"the log has no line with the seal {seal.replace(' ', ' f')}"
    ]
    number = seal.split()[0]
    assert (
        check(written.file, number)
        == check(written.file, f"{number} ")
        == [f"the log has no line with the seal {number}"]
    ), "a line's number alone proves nothing"
    whole_new_chain(written)
    assert check(written.file) == []
    assert check(written.file, seal) == [f"the log has no line with the seal {seal}"]


def whole_new_chain(kitchen):
    """What only paper holds against: a change with all the hashes after it made anew."""
    tamper(kitchen, "UPDATE log SET by = 'zz' WHERE number = 2")
    with kitchen.file.writing() as db:
        before = ""
        for number, _chain, holds, *values in db.execute(chain.ALL).fetchall():
            before = chain.link(before, number, values, holds)
            db.execute("UPDATE log SET chain = ? WHERE number = ?", [before, number])
        chain.keep_seal(db, number, before)


def test_a_copy_that_comes_back_goes_on_with_its_own_chain(written, tmp_path):
    backup(written.file, tmp_path / "copy.db")
    done(written.file, written.jp, prep="onion-crisp")
    restore(written.file, written.sous, tmp_path / "copy.db", sure=True)
    assert check(written.file) == []
    assert len(written.log("restored")) == 1


def test_an_older_files_log_is_chained_when_it_is_opened(written, tmp_path):
    """As the first tables were: no chain, no seal, other readings."""
    backup(written.file, tmp_path / "old.db")
    copy = KitchenFile.open(tmp_path / "old.db", FixedClock(written.clock.at))
    with copy.writing() as db:
        for table in ("readings", "corrections"):
            db.execute(f"DROP TABLE {table}")
        db.execute("CREATE TABLE readings (number INTEGER PRIMARY KEY) STRICT")
        db.execute("DELETE FROM settings WHERE name = 'log seal'")
        db.execute("ALTER TABLE log DROP COLUMN chain")
        db.execute("DELETE FROM _sqlite_migrations WHERE name = 'm004_readings_and_chain'")
    copy.close()
    opened = KitchenFile.open(tmp_path / "old.db", FixedClock(written.clock.at))
    # Its reading went with its table: that is all that is missing.
    assert check(opened)[0].endswith("its reading is missing")
    opened.close()
