"""From the key of a row back to what it stands for."""

from __future__ import annotations

from prepboard.boards.rows import run_key
from prepboard.plan.board import Board
from prepboard.plan.lines import Expiring, Left, MakeLine, UnderWay

Shown = MakeLine | UnderWay | Expiring | Left


def find(board: Board, key: str) -> Shown | None:
    """The line, run, batch or dish that a row's key names; None when the board has lost it."""
    keyed: dict[str, Shown] = {left.dish: left for left in board.left}
    keyed |= {ending.batch.code: ending for ending in board.expiring}
    keyed |= {run_key(run): run for run in board.under_way}
    keyed |= {str(line.line): line for line in board.make}
    return keyed.get(key)
