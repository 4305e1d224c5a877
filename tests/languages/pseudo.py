"""A language that nobody speaks: every message in other letters, so that what is no message stands out."""

from __future__ import annotations

import gettext
import re
import string
from collections.abc import Iterator
from contextlib import contextmanager

from prepboard import texts

OURS = "abcdefghijklmnopqrstuvwxyz"
THEIRS = "абцдефгхийклмнопярстужвьыз"
LETTERS = str.maketrans(OURS + OURS.upper(), THEIRS + THEIRS.upper())
FIELD = re.compile(r"(\{[^{}]*\}|%\([a-z]+\)s)")


def in_other_letters(message: str) -> str:
    """The same message, what is filled into it left alone."""
    return "".join(part if FIELD.fullmatch(part) else part.translate(LETTERS) for part in FIELD.split(message))


def theirs(text: str) -> bool:
    """Whether something of that language is in a text."""
    return any(letter in text for letter in (*THEIRS, *THEIRS.upper()))


class Pseudo(gettext.NullTranslations):
    """Says each text in other letters; one and a half is written with a comma."""

    def gettext(self, message: str) -> str:
        message = message.rpartition("\4")[2]
        return "1,5" if message == "1.5" else in_other_letters(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return in_other_letters(msgid1 if n == 1 else msgid2)


@contextmanager
def speaking(catalogue: gettext.NullTranslations) -> Iterator[None]:
    """Whatever language is asked for inside, that is what is spoken."""
    before = texts._catalogue, texts._spoken, texts.catalogue, texts.speak
    texts._catalogue, texts._spoken = catalogue, "xx"
    texts.catalogue, texts.speak = lambda language: catalogue, lambda language: None
    try:
        yield
    finally:
        texts._catalogue, texts._spoken, texts.catalogue, texts.speak = before


def fields(text: str) -> list[str]:
    """The names of what is filled in, in their order of the alphabet, each as often as it stands there."""
    return sorted(name for _text, name, _spec, _conversion in string.Formatter().parse(text) if name is not None)
