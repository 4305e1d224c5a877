"""Copies that the kitchen makes by itself, and a file that a newer program takes over while a board is open."""

from __future__ import annotations

import sqlite3
from datetime import timedelta

import pytest

from prepboard.store.act.copies import copied_at, copies, copy_if_due, too_old
from prepboard.store.act.restoring import restore
from prepboard.store.actions.handover import note
from prepboard.store.file.faults import StoreFault


class WallClock:
    """A clock that nobody set by hand, and that the test moves."""

    set_by_hand = False

    def __init__(self, at) -> None:
        self.at = at

    def now(self):
        return self.at


@pytest.fixture
def live(kitchen):
    kitchen.file.clock = WallClock(kitchen.clock.at)
    return kitchen


def test_one_copy_an_hour_and_each_can_come_back(live):
    made = copy_if_due(live.file)
    assert made is not None
    assert copied_at(made) == live.file.clock.at
    live.file.clock.at += timedelta(minutes=59)
    assert copy_if_due(live.file) is None
    note(live.file, live.jp, "the walk-in is warm")
    live.file.clock.at += timedelta(minutes=1)
    assert copy_if_due(live.file) is not None
    restore(live.file, live.sous, made, sure=True)
    assert live.state.notes == ()


def test_a_number_of_them_is_kept(live):
    """The last 24, and of the last fourteen days the last one of each."""
    for _hour in range(24 * 20):
        live.file.clock.at += timedelta(hours=1)
        if live.file.clock.at.hour in (9, 22):
            copy_if_due(live.file)
    there = [copied_at(one) for one in copies(live.file)]
    days = sorted({at.date() for at in there})
    assert len(days) == 14
    assert len(there) == 24 + 1
    assert there[0].hour == 22


def test_a_copy_that_is_old_is_said(live):
    copy_if_due(live.file)
    assert too_old(live.file) == ""
    live.file.clock.at += timedelta(days=3)
    assert "is 3 days old" in too_old(live.file)


def test_a_drill_makes_no_copies(kitchen):
    assert copy_if_due(kitchen.file) is None
    assert copies(kitchen.file) == []


def test_a_folder_that_cannot_be_made_is_a_fault_in_words(live):
    live.file.path.with_name("kitchen-copies").write_text("something dear", encoding="utf-8")
    with pytest.raises(StoreFault, match="no copy at"):
        copy_if_due(live.file)


def test_an_open_board_notices_that_a_newer_program_changed_the_tables(kitchen):
    kitchen.file.read()
    with sqlite3.connect(kitchen.file.path) as raw:
        raw.execute("CREATE TABLE from_the_future (x TEXT)")
        raw.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) VALUES ('prepboard', 'm999_x', '')"
        )
    raw.close()
    for use in (kitchen.file.read, lambda: note(kitchen.file, kitchen.jp, "the walk-in is warm")):
        with pytest.raises(StoreFault, match="close this board and open it again"):
            use()
