"""Opening a kitchen's file: what is refused, and in which words."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest
from new_files import tables_are_made_as_starts_do, tables_are_made_once
from sqlite_utils import Database

from prepboard.clock import FixedClock
from prepboard.store import kitchen_file
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.migrations import migrations
from prepboard.store.file.opening import network_drive
from prepboard.store.file.released import RELEASED, applied
from prepboard.store.file.writing import connect, in_words
from prepboard.store.health.health import check
from prepboard.store.health.restoring import backup
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture(autouse=True)
def new_files_are_made_in_earnest():
    with tables_are_made_as_starts_do():
        yield


def refused(path: Path, *, create: bool = False) -> str:
    """The fault's text, which is one line."""
    with pytest.raises(StoreFault) as fault:
        KitchenFile.open(path, create=create)
    assert "\n" not in str(fault.value)
    return str(fault.value)


def test_a_file_that_is_not_there_is_only_made_when_asked(tmp_path):
    path = tmp_path / "kitchen.db"
    assert "there is no kitchen in" in refused(path)
    assert not path.exists()
    KitchenFile.open(path, create=True).close()
    KitchenFile.open(path).close()


def test_what_other_tests_begin_with_is_what_a_start_makes(tmp_path):
    in_earnest, first, second = (tmp_path / f"{name}.db" for name in ("in earnest", "first", "second"))
    KitchenFile.open(in_earnest, create=True).close()
    with tables_are_made_once():
        KitchenFile.open(first, create=True).close()
        KitchenFile.open(second, create=True).close()
    files = [_all_of(path) for path in (in_earnest, first, second)]
    ids = [drawn for _all, drawn in files]
    assert len(ids[0]) == 2
    assert len(set().union(*ids)) == 6, "each file has drawn its own"
    assert len(files[0][0]) > 100
    assert files[0][0] == files[1][0] == files[2][0]


def _all_of(path: Path) -> tuple[list[str], set[str]]:
    """All that is in a file, but for when its tables were made; and apart from it, the ids that it has drawn."""
    with closing(sqlite3.connect(path)) as db:
        numbers = [
            db.execute(f"PRAGMA {name}").fetchone() for name in ("application_id", "user_version", "journal_mode")
        ]
        db.execute("UPDATE _sqlite_migrations SET applied_at = ''")
        drawn = {value for (value,) in db.execute("SELECT value FROM settings WHERE name LIKE '% id'")}
        db.execute("UPDATE settings SET value = '' WHERE name LIKE '% id'")
        return [*map(str, numbers), *db.iterdump()], drawn


def test_a_missing_folder_is_named(tmp_path):
    assert f"there is no folder {tmp_path / 'away'}" in refused(tmp_path / "away" / "kitchen.db", create=True)


def test_a_folder_is_no_file(tmp_path):
    assert "is a folder" in refused(tmp_path)


def test_another_kind_of_file_is_left_alone(tmp_path):
    path = tmp_path / "kitchen.db"
    path.write_text("Dear diary, today I peeled forty shallots.", encoding="utf-8")
    assert "is not a kitchen's file" in refused(path, create=True)
    assert path.read_text(encoding="utf-8").startswith("Dear diary")


def test_another_programs_database_is_left_alone(tmp_path):
    path = tmp_path / "kitchen.db"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE songs (title TEXT)")
    other.commit()
    assert "another program's database" in refused(path, create=True)
    assert other.execute("SELECT count(*) FROM sqlite_master").fetchone() == (1,)
    other.close()


def test_a_file_of_a_newer_prepboard_is_refused(tmp_path):
    path = tmp_path / "kitchen.db"
    KitchenFile.open(path, create=True).close()
    with sqlite3.connect(path) as raw:
        raw.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at)"
            " VALUES ('prepboard', 'm999_from_the_future', '')"
        )
    raw.close()
    assert "newer prepboard" in refused(path)


def test_what_is_released_is_what_the_library_carries_out(empty):
    memory = Database(memory=True)
    assert {each.name for each in migrations.pending(memory)} == RELEASED
    assert applied(memory.conn) == frozenset()
    migrations.apply(memory)
    with empty.file.looking() as db:
        assert applied(db) == applied(memory.conn) == {each.name for each in migrations.applied(memory)} == RELEASED


