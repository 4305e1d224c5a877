"""One row of a list, and how it is drawn: a time on the left, words on the right, whatever the width.

Names come from books and people, so a row is drawn as text and nothing else: control characters and marks that
turn the writing around are taken out, and widths are counted in cells of the terminal, not in characters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len, set_cell_size

from prepboard.paper.text.plain import plain

Tone = Literal["plain", "strong", "dim", "late", "discard"]
"""How a row reads. Only late and discard have a colour, and both always have their word as well."""

Piece = tuple[str, Tone]
"""Text, and how it reads."""

MARGIN = 3
"""Cells on the left of a row: a blank, the mark of the cursor, a blank."""


class Row(Struct, frozen=True):
    """One row. `key` names what it stands for and never changes while that lives; `tone` colours time and words."""

    key: str
    when: str = ""
    what: str = ""
    amount: str = ""
    """A number, and after the first blank its unit: numbers stand right-aligned, units after them."""
    words: str = ""
    extra: str = ""
    """The first to go where there is no room."""
    tone: Tone = "plain"
    more: str = ""
    """What stands behind all of that where a wide screen has room to spare."""
    stands: str = ""
    """How far it is, where a key acts on that at once: a run's step, what is there of a batch at the close."""
    across: bool = False
    """A sentence over all columns, `what` and then `words`: it makes none of them wider."""


class Widths(Struct, frozen=True):
    """Cells that each column needs; 0 where no row has anything for it."""

    when: int = 0
    what: int = 0
    number: int = 0
    unit: int = 0
    words: int = 0
    extra: int = 0
    brief_number: int = 0
    """As `number` and `unit`, of the amounts in brief: the "4.4 l" of "2 deep sixth (4.4 l)"."""
    brief_unit: int = 0


LEAST = (("when", 7), ("what", 22), ("number", 5), ("unit", 4))
"""On a screen of `PLENTY` columns what holds anything is at least this wide: it stays put while rows come and go."""

ROOM_FOR_MORE = 30
"""Cells that must be left over for what stands behind a row."""

PLENTY = 80


def clean(text: str) -> str:
    """The text without control characters, escape codes, direction marks, or selectors of picture signs."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        sign for sign in plain(text) if unicodedata.category(sign)[0] != "C" and not "\ufe00" <= sign <= "\ufe0f"
    )


def fit(text: str, cells: int, *, right: bool = False) -> str:
    """The text at exactly this width: cut with an ellipsis, or filled up with blanks."""
    text, needed = clean(text), cell_len(clean(text))
    if needed > cells:
        return set_cell_size(text, cells - 1) + "…" if cells > 0 else ""
    blanks = " " * (cells - needed)
    return blanks + text if right else text + blanks


def _split(amount: str, *, brief: bool = False) -> tuple[str, str]:
    number, _, unit = (in_brief(amount) if brief else amount).partition(" ")
    return number, unit


def in_brief(amount: str) -> str:
    """What stands in brackets after an amount in containers: "4.4 l" of "2 deep sixth (4.4 l)"."""
    _containers, _, held = clean(amount).partition(" (")
    return held.removesuffix(")") if held else amount


def measure(rows: Iterable[Row]) -> Widths:
    """The widths that these rows need."""
    return _measured(tuple(rows))


@lru_cache(maxsize=64)
def _measured(rows: tuple[Row, ...]) -> Widths:
    needs = [_needs(row) for row in rows if not row.across]
    return Widths(*map(max, zip(*needs, strict=True))) if needs else Widths()


@lru_cache(maxsize=1024)
def _needs(row: Row) -> tuple[int, ...]:
    """The cells of one row's columns, in the order of `Widths`; most rows of a list that changed are as they were."""
    number_and_unit, in_brief_too = _split(row.amount), _split(row.amount, brief=True)
    texts = (row.when, row.what, *number_and_unit, row.words, row.extra, *in_brief_too)
    return tuple(cell_len(clean(text)) for text in texts)


def aligned(one: Widths, other: Widths) -> Widths:
    """`one`, with its columns up to the amount where those of `other` stand."""
    columns = ("when", "what", "number", "unit", "brief_number", "brief_unit")
    return replace(one, **{name: max(getattr(one, name), getattr(other, name)) for name in columns})


def _gap(width: int) -> int:
    return 3 if width >= 110 else 2


_GIVE_WAY = (
    ("extra", 8),
    ("words", 22),
    ("unit", 0),
    ("what", 22),
    ("extra", 0),
    ("words", 14),
    ("what", 12),
    ("words", 10),
    ("words", 0),
    ("what", 0),
)
"""Which columns become narrower, and down to what, in this order."""

TOLD_BY = 4
"""Cells of the last column that still tell a name: of fewer nobody is told anything, and others have need of them."""


def squeeze(need: Widths, width: int) -> Widths:
    """The widths that fit into a row of `width` cells: what matters least gives way first."""
    steady = replace(need, **{name: max(getattr(need, name), cells) for name, cells in LEAST if getattr(need, name)})
    if width >= PLENTY and taken(steady, width) <= width:
        return steady
    whole = need
    for name, least in _GIVE_WAY:
        over = taken(need, width) - width
        if over > 0 and name == "unit":
            need = replace(need, number=need.brief_number, unit=need.brief_unit)
        elif over > 0:
            need = replace(need, **{name: max(min(least, getattr(need, name)), getattr(need, name) - over)})
    if need.extra < min(TOLD_BY, whole.extra):
        need, whole = replace(need, extra=0), replace(whole, extra=0)
    for name in ("what", "words", "extra"):
        # What gave way before a unit became brief takes back what that left over.
        spare = width - taken(need, width)
        need = replace(need, **{name: min(getattr(whole, name), getattr(need, name) + max(0, spare))})
    return need


