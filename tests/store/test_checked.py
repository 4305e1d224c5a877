"""A start reads the checked book; what another program kept is checked again."""

from __future__ import annotations

import json
import sqlite3

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.store.actions.loading import load_book
from prepboard.store.file import checked
from prepboard.store.file.writing import writing
from prepboard.store.kitchen_file import KitchenFile


def opened_again(kitchen) -> KitchenFile:
    kitchen.file.close()
    return KitchenFile.open(kitchen.file.path, kitchen.clock)


def changed(kitchen, sql: str) -> None:
    with sqlite3.connect(kitchen.file.path) as db:
        db.execute(sql)
    db.close()


def test_a_start_checks_nothing_again(kitchen, monkeypatch):
    book = repr(kitchen.state.book)
    monkeypatch.setattr(
        "prepboard.book.reading.reader.read_accepted", lambda texts: pytest.fail("the book was checked again")
    )
    file = opened_again(kitchen)
    assert repr(file.read().book) == book
    file.close()


def test_what_another_program_kept_is_checked_again_and_kept(kitchen):
    book = repr(kitchen.state.book)
    changed(kitchen, "UPDATE checked_books SET form = 'of another program', checked = '{}'")
    file = opened_again(kitchen)
    assert repr(file.read().book) == book
    with file.looking() as db:
        assert db.execute("SELECT count(*) FROM checked_books WHERE checked != '{}'").fetchone() == (1,)
    file.close()


def test_a_file_from_before_books_were_kept_is_read(kitchen):
    book = repr(kitchen.state.book)
    changed(kitchen, "DELETE FROM checked_books")
    file = opened_again(kitchen)
    assert repr(file.read().book) == book
    file.close()


def test_an_older_book_that_another_program_kept_is_read_from_its_texts(kitchen, book_folder):
    """Runs under way keep the recipe they were started with, of a book that nobody checked again at the start."""
    (book_folder / "more.toml").write_text('[goods.salt]\nname = "Salt"\n', encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    changed(kitchen, "UPDATE checked_books SET form = 'of another program', checked = '{}' WHERE version = 1")
    file = opened_again(kitchen)
    with file.looking() as db:
        assert "salt" not in file.book(db, 1).goods
        assert "salt" in file.book(db, 2).goods
    file.close()


def test_a_check_that_is_newer_than_the_book_locks_nobody_out(kitchen):
    """A core below the code's, taken by an older program: the file opens, and the next load says it."""
    with sqlite3.connect(kitchen.file.path) as db:
        (texts,) = db.execute("SELECT texts FROM book").fetchone()
        files = json.loads(texts)
        files["older.toml"] = (
            '[preps.older]\nname = "Older"\nkeeps = "3 days"\nmakes = "1 kg"\n'
            'steps = [{ do = "Cook", hands_on = "5 min", core = "60 C" }]\n'
        )
        db.execute("UPDATE book SET texts = ?", [json.dumps(files)])
        db.execute("DELETE FROM checked_books")
    db.close()
    with pytest.raises(Faults, match="is below the"):
        read_texts(files)
    file = opened_again(kitchen)
    assert "older" in file.read().book.preps
    file.close()


def test_a_book_is_checked_again_before_the_file_is_locked(kitchen, monkeypatch):
    """Eight stations that start together on an old file wait for each other's writing, never for each other's check."""
    changed(kitchen, "UPDATE checked_books SET form = 'of another program', checked = '{}'")
    real = checked.checked_again

    def while_another_writes(db, version):
        with writing(kitchen.file.path, patience=0.0) as other:
            other.execute("INSERT INTO settings VALUES ('from elsewhere', '1')")
        return real(db, version)

    monkeypatch.setattr("prepboard.store.kitchen_file.checked_again", while_another_writes)
    opened_again(kitchen).close()
