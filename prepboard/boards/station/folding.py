"""Whether rows of a station's lower lists stand on one line or on two, and whether their names are cut. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from prepboard.boards.frame.board_screen import WIDE
from prepboard.boards.rows.station_view import Section
from prepboard.boards.widgets.row import MARGIN, Row, Widths, fits


def across(width: int) -> int:
    """Cells of a lower list on a screen of a width."""
    return width // 2 if width >= WIDE else width


def cut(rows: Sequence[Row], need: Widths, fold: bool, cells: int) -> bool:
    """Whether a name, or what stands beside it on one line, would be cut in so many cells."""
    return any(cell_len(row.what) > cells - MARGIN - 1 for row in rows) if fold else not fits(need, cells)


def whole_on_one(rows: Sequence[Row], need: Widths, width: int) -> bool:
    """Whether all rows of a narrow screen stand on one line each, with nothing cut."""
    return fits(need, width) and not any(row.across for row in rows)


def better_folded(section: Section, sections: Sequence[Section], need: Widths, width: int, room: int) -> bool:
    """Whether rows of a lower list would be cut on one line, and all lists have `room` when they take two.

    On a narrow screen rows take two where one of them would be cut: a cut word may be the one that mattered.
    """
    if section.name == "notes":
        return not fits(need, width)
    rows = [len(each.rows) or 1 for each in sections]
    # Beside one another only this list grows; below one another the other may take two lines as well.
    lower = max(2 * len(section.rows), *rows[2:4]) if width >= WIDE else 2 * sum(rows[2:4])
    return not fits(need, across(width)) and sum(rows[:2]) + lower <= room
