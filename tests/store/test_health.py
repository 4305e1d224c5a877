"""The file's health: what is wrong is found, a copy is whole, and a copy can take the file's place."""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.clock import FixedClock
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.loading import load_book
from prepboard.store.file.faults import StoreFault
from prepboard.store.health.health import check
from prepboard.store.health.restoring import backup, restore
from prepboard.store.kitchen_file import KitchenFile


def test_a_file_that_is_well_has_nothing_to_say(kitchen):
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    assert check(kitchen.file) == []


def test_an_amount_that_its_moves_do_not_explain_is_found(kitchen):
    code = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches[0]
    with kitchen.file.writing() as db:
        db.execute("UPDATE batches SET left = left + 5 WHERE code = ?", [code])
    assert check(kitchen.file)[0] == f"batch {code}: 1200000005 left, but its moves add up to 1200000000"


def test_a_copy_is_a_kitchens_file_with_all_that_was_there(kitchen, tmp_path):
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    backup(kitchen.file, tmp_path / "copy.db")
    copy = KitchenFile.open(tmp_path / "copy.db", FixedClock(kitchen.clock.at))
    assert copy.read().batches == kitchen.state.batches
    assert check(copy) == []
    copy.close()


def test_a_copy_never_takes_the_place_of_a_file(kitchen, tmp_path):
    (tmp_path / "copy.db").write_text("something dear", encoding="utf-8")
    with pytest.raises(StoreFault, match="already"):
        backup(kitchen.file, tmp_path / "copy.db")
    assert (tmp_path / "copy.db").read_text(encoding="utf-8") == "something dear"


def test_a_copy_comes_back_while_another_station_is_open(kitchen, book_folder, tmp_path):
    """The other station sees it without being started again, its book too; what was there is kept beside it."""
    other = KitchenFile.open(kitchen.file.path, kitchen.clock)
    backup(kitchen.file, tmp_path / "copy.db")
    toml = book_folder / "kitchen.toml"
    toml.write_text(toml.read_text().replace("Test Kitchen", "Tried Kitchen"))
    load_book(kitchen.file, kitchen.sous, book_folder)
    start(kitchen.file, kitchen.jp, "lamb-jus", Fraction(1))
    assert other.read().book.kitchen.name == "Tried Kitchen"
    seen = other.data_version()
    restore(kitchen.file, kitchen.sous, tmp_path / "copy.db", sure=True)
    assert other.data_version() != seen
    assert (other.read().book.kitchen.name, other.read().runs) == ("Test Kitchen", ())
    other.close()
    (kept,) = kitchen.file.path.parent.glob("kitchen-before-*.db")
    before = KitchenFile.open(kept, kitchen.clock)
    assert len(before.read().runs) == 1
    before.close()


def test_what_is_no_kitchens_file_does_not_come_back(kitchen, tmp_path):
    (tmp_path / "copy.db").write_text("not a database at all", encoding="utf-8")
    with pytest.raises(StoreFault, match="is not a kitchen's file"):
        restore(kitchen.file, kitchen.sous, tmp_path / "copy.db", sure=True)
    assert kitchen.book.kitchen.name == "Test Kitchen"
