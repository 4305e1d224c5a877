"""A service begins at another time: a party an hour late. What that breaks is said before it is done, first what ends
before its guests come."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, time, timedelta
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.minutes import by_digits
from prepboard.boards.questions.which import Choices
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.paper.sentences.moved_sitting import ends_before, moved
from prepboard.plan.board import Board, plan
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk

STEPS = (15, 30, 45, 60, 75, 90, 120, -15, -30)
"""Minutes later (below 0: earlier) that the digits 1 to 9 stand for."""

AS_WRITTEN = "0"


class AskBegins(Dialog[int], keys="answer"):
    """How many minutes later a service begins: a digit, the cursor or a tap; 0 is the time that is written."""

    def __init__(self, title: str, board: Board, starts: datetime, written: time) -> None:
        voice = voice_of(board)
        rows = [
            Row(str(at), when=str(at), what=_step(minutes), amount=voice.wall(starts + timedelta(minutes=minutes)))
            for at, minutes in enumerate(STEPS, 1)
            if starts + timedelta(minutes=minutes) > board.now
        ]
        at = voice.days.local(starts)
        self._back = round((at.replace(hour=written.hour, minute=written.minute) - at).total_seconds() / 60)
        if self._back:
            rows.append(Row(AS_WRITTEN, when=AS_WRITTEN, what=_("as written"), amount=f"{written:%H:%M}"))
        self._rows = {row.key: row for row in rows}
        choices = Choices(rows, answer=self._minutes, said=by_digits, sign=self._take_sign, by_letters=False)
        super().__init__(title, choices)

    def _minutes(self, row: Row) -> int:
        return self._back if row.key == AS_WRITTEN else STEPS[int(row.key) - 1]

    def _take_sign(self, sign: str) -> bool:
        """A digit is the answer."""
        row = self._rows.get(sign)
        if row:
            self.dismiss(self._minutes(row))
        return row is not None


def _step(minutes: int) -> str:
    said = _("{n} min later") if minutes > 0 else _("{n} min earlier")
    return said.format(n=abs(minutes))


async def move_sitting(desk: Desk, board: Board, sitting: Sitting) -> None:
    """Asks for how much later, shows what that changes, and does it once that is agreed to."""
    from prepboard.boards.pars.changes_page import Changes
    from prepboard.boards.pars.saving_words import Line, to_open
    from prepboard.store.actions.night import services

    line = next((one for one in board.sittings if (one.service, one.day) == sitting), None)
    if line is None:
        desk.tell(_("That is for a service that is held."))
        return
    who = await desk.who()
    if who is None:
        return
    voice = voice_of(board)
    named = voice.service(*sitting)
    title = _("{service} begins {time}: how much later?").format(service=named, time=voice.wall(line.starts))
    written = board.state.book.services[sitting[0]].starts
    later = await desk.app.push_screen_wait(AskBegins(title, board, line.starts, written))
    if later is None:
        return
    to = voice.days.local(line.starts.astimezone(UTC) + timedelta(minutes=later)).time()
    preview = await asyncio.to_thread(plan, moved(board.state, sitting, to), board.now, moving=True)
    ends: list[tuple[Line, None]] = [((said, "late"), None) for said in ends_before(board, preview, sitting, voice)]
    lines = [*ends, *to_open(board, preview, sitting)]
    title = _("If {service} begins {time}:").format(service=named, time=f"{to:%H:%M}")
    if await desk.app.push_screen_wait(Changes(title, preview, lines, agree=True)):
        shown = board.state.tonight.get(sitting, Tonight())
        await desk.carry_out(partial(services.move_service, desk.file, who, sitting, to, shown=shown))
