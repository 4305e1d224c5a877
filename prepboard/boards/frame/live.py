"""Keeps a board live: reads the file whenever it changed, and works the board out again when a minute is over.

One way in for everybody's changes, one's own too. When the file cannot be read the answer is `NotLive`, never
old figures as if they were new.
"""

from __future__ import annotations

import asyncio
import contextlib
import sys
from collections.abc import AsyncIterator
from datetime import datetime
from random import random
from time import monotonic
from typing import TYPE_CHECKING, Any

from msgspec import Struct, field

from prepboard.boards.frame.mishaps import in_a_line, keep_traceback
from prepboard.plan.board import Board, plan
from prepboard.plan.planner import Planner
from prepboard.plan.recording import only_told, recorded
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.clock import Clock
    from prepboard.plan.given.state import State
    from prepboard.store.kitchen_file import KitchenFile

PAINTED = 0.02
"""Seconds for which what was recorded has the processor to itself, until it is on the screen."""

QUIET, SPREAD, AT_MOST = 0.8, 2.4, 4.0
"""Seconds without another change after which the plan is worked out for what others did, and how long at most it waits
for that: plates that go out one after the other are shown one by one and cost one plan together. By chance up to
`SPREAD` longer, and at most half as long, so that not all boards of a kitchen plan at the same moment."""

GIVES_WAY = 0.001
"""Seconds for which a plan that is being worked out keeps a change or a press waiting, each time they take turns."""

RETRY = 2.0
"""Seconds until a file that could not be read is tried again."""


class NotLive(Struct, frozen=True):
    """What is shown is as old as `since`, the moment of the last good look; `why` is one line."""

    since: datetime
    why: str


async def follow(
    file: KitchenFile, *, own_at_once: bool = True, retry: float = RETRY
) -> AsyncIterator[Board | NotLive]:
    """Boards, newest last, for as long as someone takes them. Never raises for a file that is gone or broken.

    What was done here is shown `own_at_once`, before the plan is worked out with it, or only with the plan.
    """
    since = file.clock.now()
    while True:
        try:
            async for board in _boards(file, own_at_once):
                since = board.now
                yield board
        except Exception as fault:
            # Whatever goes wrong while looking, the cook needs the board back, not the end of the program.
            yield NotLive(since, _why(fault, file.clock.now()))
        await asyncio.sleep(retry)


async def _boards(file: KitchenFile, own_at_once: bool) -> AsyncIterator[Board]:
    sys.setswitchinterval(GIVES_WAY)
    planned = state = file.read()
    seen = file.seen
    board = await _work_out(state, file, first=True)
    yield board
    from prepboard.store.watch import changes  # what watches is loaded once the first figures are on the screen

    _tend(file, wrote=False)
    watching = changes(file, seen)  # a press may have read it since
    coming = asyncio.ensure_future(anext(watching))
    planning: asyncio.Future[Board] | None = None
    wish = _Wish()
    try:
        while True:
            await _either(coming, planning, None if planning else wish.seconds(file.clock))
            if coming.done():
                coming.result()
                before, state = state, file.read()
                coming = asyncio.ensure_future(anext(watching))
                told = only_told(before, state)
                # What somebody did is shown at once, also while a plan is being made; what that comes to follows.
                if own_at_once or told or not file.acted:
                    yield recorded(board, state, file.clock.now())
                if not told:
                    wish.changed(at_once=file.acted)
                elif file.acted and planning is None and wish.due is None:
                    _kept_up(file)
            elif planning and planning.done():
                board, planning = planning.result(), None
                yield board if state is planned else recorded(board, state, file.clock.now())
            elif wish.due is None:
                yield recorded(board, state, file.clock.now())
                wish.minute_is_over()
            if planning is None and wish.is_due:
                planned, planning = state, asyncio.ensure_future(_work_out(state, file))
                wish = _Wish()
    except StopAsyncIteration:
        return
    finally:
        left = [task for task in (coming, planning) if task]
        for task in left:
            task.cancel()
        await asyncio.gather(*left, return_exceptions=True)


