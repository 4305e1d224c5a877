"""Names and texts that a book has in several languages: each reader reads their own.

Such a text is held as its facts, every language beside the other, and `told` says it when it is said: a board follows
whoever signs in, and what the file keeps of it reads in the language of whoever opens the log. A text in one language
is held as it is written.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from prepboard.texts import facts_of, keep_fact, kept_as, root, spoken, told

_KIND = "in languages"


class _Now(threading.local):
    """Whether this thread says the plain name to everybody."""

    plain = False


_now = _Now()
_also: dict[str, tuple[str, ...]] = {}
"""What was said in one language, and what it is called in all; never more than the books of this process hold."""


def in_languages(said: Mapping[str, str]) -> str:
    """The texts by language ("es", "es-MX") as one. The first is the plain one: for whoever reads another language."""
    return keep_fact(_KIND, dict(said)) if len(said) > 1 else next(iter(said.values()))


def as_read(text: str) -> str:
    """In the reader's language; of what an action keeps, all of it."""
    return told(text)


def plainly(text: str) -> str:
    """The plain one, whoever reads."""
    said = by_language(text)
    return next(iter(said.values())) if said else text


def every(text: str) -> tuple[str, ...]:
    """In all its languages, the plain one first."""
    return tuple(by_language(text).values()) or (text,)


def by_language(text: str) -> Mapping[str, str]:
    """By language; empty for a text that has only one."""
    facts = facts_of(text)
    return facts[1] if len(facts) == 2 and facts[0] == f"={_KIND}" else {}


def also_called(name: str) -> tuple[str, ...]:
    """A name as it is said here, and in the other languages of the book: letters that are typed may be of any."""
    return _also.get(name, (name,))


@contextmanager
def plain_names() -> Iterator[None]:
    """Says the plain name inside, in this thread: for programs, which read the same in every language."""
    before, _now.plain = _now.plain, True
    try:
        yield
    finally:
        _now.plain = before


def _chosen(said: Mapping[str, str]) -> str:
    plain = next(iter(said.values()))
    if _now.plain:
        return plain
    name = said.get(spoken()) or said.get(root(spoken())) or plain
    known = _also.get(name, (name,))
    if any(one not in known for one in said.values()):
        # Another food of that name, or the same one by a newer book: it is found by all that it is called.
        _also[name] = tuple(dict.fromkeys((*known, *said.values())))
    return name


kept_as(_KIND, _chosen)
