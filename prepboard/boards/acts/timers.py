"""What the timer key does: a timer of the bench in two presses, and stopping one."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.rows.find import Shown
from prepboard.boards.rows.lists import voice_of
from prepboard.plan.board import Board
from prepboard.plan.given.state import Timer
from prepboard.plan.shown.lines import MakeLine, UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did


async def set_one(desk: Desk, board: Board, shown: Shown | None, station: str) -> Did | None:
    """Sets a timer for this bench, named by the run under the cursor where there is one."""
    from prepboard.boards.questions.minutes import AskMinutes
    from prepboard.store.actions.night import timers

    named = voice_of(board).name(shown.prep) if isinstance(shown, UnderWay | MakeLine) else ""
    minutes = await desk.app.push_screen_wait(AskMinutes(_("{what}: rings in").format(what=named or _("Timer"))))
    who = await desk.who() if minutes else None
    if who is None or minutes is None:
        return None
    return await desk.carry_out(partial(timers.set_timer, desk.file, who, station, minutes, named))


async def stop(desk: Desk, timer: Timer) -> Did | None:
    """Stops a timer, whether it rang or not."""
    from prepboard.store.actions.night import timers

    who = await desk.who()
    if who is None:
        return None
    return await desk.carry_out(partial(timers.stop_timer, desk.file, who, timer.number, shown=timer))
