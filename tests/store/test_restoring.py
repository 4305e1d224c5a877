"""A copy comes back: by who may, after what would be forgotten was said, and so that nothing acknowledged is lost."""

from __future__ import annotations

import os
import sqlite3
from fractions import Fraction
from threading import Event, Thread

import pytest

from prepboard.clock import FixedClock
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.handover import note
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.who import Refused, Unsure, Who
from prepboard.store.health import restoring
from prepboard.store.health.health import check
from prepboard.store.health.restoring import backup, restore
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def copied(kitchen, tmp_path):
    """A kitchen with a jus, and a copy of it from before a note and a crisp."""
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    backup(kitchen.file, tmp_path / "copy.db")
    kitchen.later(minutes=10)
    note(kitchen.file, kitchen.lm, "the walk-in is warm")
    done(kitchen.file, kitchen.jp, prep="onion-crisp")
    return kitchen, tmp_path / "copy.db"


def kept_beside(kitchen) -> list[KitchenFile]:
    found = sorted(kitchen.file.path.parent.glob("kitchen-before-*.db"))
    return [KitchenFile.open(path, FixedClock(kitchen.clock.at)) for path in found]


def test_a_cook_is_refused_before_anything_is_touched(staffed, tmp_path):
    """The role is asked for first."""
    backup(staffed.file, tmp_path / "copy.db")
    note(staffed.file, staffed.sous, "the walk-in is warm")
    before = staffed.size_of_tables()
    with pytest.raises(Refused, match=r"only a sous chef may do that \(dk\)"):
        restore(staffed.file, staffed.jp, tmp_path / "copy.db", sure=True)
    assert staffed.size_of_tables() == before
    assert kept_beside(staffed) == []


def test_what_would_be_forgotten_is_said_and_asked(copied):
    kitchen, copy = copied
    before = kitchen.size_of_tables()
    with pytest.raises(Unsure, match=r"2 changes since 14:10, by lm \(1\), jp \(1\), would be forgotten: copy.db .*\?"):
        restore(kitchen.file, kitchen.sous, copy)
    assert kitchen.size_of_tables() == before
    restore(kitchen.file, kitchen.sous, copy, sure=True)
    assert kitchen.state.notes == ()


def test_a_copy_that_knows_everything_comes_back_without_a_question(kitchen, tmp_path):
    backup(kitchen.file, tmp_path / "copy.db")
    assert "copy.db is back" in restore(kitchen.file, kitchen.sous, tmp_path / "copy.db").text


def test_nothing_that_was_acknowledged_is_lost_while_stations_write(copied):
    kitchen, copy = copied
    said: dict[str, list[str]] = {"a": [], "b": []}
    stop = Event()

    def write(station: str) -> None:
        while not stop.is_set():
            said[station].append(note(kitchen.file, Who(station, station), f"note {len(said[station])}").action)

    writers = [Thread(target=write, args=[station]) for station in said]
    for writer in writers:
        writer.start()
    for _time in range(3):
        restore(kitchen.file, kitchen.sous, copy, sure=True)
    stop.set()
    for writer in writers:
        writer.join()
    known = {row[0] for row in kitchen.select("SELECT id FROM actions")}
    for beside in kept_beside(kitchen):
        with beside.looking() as db:
            known |= {row[0] for row in db.execute("SELECT id FROM actions")}
        beside.close()
    assert [action for acted in said.values() for action in acted if action not in known] == []
    assert len(said["a"] + said["b"]) > 3
    assert check(kitchen.file) == []


