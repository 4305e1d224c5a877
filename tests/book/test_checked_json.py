"""What is kept of a checked book is the book."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import fields

from prepboard.book.book import Book
from prepboard.book.checked_json import form, from_kept, kept_text
from prepboard.book.reading.reader import read_book
from prepboard.resources import config_folder, fixtures_folder


def parts(book: Book) -> dict[str, object]:
    """Every part of a book with its type, and every mapping in its order."""
    found = {field.name: getattr(book, field.name) for field in fields(book)}
    return found | {f"order of {name}": list(part) for name, part in found.items() if isinstance(part, dict)}


@pytest.mark.parametrize(
    "folder", [fixtures_folder() / "demo", config_folder() / "starter"], ids=lambda path: path.name
)
def test_a_kept_book_reads_back_the_same(folder: Path) -> None:
    book, _ = read_book(folder)
    again = from_kept(kept_text(book))
    assert parts(again) == parts(book)
    assert repr(again) == repr(book)  # 1 is not 1.0, nor a tuple a list


def test_the_form_names_the_rule_books_it_was_read_with(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = form()
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "food-code-2022.toml").write_text("title = 'Another edition'")
    monkeypatch.setattr("prepboard.book.checked_json.config_folder", lambda: tmp_path)
    form.cache_clear()
    try:
        assert form() != before
    finally:
        form.cache_clear()
