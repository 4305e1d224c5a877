"""Writing: all or nothing, at once or not at all, and never for ever."""

from __future__ import annotations

import shutil
import sqlite3
import time

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.file.faults import NotSaved, StoreFault
from prepboard.store.kitchen_file import KitchenFile


def test_a_change_that_fails_halfway_leaves_nothing(kitchen):
    before = kitchen.size_of_tables()

    def half() -> None:
        with kitchen.file.writing() as db:
            db.execute("INSERT INTO standing_pars VALUES ('lamb-jus', 1)")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        half()
    assert kitchen.size_of_tables() == before
    assert done(kitchen.file, kitchen.jp, prep="lamb-jus").batches, "and the lock is free again"


def test_a_file_that_stays_locked_is_not_saved_in_words(kitchen):
    kitchen.file.patience = 0.4
    holder = sqlite3.connect(kitchen.file.path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    began = time.monotonic()
    with pytest.raises(NotSaved, match=r"^not saved: another program kept kitchen.db locked"):
        done(kitchen.file, kitchen.jp, prep="lamb-jus")
    assert 0.4 <= time.monotonic() - began < 3
    assert kitchen.state.batches == (), "reading goes on meanwhile"
    holder.execute("ROLLBACK")
    holder.close()
    assert done(kitchen.file, kitchen.jp, prep="lamb-jus").batches


@pytest.mark.parametrize("way", ["writing", "glance"])
def test_connections_stay_for_the_next_transaction_until_something_goes_wrong_or_the_file_is_closed(kitchen, way):
    """To open one takes longer than most changes do."""
    one = getattr(kitchen.file, way)

    def used() -> sqlite3.Connection:
        with one() as db:
            return db

    first = used()
    assert used() is first
    with one() as first_again, one() if way == "glance" else kitchen.file.glance() as at_the_same_time:
        assert at_the_same_time is not first_again
    with pytest.raises(RuntimeError), one() as broken:
        raise RuntimeError
    assert not _is_open(broken), "what went wrong in it goes with it"
    last = used()
    with one() as closed_meanwhile:
        kitchen.file.close()
    assert not _is_open(last)
    assert not _is_open(closed_meanwhile)


def _is_open(db: sqlite3.Connection) -> bool:
    try:
        db.execute("SELECT 1")
    except sqlite3.ProgrammingError:
        return False
    return True


def test_two_snapshots_of_one_moment_are_equal_while_others_write(kitchen):
    """A read transaction shows one moment of the file, whatever is written meanwhile."""
    other = KitchenFile.open(kitchen.file.path, kitchen.clock)
    with kitchen.file.looking() as db:
        count = "SELECT count(*) FROM batches"
        before = db.execute(count).fetchone()
        done(other, kitchen.jp, prep="lamb-jus")
        assert db.execute(count).fetchone() == before == (0,)
    assert len(kitchen.state.batches) == 1
    other.close()


def test_what_is_kept_of_a_running_service_is_written_once(kitchen):
    from prepboard.store.actions.night.placements import keep_shorts

    day, first = kitchen.dinner[1], kitchen.clock.at
    need = ("lamb-jus", "dinner.2026-10-31")
    assert keep_shorts(kitchen.file, day, {need: first})
    version = kitchen.state.version
    assert not keep_shorts(kitchen.file, day, {need: kitchen.later(minutes=9)})
    assert kitchen.state.short_since == {need: first}
    assert kitchen.state.version == version


def test_an_action_says_that_it_was_done_from_here(kitchen):
    kitchen.file.acted = False
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    assert kitchen.file.acted


def test_nothing_is_written_into_a_file_that_took_the_place_of_this_one(kitchen, tmp_path):
    """What is acknowledged would be in a file that nobody at this board is looking at."""
    path = kitchen.file.path
    path.rename(tmp_path / "elsewhere.db")
    shutil.copy(tmp_path / "elsewhere.db", path)
    with pytest.raises(StoreFault, match="was replaced by another file"):
        done(kitchen.file, kitchen.jp, prep="lamb-jus")
    with sqlite3.connect(path) as raw:
        assert raw.execute("SELECT count(*) FROM batches").fetchone() == (0,)
    raw.close()