def test_a_restore_that_ends_in_the_middle_has_not_happened(copied, monkeypatch):
    kitchen, copy = copied
    before = kitchen.size_of_tables()

    def killed(*_given: object, **_named: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(restoring, "within", killed)
    with pytest.raises(KeyboardInterrupt):
        restore(kitchen.file, kitchen.sous, copy, sure=True)
    assert kitchen.size_of_tables() == before
    assert kitchen.log("restored") == []
    assert check(kitchen.file) == []


def test_the_log_says_it_and_the_file_is_whole(copied):
    kitchen, copy = copied
    restore(kitchen.file, kitchen.sous, copy, sure=True)
    (line,) = kitchen.log("restored")
    assert (line["by"], line["after"]) == ("dk", "copy.db")
    assert check(kitchen.file) == []


def test_a_code_that_was_forgotten_is_never_drawn_again(copied):
    """Its label is on a box somewhere."""
    kitchen, copy = copied
    forgotten = kitchen.batches("onion-crisp")[0].code
    restore(kitchen.file, kitchen.sous, copy, sure=True)
    signs = [*forgotten[1:], forgotten[0], *"47X", *"99A"]  # a code is drawn from its second sign on

    class Draws:
        def choice(self, _signs: str) -> str:
            return signs.pop(0)

    kitchen.file.random = Draws()
    made = done(kitchen.file, kitchen.jp, prep="onion-crisp")
    assert (made.run, made.batches) == ("X47", ("A99",))


def test_codes_are_longer_after_a_copy_of_another_file(copied, tmp_path):
    """What the lost file gave out after the copy was made is known to nobody."""
    kitchen, copy = copied
    fresh = KitchenFile.open(tmp_path / "new.db", FixedClock(kitchen.clock.at), create=True)
    restore(fresh, kitchen.sous, copy, sure=True)
    assert len(start(fresh, kitchen.jp, "lamb-jus", Fraction(1)).run) == 4
    fresh.close()


def test_what_was_seen_up_to_an_action_stays_seen(copied):
    """Boards ask for what was done after the last number that they know."""
    kitchen, copy = copied
    (last,) = kitchen.select("SELECT max(number) FROM actions")[0]
    restore(kitchen.file, kitchen.sous, copy, sure=True)
    assert kitchen.select("SELECT min(number) FROM actions WHERE number > ?", last)[0][0] == last + 1


def test_a_copy_on_a_stick_that_may_not_be_written_to_comes_back(copied, tmp_path, monkeypatch):
    kitchen, copy = copied
    stick = tmp_path / "stick"
    stick.mkdir()
    there = copy.rename(stick / "copy.db")
    allowed = os.access  # a test run by root may write everywhere
    monkeypatch.setattr(
        os, "access", lambda path, mode: not (stick in (path, path.parent) and mode & os.W_OK) and allowed(path, mode)
    )
    restore(kitchen.file, kitchen.sous, there, sure=True)
    assert kitchen.state.notes == ()


def test_a_copy_needs_nothing_beside_it(copied):
    _kitchen, copy = copied
    assert sqlite3.connect(copy).execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_copy_with_other_pages_comes_back(copied):
    kitchen, copy = copied
    db = sqlite3.connect(copy, isolation_level=None)
    db.execute("PRAGMA page_size = 1024")
    db.execute("VACUUM")
    db.close()
    restore(kitchen.file, kitchen.sous, copy, sure=True)
    assert kitchen.state.notes == ()
    assert check(kitchen.file) == []


def test_a_copy_of_a_newer_prepboard_says_so(copied):
    kitchen, copy = copied
    with sqlite3.connect(copy) as raw:
        raw.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) VALUES ('prepboard', 'm999_x', '')"
        )
    raw.close()
    with pytest.raises(StoreFault, match=r"copy.db was written by a newer prepboard"):
        restore(kitchen.file, kitchen.sous, copy, sure=True)


def test_a_damaged_copy_does_not_come_back(copied):
    kitchen, copy = copied
    held = copy.read_bytes()
    copy.write_bytes(held[: len(held) // 2] + b"\xff" * 4096 + held[len(held) // 2 + 4096 :])
    before = kitchen.size_of_tables()
    with pytest.raises(StoreFault, match=r"copy.db|damaged"):
        restore(kitchen.file, kitchen.sous, copy, sure=True)
    assert kitchen.size_of_tables() == before


def test_a_copy_that_was_tampered_with_does_not_come_back(copied):
    kitchen, copy = copied
    with sqlite3.connect(copy) as raw:
        raw.execute("UPDATE batches SET left = left + 5")
    raw.close()
    with pytest.raises(StoreFault, match=r"is not whole: batch"):
        restore(kitchen.file, kitchen.sous, copy, sure=True)


def test_a_copy_leaves_what_is_a_strangers_alone(kitchen, tmp_path):
    stranger = tmp_path / "copy.db.partial"
    stranger.write_text("something dear", encoding="utf-8")
    backup(kitchen.file, tmp_path / "copy.db")
    assert stranger.read_text(encoding="utf-8") == "something dear"


def test_a_copy_into_a_folder_that_is_not_there_is_refused_in_words(kitchen, tmp_path):
    with pytest.raises(StoreFault, match=r"there is no folder .*away"):
        backup(kitchen.file, tmp_path / "away" / "copy.db")
