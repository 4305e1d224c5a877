"""What became of a line, a run or a batch, and what the other stations did meanwhile: for boards that say it in words.

Only ever read; the file's own records answer.
"""

from __future__ import annotations

import json
from datetime import datetime

from msgspec import Struct

from prepboard.plan.given.state import Line
from prepboard.store.file.times import instant
from prepboard.store.file.who import text_of
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import recognized


class Happened(Struct, frozen=True):
    """Somebody did something; `text` is the answer they got."""

    number: int
    """Grows with every action of the file."""
    action: str
    at: datetime
    by: str
    station: str
    did: str
    text: str


_ACTION = "SELECT actions.number, actions.id, actions.at, actions.by, actions.station, actions.did, actions.answer"

_OF_ROW = (
    f"{_ACTION} FROM changes JOIN actions ON actions.id = changes.action"
    " WHERE changes.row_of = ? AND changes.key = ? ORDER BY changes.number DESC LIMIT 1"
)


def last_number(file: KitchenFile) -> int:
    """The number of the newest action; 0 in a file where nothing was done yet."""
    with file.looking() as db:
        return int(db.execute("SELECT coalesce(max(number), 0) FROM actions").fetchone()[0])


def done_since(file: KitchenFile, number: int) -> list[Happened]:
    """What was done after the action of that number, the oldest first."""
    with file.looking() as db:
        return [
            _happened(row) for row in db.execute(f"{_ACTION} FROM actions WHERE number > ? ORDER BY number", [number])
        ]


def to_line(file: KitchenFile, line: Line) -> Happened | None:
    """The last thing that was done to the run of a line of the plan; None when nobody began it."""
    with file.looking() as db:
        run = db.execute("SELECT code FROM runs WHERE line = ? AND state != 'undone'", [str(line)]).fetchone()
    return to_run(file, run[0]) if run else None


def to_run(file: KitchenFile, code: str) -> Happened | None:
    """The last thing that was done to a run."""
    return _to_row(file, "runs", code)


def to_batch(file: KitchenFile, code: str) -> Happened | None:
    """The last thing that was done to a batch."""
    return _to_row(file, "batches", code)


def _to_row(file: KitchenFile, table: str, code: str) -> Happened | None:
    with file.looking() as db:
        row = db.execute(_OF_ROW, [table, json.dumps({"code": code})]).fetchone()
    return _happened(row) if row else None


def _happened(row: tuple[int, str, str, str, str, str, str]) -> Happened:
    number, action, at, by, station, did, answer = row
    return Happened(number, action, instant(at), by, station, did, recognized(text_of(answer)))
