"""The wall laid out in pages: rows below one another, in one column or two; nothing scrolls. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct, field

from prepboard.boards.rows.station_view import Section
from prepboard.boards.widgets.row import (
    MARGIN,
    Piece,
    Row,
    Widths,
    aligned,
    clean,
    draw,
    draw_folded,
    filled,
    headed,
    measure,
    taken,
)
from prepboard.paper.text.layout import wrap

Lines = list[list[Piece]]

Columns = tuple[tuple[Section, ...], tuple[Section, ...]]
"""What is to do, and what there is."""

TWO_COLUMNS = 130
"""Columns from which starts stand at the left and what is left at the right."""

FOLDED = 60
"""Columns below which a row takes two lines."""

GAP = 3
"""Blank cells between two columns."""


class Page(Struct):
    """Its lines, and the names of the sections of which it shows something."""

    lines: Lines = field(default_factory=list)
    shows: set[str] = field(default_factory=set)


def pages(columns: Columns, width: int, height: int, first: str = "") -> list[Page]:
    """The wall as pages of at most `height` lines of exactly `width` cells.

    Where there is room both columns stand side by side, and each turns its own pages; else the section that is named
    `first` comes first.
    """
    if width < TWO_COLUMNS:
        return _column(sorted([*columns[0], *columns[1]], key=lambda section: section.name != first), width, height)
    wide = _at_the_left(columns, width - GAP)
    left, right = _column(columns[0], wide, height), _column(columns[1], width - GAP - wide, height)
    turns = range(max(len(left), len(right)))
    return [_beside(left[at % len(left)], right[at % len(right)], wide, width) for at in turns]


def _at_the_left(columns: Columns, width: int) -> int:
    """Cells of the left column: a start names its station too, so it has a little more than half, as far as it needs
    them; where both columns stand whole they share what is left over."""
    needs = [max((taken(need, width) for need in _needs(column).values()), default=0) for column in columns]
    spare = width - sum(needs)
    return needs[0] + spare // 2 if spare >= 0 else min(needs[0], width * 11 // 20)


def _beside(left: Page, right: Page, wide: int, width: int) -> Page:
    both = []
    for at in range(max(len(left.lines), len(right.lines))):
        # A blank line is as wide as the others: what stands beside it keeps its place.
        line = filled(left.lines[at] if at < len(left.lines) else [], wide)
        other = right.lines[at] if at < len(right.lines) else []
        both.append(filled([*line, (" " * GAP, "plain"), *other], width))
    return Page(both, left.shows | right.shows)


def _needs(column: Iterable[Section]) -> dict[str, Widths]:
    """The widths of each section's rows; starts and what is under way have their columns in common."""
    need = {section.name: measure(section.rows) for section in column}
    for one, other in (("starts", "due"), ("due", "starts")):
        if one in need and other in need:
            need[one] = aligned(need[one], need[other])
    return need


def _column(column: Sequence[Section], width: int, height: int) -> list[Page]:
    """A section that does not fit goes on, under its heading, on the next page."""
    need, made = _needs(column), [Page()]
    for section in column:
        heading = [headed(section.heading, section.aside, width)]
        for block in _blocks(section, need[section.name], width):
            lines, on = made[-1].lines, section.name in made[-1].shows
            wanted = len(block) + (0 if on else 1 + bool(lines))
            if lines and len(lines) + wanted > height:
                made.append(Page())
                lines, on = made[-1].lines, False
            if not on:
                lines += [[(" ", "plain")], *heading] if lines else heading
                made[-1].shows.add(section.name)
            lines += block
    return made


def _blocks(section: Section, need: Widths, width: int) -> list[Lines]:
    """The lines of each row, or the sentence that says that there is none."""
    if not section.rows:
        return [[[(f"   {line}", "plain")] for line in wrap(clean(section.empty), width - 4)]]
    if section.name == "notes":
        return [_whole(row, width) for row in section.rows]
    if width < FOLDED:
        return [list(draw_folded(row, need, width)) for row in section.rows]
    return [[draw(row, need, width)] for row in section.rows]


def _whole(row: Row, width: int) -> Lines:
    """A note with all of its text: nobody can open it on a wall."""
    indent = MARGIN + len(row.when) + 2
    first, *more = wrap(f"{clean(row.what)}   {clean(row.words)}", width - indent - 1)
    begin: list[Piece] = [(f"{' ' * MARGIN}{row.when}  ", "plain"), (first, "strong")]
    return [filled(begin, width), *(filled([(" " * indent + line, "strong")], width) for line in more)]
