"""Copies that the kitchen makes by itself, and a file that a newer program takes over while a board is open."""

from __future__ import annotations

import os
import sqlite3
import time
from datetime import timedelta
from types import SimpleNamespace

import pytest

from prepboard.store.actions.handover import note, sign
from prepboard.store.actions.loading import load_book
from prepboard.store.file.faults import StoreFault
from prepboard.store.health.about_the_file import about
from prepboard.store.health.copies import copied_at, copies, copy_if_due, folder_of
from prepboard.store.health.restoring import restore


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


def written_in_the_book(kitchen, folder, *lines: str) -> None:
    toml = folder / "kitchen.toml"
    toml.write_text("\n".join(lines) + "\n" + toml.read_text(encoding="utf-8"), encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, folder)


def said(kitchen) -> dict[str, tuple[str, bool]]:
    return {fact.key: (fact.said, fact.ok) for fact in about(kitchen.file).facts}


def test_a_number_of_them_is_kept(live, book_folder, monkeypatch):
    """The last ones, as many as the book says, and of the last fourteen days the last one of each."""
    written_in_the_book(live, book_folder, "copies_kept = 5")
    monkeypatch.setattr("prepboard.store.health.copies.copy", lambda _file, made: made.write_bytes(b""))
    monkeypatch.setattr("prepboard.store.health.copies._look_through", lambda _made, _file: None)
    for _hour in range(24 * 20):
        live.file.clock.at += timedelta(hours=1)
        if live.file.clock.at.hour in (9, 22):
            copy_if_due(live.file)
    there = [copied_at(one) for one in copies(live.file)]
    assert len({at.date() for at in there}) == 14
    assert len(there) == 14 + 2
    assert there[0].hour == 22


def test_a_close_that_all_have_signed_is_copied_whatever_the_hour(live):
    clock = live.file.clock
    clock.at += timedelta(hours=9)
    copy_if_due(live.file)
    for number, station in enumerate(live.book.stations):
        clock.at += timedelta(minutes=1)
        sign(live.file, live.sous, station)
        signed_by_all = number == len(live.book.stations) - 1
        assert bool(copy_if_due(live.file)) is signed_by_all
    assert copied_at(copies(live.file)[-1]) == clock.at
    assert copy_if_due(live.file) is None


def test_a_copy_that_is_not_good_to_its_last_index_is_none(live):
    """An index that holds another number of rows than its table: SQLite's quick_check passes over it."""
    with sqlite3.connect(live.file.path, isolation_level=None) as raw:
        raw.execute("PRAGMA writable_schema = ON")
        index = raw.execute("SELECT * FROM sqlite_master WHERE name = 'log_at'").fetchone()
        raw.execute("DELETE FROM sqlite_master WHERE name = 'log_at'")
    raw.close()
    with sqlite3.connect(live.file.path, isolation_level=None) as raw:
        raw.execute("DROP TRIGGER log_are_never_deleted")
        raw.execute("DELETE FROM log WHERE number = 1")
        raw.execute("PRAGMA writable_schema = ON")
        raw.execute("INSERT INTO sqlite_master VALUES (?, ?, ?, ?, ?)", index)
    raw.close()
    assert copy_if_due(live.file) is None
    assert list(folder_of(live.file).iterdir()) == []
    words, ok = said(live)["copies"]
    assert "is not good" in words
    assert not ok


def test_a_second_folder_gets_each_copy_and_is_never_made(live, book_folder, tmp_path):
    stick = tmp_path / "stick"
    written_in_the_book(live, book_folder, f'copies_also_to = "{stick}"')
    made = copy_if_due(live.file)
    assert made is not None
    assert not stick.exists()
    assert said(live)["second_folder"] == (f"there is no folder {stick}", False)
    assert about(live.file).wrong == (f"no copy in the second folder: there is no folder {stick}",)
    note(live.file, live.jp, "work goes on")
    stick.mkdir()
    live.file.clock.at += timedelta(hours=1)
    made = copy_if_due(live.file)
    assert [one.read_bytes() for one in stick.iterdir()] == [made.read_bytes()]
    assert said(live)["second_folder"][1]
    assert about(live.file).wrong == ()
    restore(live.file, live.sous, stick / made.name, sure=True)


def test_what_does_not_read_back_is_no_copy_in_the_second_folder(live, book_folder, tmp_path, monkeypatch):
    (stick := tmp_path / "stick").mkdir()
    written_in_the_book(live, book_folder, f'copies_also_to = "{stick}"')
    monkeypatch.setattr("shutil.copyfile", lambda _made, part: part.write_bytes(b"SQLite format 3 and no more"))
    assert copy_if_due(live.file) is not None
    assert list(stick.iterdir()) == []
    assert "reads back otherwise" in said(live)["second_folder"][0]


def test_a_copy_whose_maker_was_killed_is_none_and_is_cleared_away(live):
    folder_of(live.file).mkdir()
    part = folder_of(live.file) / "kitchen-2026-10-31T135900Z.db.part"
    part.write_bytes(b"half")
    assert copy_if_due(live.file) is None, "another station is at it"
    long_ago = time.time() - 3600
    os.utime(part, (long_ago, long_ago))
    made = copy_if_due(live.file)
    assert [made] == list(folder_of(live.file).iterdir()) == copies(live.file)


def test_a_copy_that_is_old_is_said(live):
    live.file.clock.at += timedelta(hours=25)
    assert about(live.file).wrong == ("there is no copy of the kitchen's file: make one with `prepboard backup`",)
    copy_if_due(live.file)
    assert about(live.file).wrong == ()
    live.file.clock.at += timedelta(days=3)
    (old,) = about(live.file).wrong
    assert "is 3 days old" in old


def test_a_drill_makes_no_copies(kitchen):
    assert copy_if_due(kitchen.file) is None
    assert copies(kitchen.file) == []


def test_a_folder_that_cannot_be_made_is_said_and_work_goes_on(live):
    live.file.path.with_name("kitchen-copies").write_text("something dear", encoding="utf-8")
    assert copy_if_due(live.file) is None
    assert "no copy at" in said(live)["copies"][0]
    note(live.file, live.jp, "work goes on")


def test_a_copy_never_takes_the_room_that_work_needs(live, monkeypatch):
    disk = SimpleNamespace(free=150_000_000)
    monkeypatch.setattr("shutil.disk_usage", lambda _folder: disk)
    monkeypatch.setattr("prepboard.store.health.copies.ROOM", 150_000_000)
    assert copy_if_due(live.file) is None
    assert list(folder_of(live.file).iterdir()) == []
    assert "has only 150 MB left, and the kitchen's own work needs them" in said(live)["copies"][0]
    disk.free = 1_000_000_000
    assert copy_if_due(live.file) is not None
    assert said(live)["copies"][1]


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
