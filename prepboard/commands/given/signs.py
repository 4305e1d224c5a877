"""Signs for terminals and printers that lack them: lines, dashes and fractions in the nearest plain letters."""

from __future__ import annotations

import codecs
import unicodedata

NEAREST = {
    **dict.fromkeys("─━═╌┄", "-"), **dict.fromkeys("│┃║╎┆", "|"), **dict.fromkeys("┌┐└┘├┤┬┴┼╭╮╰╯", "+"),
    **dict.fromkeys("█▉▊▋▌▍▎▏▓▒░■●", "#"), "▲": "^", "▼": "v", "→": "->", "←": "<-", "↑": "^", "↓": "v", "✓": "x",
    "–": "-", "—": "-", "…": "...", "·": ".", "•": "*", "“": '"', "”": '"', "‘": "'", "’": "'", "−": "-", "×": "x",
    "≤": "<=", "≥": ">=", "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "°": " deg ",
    "œ": "oe", "æ": "ae", "ß": "ss", "ø": "o", "Ø": "O", "€": "EUR", "σ": "s", "Δ": "d",
}  # fmt: skip
"""What stands for a sign; letters with accents lose them, and anything else is a question mark."""


def plainly(fault: UnicodeError) -> tuple[str | bytes, int]:
    """The codec's error handler: the nearest signs instead of those that a terminal lacks."""
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    return "".join(_nearest(sign) for sign in fault.object[fault.start : fault.end]), fault.end


def _nearest(sign: str) -> str:
    bare = NEAREST.get(sign) or unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode()
    return bare or "?"


codecs.register_error("plainly", plainly)
