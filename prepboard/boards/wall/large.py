"""Letters of three lines, to be read from across the room: what the wall says first in service. Pure.

Each sign is drawn on five rows of dots, two rows to a line of the terminal, in half blocks.
"""

from __future__ import annotations

import unicodedata

_DOTS = """
A .##. #..# #### #..# #..#
B ###. #..# ###. #..# ###.
C .### #... #... #... .###
D ###. #..# #..# #..# ###.
E #### #... ###. #... ####
F #### #... ###. #... #...
G .### #... #.## #..# .###
H #..# #..# #### #..# #..#
I ### .#. .#. .#. ###
J ..## ...# ...# #..# .##.
K #..# #.#. ##.. #.#. #..#
L #... #... #... #... ####
M #...# ##.## #.#.# #...# #...#
N #..# ##.# #.## #..# #..#
O .##. #..# #..# #..# .##.
P ###. #..# ###. #... #...
Q .##. #..# #..# #.## .###
R ###. #..# ###. #.#. #..#
S .### #... .##. ...# ###.
T ##### ..#.. ..#.. ..#.. ..#..
U #..# #..# #..# #..# .##.
V #...# #...# #...# .#.#. ..#..
W #...# #...# #.#.# ##.## #...#
X #...# .#.#. ..#.. .#.#. #...#
Y #...# .#.#. ..#.. ..#.. ..#..
Z #### ...# .##. #... ####
0 .##. #..# #..# #..# .##.
1 .#. ##. .#. .#. ###
2 ###. ...# .##. #... ####
3 ###. ...# .##. ...# ###.
4 #..# #..# #### ...# ...#
5 #### #... ###. ...# ###.
6 .##. #... ###. #..# .##.
7 #### ...# ..#. .#.. .#..
8 .##. #..# .##. #..# .##.
9 .##. #..# .### ...# .##.
: . # . # .
. . . . . #
- ... ... ### ... ...
/ ...# ..#. ..#. .#.. #...
' # # . . .
… ..... ..... ..... ..... #.#.#
"""

_SIGNS = {row[0]: row.split()[1:] for row in _DOTS.strip().splitlines()}

BLANK = 3
"""Cells of a blank between words."""


def plain_capitals(text: str) -> str:
    """The text in capitals without accents; signs that cannot be drawn are blanks."""
    kept = "".join(sign for sign in unicodedata.normalize("NFKD", text.upper()) if not unicodedata.combining(sign))
    return " ".join("".join(sign if sign in _SIGNS else " " for sign in kept).split())


def width_of(text: str) -> int:
    """Cells that a text takes in letters of three lines."""
    return sum(len(_SIGNS[sign][0]) + 1 if sign in _SIGNS else BLANK for sign in plain_capitals(text))


def large(text: str, width: int) -> tuple[str, str, str]:
    """The text on three lines of at most `width` cells; whole signs only, the last ones go where there is no room."""
    lines = ["", "", ""]
    for sign in plain_capitals(text):
        rows = [*_SIGNS[sign], "." * len(_SIGNS[sign][0])] if sign in _SIGNS else None
        drawn = [_halves(rows[at], rows[at + 1]) + " " for at in (0, 2, 4)] if rows else [" " * BLANK] * 3
        if len(lines[0]) + len(drawn[0]) > width:
            break
        lines = [line + part for line, part in zip(lines, drawn, strict=True)]
    return lines[0], lines[1], lines[2]


def _halves(upper: str, lower: str) -> str:
    blocks = {("#", "#"): "█", ("#", "."): "▀", (".", "#"): "▄", (".", "."): " "}
    return "".join(blocks[pair] for pair in zip(upper, lower, strict=True))
