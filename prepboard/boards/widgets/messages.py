"""What widgets tell their screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message

from prepboard.boards.widgets.row import Row

if TYPE_CHECKING:
    from prepboard.boards.widgets.line_list import LineList


@dataclass
class RowOpened(Message):
    """Enter on a row, or a tap on the row under the cursor."""

    list: LineList
    row: Row


@dataclass
class RowWent(Message):
    """The row under the cursor is gone; the cursor stayed near."""

    list: LineList
    row: Row


@dataclass
class CursorLeft(Message):
    """The cursor was moved past the end of a list: `direction` is -1 above its top, 1 below its end."""

    list: LineList
    direction: int


@dataclass
class HintTapped(Message):
    """A tap on a key in the footer."""

    action: str


@dataclass
class RowMarked(Message):
    """A tap at the left edge of the row under the cursor."""

    list: LineList
    row: Row


@dataclass
class CursorMoved(Message):
    """The cursor came to this row because somebody moved it there."""

    list: LineList
    row: Row


@dataclass
class SignTapped(Message):
    """A tap on a sign of a pad; `pad` is that pad's id."""

    sign: str
    pad: str
