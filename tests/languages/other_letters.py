"""What a walk in other letters finds: messages that no catalogue has, and words that are nobody's."""

from __future__ import annotations

import re

from languages import texts
from languages.pseudo import Pseudo

WORD = re.compile(r"[A-Za-z]{3,}")
OURS = frozenset({"min", "cod", "met", "brix", "food", "code", "fda", "prepboard"})
"""Units, and the rule book's own name, which is the same in every language."""


class Recording(Pseudo):
    """Keeps what was asked for and is in no catalogue."""

    def __init__(self) -> None:
        super().__init__()
        self.known = frozenset(texts.entries())
        self.unknown: set[str] = set()

    def gettext(self, message: str) -> str:
        if message not in self.known and message.rpartition("\4")[2] not in self.known:
            self.unknown.add(message)
        return super().gettext(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        if msgid1 not in self.known:
            self.unknown.add(msgid1)
        return super().ngettext(msgid1, msgid2, n)


def left_over(shown: str, of_the_book: frozenset[str]) -> set[str]:
    """The words in our letters that are nobody's; a word that is cut is known by its beginning."""
    found = set()
    for word in WORD.findall(shown):
        low = word.lower()
        known = low in of_the_book or low.removesuffix("s") in of_the_book or low in OURS
        if not known and not word.isupper() and not any(one.startswith(low) for one in of_the_book):
            found.add(word)
    return found
