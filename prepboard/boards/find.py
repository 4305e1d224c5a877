"""Finding: from the key of a row back to what it stands for, and names by their letters."""

from __future__ import annotations

import unicodedata

from prepboard.boards import bring_rows, handover_rows, watched
from prepboard.boards.rows import run_key
from prepboard.plan.board import Board
from prepboard.plan.day_lines import TaskLine
from prepboard.plan.lines import Bring, Expiring, Left, MakeLine, UnderWay
from prepboard.plan.state import HandOver
from prepboard.plan.watching import Flag

Shown = MakeLine | UnderWay | Expiring | Left | Flag | HandOver | TaskLine | Bring


def find(board: Board, key: str) -> Shown | None:
    """The line, run, batch, dish or place that a row's key names; None when the board has lost it."""
    keyed: dict[str, Shown] = {left.dish: left for left in board.left}
    keyed |= {batch.code: Expiring(batch, use_first=False) for batch in board.state.batches}
    keyed |= watched.found(board)
    keyed |= handover_rows.open_notes(board)
    keyed |= handover_rows.open_tasks(board)
    keyed |= bring_rows.to_bring(board)
    keyed |= {ending.batch.code: ending for ending in board.expiring}
    keyed |= {run_key(run): run for run in board.under_way}
    keyed |= {str(line.line): line for line in board.make}
    return keyed.get(key)


def matches(letters: str, name: str) -> bool:
    """Whether these letters stand anywhere in a name; accents and capitals make no difference."""
    return folded(letters) in folded(name)


def starts(letters: str, name: str) -> bool:
    """Whether a word of the name begins with these letters; accents and capitals make no difference."""
    return f" {folded(letters)}" in f" {folded(name)}"


_LETTERS = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i", "’": "'"})
"""Letters that no accent can be taken from."""


def folded(text: str) -> str:
    """Small letters without accents, to compare names by."""
    parts = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
