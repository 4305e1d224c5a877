"""What SQLite keeps beside the file is part of it: where somebody takes it away it is said, and nothing is lost."""

from __future__ import annotations

from threading import Thread

import pytest

from prepboard.clock import FixedClock
from prepboard.store.actions.food.making import done
from prepboard.store.actions.handover import note
from prepboard.store.file.faults import StoreFault
from prepboard.store.health.health import check
from prepboard.store.health.restoring import restore
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def without_wal(kitchen):
    """A kitchen whose -wal somebody takes away while a board is open, with changes that are only in it."""
    kitchen.file.read()
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    note(kitchen.file, kitchen.jp, "the walk-in is warm")
    kitchen.file.path.with_name("kitchen.db-wal").unlink()
    return kitchen


def test_a_board_says_that_the_wal_is_gone_and_saves_all_that_was_written(without_wal):
    kitchen, path = without_wal, without_wal.file.path
    with pytest.raises(
        StoreFault, match=r"wal was taken away; all that was written is in kitchen-rescued-.*: close all"
    ):
        kitchen.file.read()
    with pytest.raises(StoreFault, match="wal was taken away"):
        note(kitchen.file, kitchen.jp, "and the fryer is cold")
    kitchen.file.close()
    (rescued,) = path.parent.glob("kitchen-rescued-*.db")
    path.with_name("kitchen.db-shm").unlink(missing_ok=True)
    path.with_name("kitchen.db-wal").unlink(missing_ok=True)
    again = KitchenFile.open(path, FixedClock(kitchen.clock.at))
    restore(again, kitchen.sous, rescued, sure=True)
    assert [one.text for one in again.read().notes] == ["the walk-in is warm"]
    assert [batch.prep for batch in again.read().batches] == ["lamb-jus"]
    assert check(again) == []
    again.close()


def test_what_writes_in_a_thread_leaves_the_saving_to_the_board(without_wal):
    said: list[str] = []

    def write() -> None:
        with pytest.raises(StoreFault) as fault:
            note(without_wal.file, without_wal.jp, "and the fryer is cold")
        said.append(str(fault.value))

    thread = Thread(target=write)
    thread.start()
    thread.join()
    assert "leave all boards open until one of them says where it saved that" in said[0]
    assert list(without_wal.file.path.parent.glob("kitchen-rescued-*")) == []


def test_a_file_that_was_cut_short_is_said(kitchen):
    kitchen.file.read()
    size = kitchen.file.path.stat().st_size
    with kitchen.file.path.open("r+b") as opened:
        opened.truncate(size // 2)
    with pytest.raises(StoreFault, match=r"kitchen\.db was cut short: close all boards and bring back the last copy"):
        kitchen.file.read()
