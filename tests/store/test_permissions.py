"""Who may write to the kitchen's file is said, and so is what a group of users lacks."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from prepboard.store.file.faults import StoreFault
from prepboard.store.file.permissions import who_may_write
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def shared(tmp_path: Path) -> Path:
    """A file as one account makes it under umask 022."""
    folder = tmp_path / "kitchen"
    folder.mkdir(mode=0o755)
    folder.chmod(0o755)
    path = folder / "kitchen.db"
    KitchenFile.open(path, create=True).close()
    path.chmod(0o644)
    return path


def test_one_account_alone_and_how_a_group_may(shared):
    said = who_may_write(shared)
    assert said.startswith("only ")
    folder = shared.parent
    assert f"chgrp GROUP {folder} {shared}; chmod 2775 {folder}; chmod 664 {shared}" in said


def test_what_it_says_is_what_helps(shared):
    """A file and a folder as the remedy makes them are a group's."""
    shared.parent.chmod(0o2775)
    shared.chmod(0o664)
    assert " and the group " in who_may_write(shared)
    assert stat.S_IMODE(shared.stat().st_mode) == 0o664
    KitchenFile.open(shared).close()
    shared.parent.chmod(0o775)
    assert "only " in who_may_write(shared), "what is made beside it would not be the group's"


def test_everybody_is_said_to_be_everybody(shared):
    shared.parent.chmod(0o777)
    shared.chmod(0o666)
    assert who_may_write(shared) == "everybody on this machine may write"


def test_who_may_not_is_told_what_its_owner_can_do(shared, monkeypatch):
    allowed = os.access
    monkeypatch.setattr(os, "access", lambda asked, mode: Path(asked) != shared and allowed(asked, mode))
    with pytest.raises(
        StoreFault, match=r"may not be written to; it belongs to \w+; for a group: chgrp GROUP .*chmod 664"
    ):
        KitchenFile.open(shared)


def test_what_sqlite_makes_beside_the_file_has_its_permissions(shared):
    """So that whoever may write to the file may write to its -wal, whatever the umask (SQLite does so; from memory)."""
    shared.parent.chmod(0o2775)
    shared.chmod(0o664)
    before = os.umask(0o077)
    try:
        file = KitchenFile.open(shared)
        with file.writing() as db:
            db.execute("INSERT INTO settings VALUES ('a', 'b')")
        assert stat.S_IMODE(shared.with_name("kitchen.db-wal").stat().st_mode) == 0o664
        file.close()
    finally:
        os.umask(before)
