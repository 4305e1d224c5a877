"""Names by their letters: whether what was typed names them, in any of the book's languages."""

from __future__ import annotations

import unicodedata

from prepboard.book.names import also_called


def matches(letters: str, name: str) -> bool:
    """Whether these letters stand anywhere in a name; accents and capitals make no difference."""
    return any(folded(letters) in folded(one) for one in also_called(name))


def starts(letters: str, name: str) -> bool:
    """Whether a word of the name begins with these letters; accents and capitals make no difference."""
    return any(f" {folded(letters)}" in f" {folded(one)}" for one in also_called(name))


_LETTERS = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i", "’": "'"})
"""Letters that no accent can be taken from."""


def folded(text: str) -> str:
    """Small letters without accents, to compare names by."""
    parts = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
