"""Plain text: what is safe to print, and how wide it is on a terminal.

Names, reasons and notes come from books and people. Whatever they hold, a print has no escape codes, no control
characters and no marks that turn the direction of reading.
"""

from __future__ import annotations

import re
import unicodedata

_ESCAPES = re.compile(
    r"(?:\x1b[\]PX^_]|[\x9d\x90\x98\x9e\x9f]).*?(?:\x1b\\|\x07|\x9c|\Z)"  # operating system and device strings
    r"|(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?"  # colours, cursor moves
    r"|\x1b[ -/]*[0-~]?",  # everything else that an escape begins
    re.S,
)
_TURNS = "\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_BLANKS = "\t\n\r\v\f\u2028\u2029"


def plain(text: str) -> str:
    """The text on one line, without escape codes, control characters and direction marks."""
    if text.isascii() and text.isprintable():
        return text
    bare = _ESCAPES.sub("", text)
    kept = (" " if sign in _BLANKS else sign for sign in bare if not _unseen(sign))
    return "".join(kept).encode("utf-8", "replace").decode("utf-8")


def _unseen(sign: str) -> bool:
    return sign not in _BLANKS and (unicodedata.category(sign) == "Cc" or sign in _TURNS)


def wide(text: str) -> int:
    """Terminal cells that a text takes: combining marks none, East Asian wide signs two."""
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.combining(sign) or sign in "\u200b\u200d\ufe0f"
        else 1 + (unicodedata.east_asian_width(sign) in "WF")
        for sign in text
    )
