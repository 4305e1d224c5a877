"""The sous chef's board as plain text: for terminals that are none, for paper, and for those who listen to a screen.

It is made from the same rows as the screen, so the two cannot say different things.
"""

from __future__ import annotations

from prepboard.boards.frame.board_screen import NARROW
from prepboard.boards.pars.drafting import Drafting
from prepboard.boards.pars.view import Part, view
from prepboard.boards.rows.station_view import board_title, title_lines
from prepboard.boards.widgets.columns import draw_cells, draw_headings, fit_columns
from prepboard.boards.widgets.row import Piece, draw_folded, headed, measure
from prepboard.paper.text.layout import paragraph
from prepboard.plan.board import Board
from prepboard.texts import _


def texts(board: Board, width: int = 100, by: str = "") -> str:
    """The services, the pars of each, and what is too late; every line at most `width` cells."""
    shown = title_lines(board_title(_("PARS"), board, by, clock_by_hand=False), "", width)
    lines = [*(_joined(line) for line in shown), "─" * width]
    first = view(board, board, Drafting(), {}, None, "pars")
    lines += _part(first.parts[0], width)
    for key in first.sittings:
        lines += _part(view(board, board, Drafting(), {}, key, "pars").parts[1], width)
    lines += _part(first.parts[2], width)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _part(part: Part, width: int) -> list[str]:
    columns, rows = part.table
    lines = ["", _joined(headed(part.heading, part.aside, width))]
    if not rows:
        return [*lines, *paragraph(part.empty, width, 3)]
    if width < NARROW:
        need = measure(rows)
        return lines + [_joined(line) for row in rows for line in draw_folded(row, need, width)]
    fitted = fit_columns(columns, rows, width)
    lines.append(_joined(draw_headings(columns, fitted, width)))
    return lines + [_joined(draw_cells(columns, row, fitted, width)) for row in rows]


def _joined(pieces: list[Piece]) -> str:
    return "".join(text for text, _tone in pieces)
