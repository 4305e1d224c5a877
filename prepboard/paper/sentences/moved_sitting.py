"""What a service that is moved breaks, in words: what ends before its guests, and what would be late."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time

from msgspec.structs import replace

from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board, plan
from prepboard.plan.demand.occasions import AsBooked
from prepboard.plan.given.state import Sitting, State
from prepboard.texts import _


def moved(state: State, sitting: Sitting, to: time | None) -> State:
    """The state as it would be if the sitting began at another time."""
    tonight = replace(state.tonight.get(sitting, AsBooked), moved_to=to)
    return replace(state, tonight={**state.tonight, sitting: tonight})


def broken(state: State, now: datetime, sitting: Sitting, to: time) -> Iterator[str]:
    """One sentence with all that breaks; none where nothing does."""
    before, after = plan(state, now), plan(moved(state, sitting, to), now, moving=True)
    voice = Voice.of(after)
    said = [*ends_before(before, after, sitting, voice), *_late(before, after, voice)]
    if said:
        yield _("that breaks: {what}").format(what=listed(said))


def ends_before(before: Board, after: Board, sitting: Sitting, voice: Voice) -> Iterator[str]:
    """Batches that would be good at the begin as it is, and are not at the new one."""
    starts = [
        next((one.starts for one in board.sittings if (one.service, one.day) == sitting), None)
        for board in (before, after)
    ]
    on_plates = {
        item for dish in after.state.book.dishes.values() if sitting[0] in dish.services for item in dish.plate
    }
    for batch in after.state.batches:
        ends = batch.use_by if batch.prep in on_plates and not batch.blocked else None
        if ends and starts[0] and starts[1] and starts[0] < ends <= starts[1]:
            said = _("{prep} {batch} ends {time}, before its guests")
            yield said.format(prep=voice.name(batch.prep), batch=batch.code, time=voice.time(ends))


def _late(before: Board, after: Board, voice: Voice) -> Iterator[str]:
    """Lines that would be ready late, or later than they are."""
    were = {str(line.line): line.late_minutes for line in before.make}
    for line in after.make:
        if line.late_minutes > were.get(str(line.line), 0):
            said = _("{prep} ready {n} min late")
            yield said.format(prep=voice.name(line.prep), n=line.late_minutes)
