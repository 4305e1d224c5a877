"""Memory: what one plan worked out and the next asks for again.

There is one memory for each book, and one for what follows from numbers alone, whatever the book. They belong to
whoever plans, one at a time (`planning`); a board that shows what was recorded meanwhile may ask, and at worst works it
out anew. A full minute turns the pages: what no plan of this minute and the last one asked for is forgotten, and a page
that is full is turned too. A book that nobody plans any more is forgotten as a whole. With and without memory a kitchen
gets the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import datetime
from functools import wraps
from threading import RLock
from typing import Any, Generic, ParamSpec, TypeVar

from prepboard.book.book import Book

P = ParamSpec("P")
K = TypeVar("K", bound=Hashable)
V = TypeVar("V")

BOOKS = 2
"""Books that are remembered before the oldest is forgotten: a new one, and the one before it."""

MOST, MOST_A_PREP = 5000, 16
"""Entries on one page before it is turned; for a book of so many preps that this holds no plan of it, so many for each
of them."""

planning = RLock()
"""Held by whoever plans."""

_adding = RLock()
"""Held for a book that is new here: who only asks must not wait for a plan."""


class Pages(dict[K, V | None], Generic[K, V]):
    """What is known of one kind: this page, and behind it the last one. `pages[key]` is None for what is not known, and
    turns what is over to this page. Nothing that is kept may be None, or change, but the grounds of `floor/floor.py`,
    which floors take in turns while their plan holds `planning`."""

    __slots__ = ("_before", "_most")

    def __init__(self, most: int = MOST) -> None:
        super().__init__()
        self._before: dict[K, V | None] = {}
        self._most = most

    def __missing__(self, key: K) -> V | None:
        found = self._before.get(key)
        if found is not None:
            self[key] = found
        return found

    def keep(self, key: K, found: V) -> V:
        """Remembers it, and hands it back."""
        if len(self) >= self._most:
            self.turn()
        self[key] = found
        return found

    def turn(self) -> None:
        """Forgets what was not asked for since the last turn."""
        self._before = dict(self)
        self.clear()

    @property
    def known(self) -> int:
        """Entries on both pages."""
        return len(self.keys() | self._before.keys())


class Memory:
    """All that is remembered, by kind, of one book, or of numbers alone."""

    def __init__(self, book: Book | None = None) -> None:
        self.book = book
        self._most = max(MOST, MOST_A_PREP * len(book.preps)) if book is not None else MOST
        self.kinds: dict[str, Pages[Any, Any]] = {}

    def pages(self, name: str, most: int = 0) -> Pages[Any, Any]:
        """The pages of one kind; of `most` entries each, else of as many as a plan of the book may need."""
        found = self.kinds.get(name)
        return found if found is not None else self.kinds.setdefault(name, Pages(most or self._most))

    def once(self, name: str, work_out: Callable[[], V]) -> V:
        """What is worked out once for a book."""
        pages: Pages[str, V] = self.pages("once")
        found = pages[name]
        return found if found is not None else pages.keep(name, work_out())


_of_numbers = Memory()
_of_books: dict[int, Memory] = {}
_minute: datetime | None = None


def memory_of(book: Book) -> Memory:
    """What is remembered of a book; the book stays alive as long."""
    found = _of_books.get(id(book))
    if found is not None:
        return found
    with _adding:
        while len(_of_books) >= BOOKS:
            del _of_books[next(iter(_of_books))]
        return _of_books.setdefault(id(book), Memory(book))


def turn_page(now: datetime) -> None:
    """A plan of another minute than the last one begins."""
    global _minute
    minute = now.replace(second=0, microsecond=0)
    if minute != _minute:
        _minute = minute
        for memory in (_of_numbers, *_of_books.values()):
            for pages in list(memory.kinds.values()):
                pages.turn()


def forget() -> None:
    """Forgets everything, of all books."""
    _of_books.clear()
    _of_numbers.kinds.clear()


def sizes() -> dict[str, int]:
    """Entries by kind, all books together."""
    found: dict[str, int] = {}
    for memory in (_of_numbers, *_of_books.values()):
        for name, pages in memory.kinds.items():
            found[name] = found.get(name, 0) + pages.known
    return found


def remembered(function: Callable[P, V]) -> Callable[P, V]:
    """For a function of numbers alone, given by position, whose answer is never None."""
    name = f"{function.__module__}.{function.__qualname__}"

    @wraps(function)
    def asked(*given: P.args, **named: P.kwargs) -> V:
        pages: Pages[tuple[object, ...], V] = _of_numbers.pages(name)
        found = pages[given]
        return found if found is not None else pages.keep(given, function(*given, **named))

    return asked
