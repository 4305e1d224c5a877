"""Codes of batches and runs: short enough to call across a kitchen, of characters that cannot be confused.

No 0/O, 1/I/L, 2/Z, 5/S, 6/G, 8/B or U/V: of each pair at most one is used. A code begins with a letter and has at
least one digit, so that it never reads as a word. It is used once, ever: an old label never points to new food.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

LETTERS = "ACDEFHJKMNPQRTVWXY"
DIGITS = "23456789"

TRIES = 8
"""So many codes of one length are tried before codes grow by a character."""


SHORTEST = 3
"""Characters of a code, while those are not crowded."""


def new_code(random: Random, is_taken: Callable[[str], bool], shortest: int = SHORTEST) -> str:
    """A code that nothing in the file has; three characters while those are not crowded."""
    length = shortest
    while True:
        for _ in range(TRIES):
            code = _draw(random, length)
            if not is_taken(code):
                return code
        length += 1


def _draw(random: Random, length: int) -> str:
    while True:
        rest = [random.choice(LETTERS + DIGITS) for _ in range(length - 1)]
        if any(character in DIGITS for character in rest):
            return random.choice(LETTERS) + "".join(rest)
