"""What helps an open line: tried in a thread of its own while the line is read, and tried anew when anything moved."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from datetime import datetime

from prepboard.boards.rows.find import Shown
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.recipe_page import Block
from prepboard.paper.sentences.helps import help_text
from prepboard.plan.board import Board
from prepboard.plan.changing.helping import Help, helps
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

MOST = 5
"""So many are shown."""

Asked = tuple[int, str, str, str, datetime]
"""What an answer is for: the state's version, the minute, the line, and where and when it is made by now."""


class Helping:
    """What is known to help the line of one page."""

    def __init__(self) -> None:
        self._of: Asked | None = None
        self._found: tuple[Help, ...] | None = None
        self.for_sous = True
        """Whoever reads may ask somebody to stay."""

    def wanted(self, board: Board, shown: Shown) -> MakeLine | None:
        """The line to be tried; None where it needs no help, or is being tried already."""
        line = shown if isinstance(shown, MakeLine) and shown.late_minutes else None
        asked = _asked(board, line) if line else None
        if asked == self._of:
            return None
        self._of, self._found = asked, None
        return line

    async def work_out(self, board: Board, line: MakeLine) -> bool:
        """Tries what helps; whether the answer is still the one that is asked for."""
        found = await asyncio.to_thread(helps, board, line)
        if self._of != _asked(board, line):
            return False
        self._found = found
        return True

    @property
    def is_trying(self) -> bool:
        """It is not known yet."""
        return self._of is not None and self._found is None

    @property
    def found(self) -> tuple[Help, ...]:
        """What is known to help, best first, as far as it may be asked for here."""
        return tuple(one for one in self._found or () if self.for_sous or one.kind != "stay")[:MOST]

    def block(self, board: Board) -> Block:
        """What stands on the page; nothing where the line needs no help."""
        return _("WHAT HELPS"), list(self._lines(board))

    def _lines(self, board: Board) -> Iterator[str]:
        if self._of is None:
            return
        if self._found is None:
            yield _("trying what helps")
            return
        for help in self.found:
            yield help_text(help, voice_of(board))
        if not self.found:
            yield _("nothing makes it sooner without making something else late")


def _asked(board: Board, line: MakeLine) -> Asked:
    return board.state.version, f"{board.now:%Y%m%d%H%M}", str(line.line), line.station, line.ready_at