def test_a_line_of_the_log_is_not_replaced_either(empty):
    """SQLite deletes the row that REPLACE meets, and asks the triggers only with recursive_triggers (lang_conflict)."""
    line = "INTO log (number, action, at, by, role, station, did) VALUES (1, 'a', '', '', '', '', '')"
    with empty.file.writing() as db:
        db.execute("INSERT INTO actions (id, at, by, station, did) VALUES ('a', '', '', '', '')")
        db.execute(f"INSERT {line}")
        with pytest.raises(sqlite3.IntegrityError, match="rows are only ever added"):
            db.execute(f"INSERT OR REPLACE {line}")


def test_a_folder_that_may_not_be_written_to_is_refused(tmp_path, monkeypatch):
    folder = tmp_path / "kitchen"
    folder.mkdir()
    path = folder / "kitchen.db"
    KitchenFile.open(path, create=True).close()
    allowed = os.access
    monkeypatch.setattr(
        os, "access", lambda asked, mode: Path(asked) != folder and allowed(asked, mode)
    )  # a test run by root may write everywhere
    assert f"the folder {folder} may not be written to" in refused(path)


def test_a_file_that_may_not_be_written_to_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "kitchen.db"
    KitchenFile.open(path, create=True).close()
    path.chmod(stat.S_IRUSR)
    allowed = os.access
    monkeypatch.setattr(os, "access", lambda asked, mode: Path(asked) != path and allowed(asked, mode))
    assert "may not be written to" in refused(path)


def test_a_damaged_file_is_a_fault_in_words(tmp_path):
    path = tmp_path / "kitchen.db"
    KitchenFile.open(path, create=True).close()
    held = path.read_bytes()
    path.write_bytes(held[:100] + b"\xff" * (len(held) - 100))
    assert "damaged" in refused(path)


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/mnt/office share/kitchen.db", "cifs"),
        ("/net/kitchen/kitchen.db", "nfs4"),
        ("/net/kitchen.db", ""),
        ("/home/chef/kitchen.db", ""),
        ("/home/chef/far/kitchen.db", "fuse.sshfs"),
        ("/home/chef/farther/kitchen.db", ""),
    ],
)
def test_a_network_drive_is_known_by_its_mount(tmp_path, path, kind):
    """The lines have the form of proc_pid_mountinfo(5): mount point in field 5, kind after the dash."""
    mounts = tmp_path / "mountinfo"
    mounts.write_text(
        "22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw\n"
        "40 22 0:50 / /mnt/office\\040share rw - cifs //office/share rw\n"
        "41 22 0:51 / /net/kitchen rw,relatime shared:2 master:3 - nfs4 host:/kitchen rw\n"
        "42 22 0:52 / /home/chef/far rw - fuse.sshfs chef@far:/ rw\n",
        encoding="utf-8",
    )
    assert network_drive(Path(path), mounts) == kind


def test_what_is_mounted_over_a_network_drive_counts(tmp_path):
    mounts = tmp_path / "mountinfo"
    mounts.write_text(
        "40 22 0:50 / /data rw - nfs host:/ rw\n41 40 8:2 / /data rw - ext4 /dev/sdb rw\n", encoding="utf-8"
    )
    assert network_drive(Path("/data/kitchen.db"), mounts) == ""


def test_a_system_that_does_not_tell_its_mounts_is_trusted(tmp_path):
    assert network_drive(Path("/data/kitchen.db"), tmp_path / "no such file") == ""


def test_a_link_leads_to_the_real_file(tmp_path):
    """SQLite keeps its -wal beside the real file, and that is what is watched."""
    real = tmp_path / "disk"
    real.mkdir()
    KitchenFile.open(real / "kitchen.db", create=True).close()
    link = tmp_path / "kitchen.db"
    link.symlink_to(real / "kitchen.db")
    file = KitchenFile.open(link)
    assert file.path == real / "kitchen.db"
    file.close()


def test_a_ring_of_links_and_a_name_too_long_are_faults_in_words(tmp_path):
    ring = tmp_path / "kitchen.db"
    ring.symlink_to(tmp_path / "other.db")
    (tmp_path / "other.db").symlink_to(ring)
    assert "cannot be reached" in refused(ring, create=True)
    assert "cannot be reached" in refused(tmp_path / ("k" * 300 + ".db"), create=True)


