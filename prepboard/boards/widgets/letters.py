"""Names by their letters: whether what was typed names them. Pure."""

from __future__ import annotations

import unicodedata


def matches(letters: str, name: str) -> bool:
    """Whether these letters stand anywhere in a name; accents and capitals make no difference."""
    return folded(letters) in folded(name)


def starts(letters: str, name: str) -> bool:
    """Whether a word of the name begins with these letters; accents and capitals make no difference."""
    return f" {folded(letters)}" in f" {folded(name)}"


_LETTERS = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i", "’": "'"})
"""Letters that no accent can be taken from."""


def folded(text: str) -> str:
    """Small letters without accents, to compare names by."""
    parts = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
