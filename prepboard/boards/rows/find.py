"""Finding: from the key of a row back to what it stands for."""

from __future__ import annotations

from prepboard.boards.rows import bring_rows, due_rows, handover_rows
from prepboard.boards.rows import temperature_rows as watched
from prepboard.boards.rows.lists import run_key
from prepboard.plan.board import Board
from prepboard.plan.given.state import HandOver, Timer
from prepboard.plan.probes.watching import Flag
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import Bring, Expiring, Left, MakeLine, UnderWay

Shown = MakeLine | UnderWay | Expiring | Left | Flag | HandOver | TaskLine | Bring | Timer


def find(board: Board, key: str) -> Shown | None:
    """The line, run, batch, dish or place that a row's key names; None when the board has lost it."""
    keyed: dict[str, Shown] = {left.dish: left for left in board.left}
    keyed |= {batch.code: Expiring(batch, use_first=False) for batch in board.state.batches}
    keyed |= watched.found(board)
    keyed |= handover_rows.open_notes(board)
    keyed |= handover_rows.open_tasks(board)
    keyed |= bring_rows.to_bring(board)
    keyed |= {due_rows.timer_key(timer): timer for timer in board.state.timers}
    keyed |= {ending.batch.code: ending for ending in board.expiring}
    keyed |= {run_key(run): run for run in board.under_way}
    keyed |= {str(line.line): line for line in board.make}
    return keyed.get(key)


def run_of(board: Board, key: str) -> UnderWay | None:
    """The run under way that a line of this key became, the last one begun; None where there is none."""
    of_line = {run.code for run in board.state.runs if run.line is not None and str(run.line) == key}
    runs = (run for run in board.under_way if run.run in of_line)
    return max(runs, key=lambda run: run.started, default=None)
