"""What is wrong with a book: each fault with its file, line and key, and all of them together.

While a book is read, faults are collected by *path*, the keys that lead to a value: ("preps", "soubise", "keeps").
The reader turns paths into files and lines at the end.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct, field

from prepboard.book.saying import nearest
from prepboard.texts import _

KeyPath = tuple[str | int, ...]

_MOST_SUGGESTIONS = 100
"""Looking for the nearest word is slow; a book with more faults than this has another trouble than spelling."""


class Fault(Struct, frozen=True):
    """One fault. `line` counts from 1, 0 where no line can be named; steps in `key` count from 1."""

    file: str
    line: int
    key: str
    said: str

    def __str__(self) -> str:
        place = [self.file] if self.file else []
        if self.line:
            place.append(_("line {line}").format(line=self.line))
        if self.key:
            place.append(self.key)
        return f"{', '.join(place)}: {self.said}" if place else self.said


class Faults(Exception):
    """A book that cannot be used; `faults` holds every one of its faults, in the order of the files."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))


class Findings(Struct):
    """The faults of one reading, by path; `elsewhere` are those that have a file but no path."""

    found: list[tuple[KeyPath, str]] = field(default_factory=list)
    elsewhere: list[Fault] = field(default_factory=list)
    incomplete: bool = False
    """A file could not be read: what seems to be missing may be in there."""
    goods_missed: set[str] = field(default_factory=set)
    """What recipes and plates take and nobody wrote, as far as it was said."""
    _paths: set[KeyPath] = field(default_factory=set)
    _above: set[KeyPath] = field(default_factory=set)
    """Every path that something at fault lies below."""
    _suggestions: int = 0

    def __bool__(self) -> bool:
        return bool(self.found or self.elsewhere)

    def add(self, path: KeyPath, said: str) -> None:
        self.found.append((path, said))
        self._paths.add(path)
        self._above.update(path[:length] for length in range(len(path)))

    def excuse(self, path: KeyPath) -> None:
        """Says that a path is known to be wrong already, so that nothing is found missing there."""
        self._paths.add(path)

    def known_bad(self, path: KeyPath) -> bool:
        """Whether this value, or something that holds it, is at fault already."""
        return bool(self._paths) and any(path[:length] in self._paths for length in range(1, len(path) + 1))

    def sound(self, path: KeyPath) -> bool:
        """Whether neither this value, nor what holds it, nor anything in it is at fault so far."""
        return path not in self._above and not self.known_bad(path)

    def missing(self, path: KeyPath, key: str, said: str) -> None:
        """A key that should be there; silent when it is there but already found wrong."""
        if self.sound((*path, key)):
            self.found.append((path, said))
            self.excuse((*path, key))

    def unknown(self, path: KeyPath, said: str, word: str, known: Iterable[str]) -> None:
        """A word that nothing answers to, with the nearest one that is known."""
        self.add(path, self.with_nearest(said, word, known))

    def with_nearest(self, said: str, word: str, known: Iterable[str]) -> str:
        near = self.near(word, known)
        return said if near is None else _("{said}; did you mean '{near}'?").format(said=said, near=near)

    def near(self, word: str, known: Iterable[str]) -> str | None:
        """The nearest known word, as long as not too many were looked up already."""
        self._suggestions += 1
        return nearest(word, known) if self._suggestions <= _MOST_SUGGESTIONS else None
