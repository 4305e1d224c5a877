"""A language that nobody speaks: every message in marks, so that what is not a message stands out."""

from __future__ import annotations

import gettext
import string
from collections.abc import Iterator
from contextlib import contextmanager

from prepboard import texts

FIRST, LAST = "‹", "›"


class Pseudo(gettext.NullTranslations):
    """Wraps each text; one and a half is written with a comma."""

    def gettext(self, message: str) -> str:
        return "1,5" if message == "1.5" else f"{FIRST}{message}{LAST}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"{FIRST}{msgid1 if n == 1 else msgid2}{LAST}"


@contextmanager
def speaking(catalogue: gettext.NullTranslations) -> Iterator[None]:
    before = texts._catalogue
    texts._catalogue = catalogue
    try:
        yield
    finally:
        texts._catalogue = before


def fields(text: str) -> list[str]:
    """The names of what is filled in, in their order of the alphabet, each as often as it stands there."""
    return sorted(name for _text, name, _spec, _conversion in string.Formatter().parse(text) if name is not None)
