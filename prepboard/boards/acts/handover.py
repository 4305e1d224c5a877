"""What the keys of a board do with what people tell each other: a note is written or ticked off, a task is done."""

from __future__ import annotations

from collections.abc import Coroutine
from functools import partial
from typing import TYPE_CHECKING, Any

from prepboard.boards.acts.readings import degrees_reader
from prepboard.boards.rows.lists import runs_under_way, voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.book import Temperature
from prepboard.paper.lists.handover import task_name
from prepboard.plan.board import Board
from prepboard.plan.given.state import HandOver
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did

EVERYONE = "everyone"


async def write_note(desk: Desk, board: Board, shown: object) -> Did | None:
    """A line for a bench, for whoever has a run, or for all; offered is the run under the cursor."""
    from prepboard.boards.questions.typed import AskText
    from prepboard.boards.questions.which import AskWhich
    from prepboard.store.actions import handover

    who = await desk.who()
    if who is None:
        return None
    asked = AskText(_("A note: what shall the others know?"), longest=handover.LONGEST)
    text = await desk.app.push_screen_wait(asked)
    if not text:
        return None
    voice, stations = voice_of(board), tuple(board.state.book.stations)
    rows = [Row(EVERYONE, what=_("Everyone"), words=_("the wall shows it too"))]
    rows += [Row(id_, what=voice.station(id_)) for id_ in stations]
    for run in runs_under_way(board, stations):
        rows.append(Row(run.run, what=voice.name(run.prep), words=_("whoever has it: {by}").format(by=run.by)))
    first = shown.run if isinstance(shown, UnderWay) else EVERYONE
    whom = await desk.app.push_screen_wait(AskWhich(_("Whom is it for?"), rows, first=first))
    if whom is None:
        return None
    addressed = "" if whom == EVERYONE else whom
    return await desk.carry_out(partial(handover.note, desk.file, who, text, addressed))


def see_to(desk: Desk, board: Board, handed: HandOver | TaskLine) -> Coroutine[Any, Any, Did | None]:
    """What "done" means of a note, or of a task."""
    return tick_off(desk, handed) if isinstance(handed, HandOver) else task_done(desk, board, handed)


async def tick_off(desk: Desk, note: HandOver) -> Did | None:
    """A note has been seen to; no board shows it any more."""
    from prepboard.store.actions import handover

    who = await desk.who()
    return await desk.carry_out(partial(handover.tick_off, desk.file, who, note.number)) if who else None


async def task_done(desk: Desk, board: Board, task: TaskLine) -> Did | None:
    """A task is done; where it asks for a reading, that is asked first."""
    from prepboard.boards.questions.typed import AskTyped
    from prepboard.store.actions import handover

    who = await desk.who()
    if who is None:
        return None
    reading = None
    if task.reads:
        title = _("{task}: what does it read, in °{unit}?").format(
            task=task_name(task, voice_of(board)), unit=task.reads
        )
        asked = AskTyped(title, degrees_reader(task.reads), signs=[*"1234567890.-CF"], longest=12)
        answer = await desk.app.push_screen_wait(asked)
        if answer is None:
            return None
        reading = Temperature(*answer)
    day = board.state.book.kitchen.days.business_day(board.now)
    return await desk.carry_out(partial(handover.task, desk.file, who, day, task.task, reading))