def test_every_table_is_strict_and_the_file_is_in_wal_mode(empty):
    db = Database(str(empty.file.path))
    tables = [table for table in db.tables if table.name != "_sqlite_migrations"]
    assert len(tables) > 15
    assert [table.name for table in tables if not table.strict] == []
    assert db.journal_mode == "wal"
    db.close()


def test_connections_keep_what_the_file_relies_on(empty):
    def pragma(db: sqlite3.Connection, name: str) -> int:
        return db.execute(f"PRAGMA {name}").fetchone()[0]

    with empty.file.looking() as reader:
        assert pragma(reader, "query_only") == 1
    with empty.file.writing() as writer:
        assert pragma(writer, "recursive_triggers") == 1
        assert pragma(writer, "foreign_keys") == 1
        assert pragma(writer, "synchronous") == 2  # FULL
        assert pragma(writer, "journal_size_limit") == 8_000_000


def test_a_file_without_a_book_says_so(empty):
    with pytest.raises(StoreFault, match="no book has been loaded"):
        empty.file.read()


def test_a_file_that_is_gone_or_replaced_is_not_read_as_if_it_were_the_same(kitchen, tmp_path):
    path = kitchen.file.path
    moved = path.rename(tmp_path / "elsewhere.db")
    with pytest.raises(StoreFault, match="is gone"):
        kitchen.file.read()
    assert moved.exists()
    assert not path.exists()
    KitchenFile.open(path, FixedClock(kitchen.clock.at), create=True).close()
    with pytest.raises(StoreFault, match="was replaced"):
        kitchen.file.read()


def test_a_file_that_cannot_be_opened_at_all_says_how_its_last_copy_comes_into_its_place(kitchen, tmp_path):
    """What it says to type is typed, and the kitchen is there again."""
    path = kitchen.file.path
    kitchen.file.read()
    copies = path.with_name("kitchen-copies")
    copies.mkdir(exist_ok=True)
    backup(kitchen.file, copies / "kitchen-9026-10-31T140512Z.db")
    kitchen.file.close()
    whole = bytearray(path.read_bytes())
    whole[100:4000] = bytes(3900)
    path.write_bytes(whole)
    with pytest.raises(StoreFault, match="is damaged") as found:
        KitchenFile.open(path, kitchen.clock).read()
    _said, _close, typed = str(found.value).partition("in its place: ")
    path.with_name("kitchen.db-wal").write_bytes(b"of the damaged one")
    subprocess.run(typed, shell=True, check=True)
    assert not path.with_name("kitchen.db-wal").exists()
    again = KitchenFile.open(path, kitchen.clock)
    assert check(again) == []
    again.close()
    assert path.with_name("kitchen-damaged-1.db").read_bytes() == bytes(whole)


def test_a_disk_without_room_for_what_stands_beside_the_file_is_called_full(tmp_path, monkeypatch):
    fault = sqlite3.OperationalError("disk I/O error")
    fault.sqlite_errorcode = sqlite3.SQLITE_IOERR
    room = SimpleNamespace(free=0)
    monkeypatch.setattr("shutil.disk_usage", lambda _folder: room)
    assert str(in_words(fault, tmp_path / "kitchen.db")).endswith("is full; make room on it")
    room.free = 10**9
    assert "disk I/O error" in str(in_words(fault, tmp_path / "kitchen.db"))


def test_a_station_opens_with_one_connection_and_finds_out_a_file_that_came_in_its_place_meanwhile(
    kitchen, tmp_path, monkeypatch
):
    """Each connection reads all tables first, which is most of what opening takes."""
    path, connected = kitchen.file.path, []
    kitchen.file.close()

    def counted(path: Path) -> sqlite3.Connection:
        connected.append(path)
        db = connect(path)
        if len(connected) > 1:
            path.replace(tmp_path / "was here.db")
            path.write_bytes((tmp_path / "was here.db").read_bytes())
        return db

    monkeypatch.setattr(kitchen_file, "connect", counted)
    with closing(KitchenFile.open(path, kitchen.clock)) as opened:
        opened.read()
        assert connected == [path]
    with closing(KitchenFile.open(path, kitchen.clock)) as replaced, pytest.raises(StoreFault, match="was replaced"):
        replaced.read()
