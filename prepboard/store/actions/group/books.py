"""One book for all kitchens of a group, each from a business day on. A kitchen's own files add to it and never replace
it; which kitchen this is stands in its own `kitchen.toml`."""

from __future__ import annotations

import json
from collections.abc import Mapping

from prepboard.book.reading.reader import read_texts
from prepboard.store.actions.group.hearing import GROUP, Word, read_word
from prepboard.store.actions.loading import load_texts
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.halves import NewBook
from prepboard.store.read.snapshot import newest_book
from prepboard.store.transaction.doing import Doing, act
from prepboard.texts import _

OWN = "kitchen.toml"
"""The file that is always the kitchen's own."""

NEWEST = "SELECT texts FROM book ORDER BY version DESC LIMIT 1"
DUE = """
    SELECT number, texts FROM group_books WHERE taken_at IS NULL AND from_day <= ? AND number >= (
        SELECT coalesce(max(number), 0) FROM group_books WHERE taken_at IS NOT NULL) ORDER BY number DESC LIMIT 1"""


def hear_book(file: KitchenFile, word: Word) -> Did:
    """A book for all kitchens; it is taken on its day, not before."""
    book = read_word(NewBook, word)

    def body(doing: Doing) -> Did:
        row = doing.row("group_books", number=book.number)
        if row is None:
            texts = json.dumps(dict(sorted(book.texts.items())), ensure_ascii=False)
            heard = {"from_day": book.from_day.isoformat(), "texts": texts, "heard_at": instant_text(doing.now)}
            doing.put("group_books", {"number": book.number, **heard})
            doing.log("book heard of", after=str(book.number), why=book.from_day.isoformat())
        said = _("book {number} of the group counts from {day} on")
        return doing.answer(said.format(number=book.number, day=doing.day(book.from_day)))

    return act(file, GROUP, "heard of", body, action=f"group book {book.number}", pin_is_asked=False)


def take_books_due(file: KitchenFile) -> Did | None:
    """Loads the newest book of the group whose day has come, with this kitchen's own files beside it; None where none
    is due. Raises the reader's Faults where the two do not go together: then the old book stays."""
    with file.looking() as db:
        today = file.book_today(db, newest_book(db)).kitchen.days.business_day(file.clock.now())
        due = db.execute(DUE, [today.isoformat()]).fetchone()
        (own,) = db.execute(NEWEST).fetchone()
    if due is None:
        return None
    number, texts = due[0], together(json.loads(due[1]), json.loads(own))
    book = read_texts(texts)

    def body(doing: Doing) -> Did:
        if doing.first("SELECT 1 FROM group_books WHERE number = ? AND taken_at IS NOT NULL", number):
            raise Refused(_("that book was taken already"))
        doing.put("group_books", {"number": number, "taken_at": instant_text(doing.now)})
        did: Did = load_texts.__wrapped__(doing, book, texts)  # type: ignore[attr-defined]
        return did

    return act(file, GROUP, "group book", body, pin_is_asked=False)


def together(of_group: Mapping[str, str], own: Mapping[str, str]) -> dict[str, str]:
    """The texts of the group's book with those of a kitchen's own files: what the group has too is the group's, but
    for `kitchen.toml`."""
    return {**own, **{name: text for name, text in of_group.items() if name != OWN or OWN not in own}}
