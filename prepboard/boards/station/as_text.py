"""A station's board as plain text: for terminals that are none, for paper, and for those who listen to a screen.

It is made from the same rows as the screen, so the two cannot say different things.
"""

from __future__ import annotations

from itertools import chain

from prepboard.boards.rows.bring_rows import bring_lines
from prepboard.boards.rows.morning_rows import morning_lines
from prepboard.boards.rows.station_view import (
    Section,
    View,
    due_section,
    notes_section,
    service_ends,
    title_lines,
    view,
)
from prepboard.boards.rows.van_rows import van_lines
from prepboard.boards.wall.view import sections, wall_title
from prepboard.boards.widgets.row import Piece, aligned, draw, draw_folded, headed, measure
from prepboard.paper.text.layout import paragraph
from prepboard.plan.board import Board

NARROW = 60
"""Below this width a row takes two lines."""


def texts(board: Board, stations: tuple[str, ...], width: int = 100, by: str = "") -> str:
    """The whole board, every line at most `width` cells, no blanks at the ends of lines."""
    shown = view(board, stations, by)
    upper, lower = shown.sections[:2], shown.sections[2:]
    lines = _title(shown, width)
    lines += [_joined(line) for line in morning_lines(board, stations, width)]
    lines += [_joined(line) for line in (*van_lines(board, width), *bring_lines(board, stations, width))]
    notes = notes_section(board, stations)
    due = due_section(board, stations)
    above = [one for one in (notes, due) if one.rows]
    in_order = (*lower[::-1], *upper[::-1]) if service_ends(board) is not None else (*upper, *lower)
    for section in (*above, *in_order):
        lines += ["", *_section(section, upper if section in upper else (section,), width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def wall_texts(board: Board, width: int = 100) -> str:
    """The wall, section under section."""
    shown = View(wall_title(board, clock_by_hand=False), tuple(chain(*sections(board))))
    lines = _title(shown, width)
    for section in shown.sections:
        lines += ["", *_section(section, (section,), width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _title(shown: View, width: int) -> list[str]:
    return [*(_joined(line) for line in title_lines(shown.title, "", width)), "─" * width]


def _section(section: Section, beside: tuple[Section, ...], width: int) -> list[str]:
    lines = [_joined(headed(section.heading, section.aside, width, section.brief))]
    if not section.rows:
        return [*lines, *paragraph(section.empty, width, 3)]
    need = measure(section.rows)
    for other in beside:
        need = aligned(need, measure(other.rows))
    for row in section.rows:
        if width < NARROW:
            lines += [_joined(line) for line in draw_folded(row, need, width)]
        else:
            lines.append(_joined(draw(row, need, width)))
    return lines


def _joined(pieces: list[Piece]) -> str:
    return "".join(text for text, _tone in pieces)