class _Wish(Struct):
    """When the plan is to be worked out again, by the machine's own clock; not at every plate of a full service."""

    due: float | None = None
    since: float | None = None
    """The first change that no plan knows of yet."""
    chance: float = field(default_factory=random)
    """Of this board, this time, from 0 to 1."""

    def changed(self, *, at_once: bool) -> None:
        now = monotonic()
        self.since = self.since or now
        at_most = self.since + AT_MOST * (1 + self.chance) / 2
        self.due = now + PAINTED if at_once else min(now + QUIET + SPREAD * self.chance, at_most)

    def minute_is_over(self) -> None:
        self.due = monotonic() + AT_MOST * self.chance

    @property
    def is_due(self) -> bool:
        return self.due is not None and monotonic() >= self.due

    def seconds(self, clock: Clock) -> float:
        """How long to wait for it, or for the full minute."""
        return _rest_of_minute(clock) if self.due is None else max(0.0, self.due - monotonic())


async def _either(coming: asyncio.Future[None], planning: asyncio.Future[Board] | None, seconds: float | None) -> None:
    """Waits for a change or for the plan, at most so long."""
    waited: set[asyncio.Future[Any]] = {coming, planning} if planning else {coming}
    await asyncio.wait(waited, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)


async def _work_out(state: State, file: KitchenFile, first: bool = False) -> Board:
    """The board, and what whoever looks first keeps; at its `first` look that may have come about long before."""
    # In a thread, so that a key pressed meanwhile is answered at once.
    acted, file.acted = file.acted, False
    planner = file.planner if isinstance(file.planner, Planner) else None
    board = await asyncio.to_thread(planner.board if planner else plan, state, file.clock.now())
    if board.new_shorts or board.ended_shorts or board.new_run_outs or board.new_learned:
        # Off the loop too: who waits for another program's lock must not keep the keys waiting.
        await asyncio.to_thread(_keep, file, board, first)
    if acted:
        _tend(file, wrote=True)
    return board


def _kept_up(file: KitchenFile) -> None:
    """What was done here is shown and comes to nothing more."""
    file.acted = False
    _tend(file, wrote=True)


def _tend(file: KitchenFile, *, wrote: bool) -> None:
    """Copies and the day's check, beside the board: nobody waits for them, and what they find is said elsewhere."""
    if file.clock.set_by_hand:
        return

    def tend_now() -> None:
        from prepboard.store.health.upkeep import tend

        try:
            tend(file, wrote=wrote)
        except Exception as fault:
            keep_traceback(fault, file.clock.now())

    asyncio.get_running_loop().run_in_executor(None, tend_now)


def _keep(file: KitchenFile, board: Board, first: bool) -> None:
    if board.new_shorts or board.ended_shorts:
        _keep_shorts(file, board)
    if board.new_run_outs or board.new_learned:
        _keep_history(file, board, first)


def _keep_shorts(file: KitchenFile, board: Board) -> None:
    """Keeps since when something is short in a service under way. A file that cannot be written to still shows."""
    from prepboard.store.actions.night.placements import end_shorts, keep_shorts
    from prepboard.store.file.faults import StoreFault

    with contextlib.suppress(StoreFault):
        if board.ended_shorts:
            end_shorts(file, board.ended_shorts)
        for day in set(board.new_shorts.values()):
            keep_shorts(file, day, {key: board.now for key, of_day in board.new_shorts.items() if of_day == day})


def _keep_history(file: KitchenFile, board: Board, first: bool) -> None:
    """Keeps what ran out just now, or, seen at the `first` look, when somebody last knew how much there was; and what
    closed services taught. A file that cannot be written to still shows."""
    from prepboard.store.actions.history import keep_learned, keep_run_outs
    from prepboard.store.file.faults import StoreFault

    with contextlib.suppress(StoreFault):
        if board.new_learned:
            keep_learned(file, board.state.version, *board.new_learned)
        for sitting, dishes in board.new_run_outs.items():
            keep_run_outs(file, sitting, dishes if first else dict.fromkeys(dishes, board.now))


def _rest_of_minute(clock: Clock) -> float:
    now = clock.now()
    return 60.05 - now.second - now.microsecond / 1e6


def _why(fault: Exception, now: datetime) -> str:
    """What is wrong with the file, in its own words; of anything else also where it is kept for whoever mends it."""
    from prepboard.store.file.faults import StoreFault

    kept = None if isinstance(fault, StoreFault | OSError) else keep_traceback(fault, now)
    said = in_a_line(fault)
    return _("{what}; more of it is in {file}").format(what=said, file=kept) if kept else said
