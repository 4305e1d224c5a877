"""What changed on a board, and who did it: what the others did meanwhile, what became of a line that went, what is due.

Reads the file's own records; where it cannot be read there is no news, and the board says so elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

from prepboard.boards.rows import handover_rows
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.given.state import Line
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.past.happened import Happened

_MINUTE = timedelta(minutes=1)


class News:
    """What the other stations did since this was last asked."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._seen: int | None = None

    def look(self) -> list[Happened]:
        """What others did since the last look; nothing at the first one."""
        from prepboard.store.file.faults import StoreFault
        from prepboard.store.past.happened import done_since, last_number

        try:
            if self._seen is None:
                self._seen = last_number(self._desk.file)
                return []
            done = done_since(self._desk.file, self._seen)
        except StoreFault:
            return []
        if done:
            self._seen = done[-1].number
        return [happened for happened in done if happened.action not in self._desk.asked]


def in_words(voice: Voice, happened: Sequence[Happened]) -> str:
    """The last thing that others did: "JP, Sauce: Onion soubise started, 1 recipe"."""
    last = happened[-1]
    said = f"{_who(voice, last)}: {last.text}"
    others = len(happened) - 1
    return f"{said} {some('({n} change before it)', '({n} changes before it)', others)}" if others else said


def _who(voice: Voice, happened: Happened) -> str:
    return listed((happened.by, voice.station(happened.station) if happened.station else "")) or _("somebody")


def became(desk: Desk, board: Board, row: Row) -> str:
    """What happened to a line, a run or a batch that is no longer in its list; "" where this desk did it."""
    from prepboard.store.file.faults import StoreFault
    from prepboard.store.past import happened as records

    handed = handover_rows.became(board, row.key, desk.by, desk.station)
    if handed is not None:
        return handed
    try:
        if row.key.startswith("run "):
            found = records.to_run(desk.file, row.key.removeprefix("run "))
        elif "#" in row.key:
            found = records.to_line(desk.file, Line.read(row.key))
        else:
            found = records.to_batch(desk.file, row.key)
    except (StoreFault, ValueError):
        found = None
    if found is None:
        return _("{what} is no longer in this list: the plan needs it no more.").format(what=row.what)
    if found.action in desk.asked:
        return ""
    voice = voice_of(board)
    return _("{what} is no longer in this list. {time}, {who}: {did}").format(
        what=row.what, time=voice.time(found.at), who=_who(voice, found), did=found.text
    )


def changed_keys(before: Iterable[Row], after: Iterable[Row]) -> frozenset[str]:
    """Keys of the rows that are new or say something else; how a time presses is no change."""
    known = {row.key: (row.when, row.what, row.amount) for row in before}
    return frozenset(row.key for row in after if known.get(row.key) != (row.when, row.what, row.amount))