def taken(need: Widths, width: int) -> int:
    """Cells that a row takes with these columns, their gaps and its margins."""
    amount = need.number + (1 + need.unit if need.unit else 0)
    columns = [cells for cells in (need.when, need.what, amount, need.words, need.extra) if cells]
    return MARGIN + sum(columns) + _gap(width) * (len(columns) - 1) + 1


def fits(need: Widths, width: int) -> bool:
    """Whether rows of these widths stand whole in `width` cells."""
    return taken(need, width) <= width


def _toned(row: Row) -> Tone:
    return "dim" if row.tone == "dim" else "plain"


def draw(row: Row, need: Widths, width: int, *, marked: bool = False) -> list[Piece]:
    """The row on one line of exactly `width` cells."""
    if row.across:
        return _drawn_across(row, width, marked=marked)
    at, gap = squeeze(need, width), " " * _gap(width)
    number, unit = _split(row.amount, brief=at.unit < need.unit)
    amount = fit(number, at.number, right=True) + (" " + fit(unit, at.unit) if at.unit else "")
    plain = _toned(row)
    columns: list[tuple[str, Tone]] = [
        (fit(row.when, at.when), row.tone),
        (fit(row.what, at.what), "strong" if row.tone in ("late", "discard") else plain),
        (amount if at.number else "", plain),
        (fit(row.words, at.words), row.tone),
        (fit(row.extra, at.extra), "dim"),
    ]
    pieces: list[Piece] = []
    for text, tone in columns:
        if text:
            pieces += [(gap if pieces else mark(marked), "strong"), (text, tone)]
    if row.more and (room := width - taken(at, width) - len(gap)) >= ROOM_FOR_MORE:
        pieces += [(gap, "plain"), (fit(row.more, room), "dim")]
    return filled(pieces, width)


def _drawn_across(row: Row, width: int, *, marked: bool) -> list[Piece]:
    """What is said in full, and beside it what follows; where both have no room, three parts of five and two."""
    room, beside = width - cell_len(mark(marked)) - _gap(width) - 1, cell_len(clean(row.words))
    wide = min(cell_len(clean(row.what)), max(room - beside, room * 3 // 5))
    what: Piece = (fit(row.what, wide), "strong" if row.tone in ("late", "discard") else _toned(row))
    words: Piece = (fit(row.words, min(beside, room - wide)), row.tone)
    return filled([(mark(marked), "strong"), what, (" " * _gap(width), "plain"), words], width)


def draw_folded(row: Row, need: Widths, width: int, *, marked: bool = False) -> tuple[list[Piece], list[Piece]]:
    """The row on two lines of exactly `width` cells: time and what, then amount and words."""
    when = need.when + 2 if need.when else 0
    indent = MARGIN + min(max(when, 2), 7)
    plain, amount = _toned(row), clean(row.amount)
    if indent + cell_len(f"{amount}   {clean(row.words)}") > width:
        amount = in_brief(amount)
    first: list[Piece] = [
        (mark(marked), "strong"),
        (fit(row.when, when), row.tone),
        (fit(row.what, width - MARGIN - when - 1), "strong" if plain == "plain" else "dim"),
    ]
    second: list[Piece] = [(" " * indent, "plain"), (amount, plain)]
    if row.words:
        second += [("   " if row.amount else "", "plain"), (clean(row.words), row.tone)]
    if row.extra:
        second += [("   ", "plain"), (clean(row.extra), "dim")]
    return filled(first, width), filled(second, width)


def mark(marked: bool) -> str:
    """The margin of a row, with or without the cursor."""
    return " ▸ " if marked else "   "


def filled(pieces: Iterable[Piece], width: int) -> list[Piece]:
    """The pieces cut, or filled up with blanks, to exactly `width` cells."""
    kept: list[Piece] = []
    room = width
    for text, tone in pieces:
        cells = cell_len(text)
        if cells > room:
            kept.append((fit(text, room), tone))
            return kept
        kept.append((text, tone))
        room -= cells
    kept.append((" " * room, "plain"))
    return kept


def headed(heading: str, aside: Sequence[str], width: int, brief: str = "") -> list[Piece]:
    """A heading with what stands beside it: all of it, else all in `brief`, else as many parts as there is room for."""
    left: list[Piece] = [(f" {clean(heading)}", "strong")]
    parts = [", ".join(aside[:count]) for count in range(len(aside), 0, -1)]
    for said in [*parts[:1], *([brief] if brief else []), *parts[1:]]:
        beside = clean(said)
        if cell_len(left[0][0]) + cell_len(beside) + 4 <= width:
            return spread(left, [(beside, "dim")], width)
    return filled(left, width)


def spread(left: list[Piece], right: list[Piece], width: int) -> list[Piece]:
    """One line with something at both ends; where there is no room for both, the right end is cut."""
    taken = sum(cell_len(text) for text, _tone in left)
    wanted = sum(cell_len(text) for text, _tone in right)
    if taken + wanted + 3 > width:
        return filled([*left, ("  ", "plain"), *right], width)
    return [*left, (" " * (width - taken - wanted - 1), "plain"), *right, (" ", "plain")]
