"""What the keys of a board do with what people tell each other: a note is written or ticked off, a task is done."""

from __future__ import annotations

from collections.abc import Coroutine
from functools import partial
from typing import TYPE_CHECKING, Any

from prepboard.boards.acts.probes import which_probe
from prepboard.boards.acts.readings import degrees_reader
from prepboard.boards.rows.lists import runs_under_way, voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.book import Temperature
from prepboard.paper.lists.handover import task_name
from prepboard.plan.board import Board
from prepboard.plan.demand.occasions import stands_on
from prepboard.plan.given.guests import Guests
from prepboard.plan.given.state import HandOver, Sitting
from prepboard.plan.service.handover import benches
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did

EVERYONE = "everyone"


async def write_note(desk: Desk, board: Board, shown: object) -> Did | None:
    """A line for a bench, for whoever has a run, about who is coming, or for all; offered is the run or the sitting
    under the cursor."""
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
    sittings = {Guests((line.service, line.day)).whom: (line.service, line.day) for line in board.sittings}
    for key, sitting in sittings.items():
        rows.append(Row(key, what=voice.service(*sitting), words=_("who is coming: its benches, until it is over")))
    first = shown.run if isinstance(shown, UnderWay) else shown if isinstance(shown, str) else EVERYONE
    whom = await desk.app.push_screen_wait(AskWhich(_("Whom is it for?"), rows, first=first))
    if whom in sittings:
        whom = await _which_guests(desk, board, sittings[whom])
    if whom is None:
        return None
    addressed = "" if whom == EVERYONE else whom
    return await desk.carry_out(partial(handover.note, desk.file, who, text, addressed))


async def _which_guests(desk: Desk, board: Board, sitting: Sitting) -> str | None:
    """Whose plates a note about guests is about: those of one dish, or all of the sitting."""
    from prepboard.boards.questions.which import AskWhich

    voice, book = voice_of(board), board.state.book
    every = Guests(sitting)
    rows = [Row(every.whom, what=_("All of {service}").format(service=voice.service(*sitting)))]
    for dish in book.dishes.values():
        guests = Guests(sitting, (dish.id,))
        if benches(book, guests) and stands_on(dish, *sitting):
            rows.append(Row(guests.whom, what=voice.name(dish.id)))
    return await desk.app.push_screen_wait(AskWhich(_("Which plates is it about?"), rows, first=every.whom))


def see_to(desk: Desk, board: Board, handed: HandOver | TaskLine) -> Coroutine[Any, Any, Did | None]:
    """What "done" means of a note, or of a task."""
    return tick_off(desk, handed) if isinstance(handed, HandOver) else task_done(desk, board, handed)


async def tick_off(desk: Desk, note: HandOver) -> Did | None:
    """A note has been seen to; no board shows it any more."""
    from prepboard.store.actions import handover

    who = await desk.who()
    return await desk.carry_out(partial(handover.tick_off, desk.file, who, note.number, shown=note)) if who else None


async def task_done(desk: Desk, board: Board, task: TaskLine) -> Did | None:
    """A task is done; where it asks for a reading, that is asked first."""
    from prepboard.boards.questions.typed import AskTyped
    from prepboard.store.actions import handover

    who = await desk.who()
    if who is None:
        return None
    reading, probe = None, ""
    if task.reads:
        title = _("{task}: what does it read, in °{unit}?").format(
            task=task_name(task, voice_of(board)), unit=task.reads
        )
        asked = AskTyped(title, degrees_reader(task.reads), signs=[*"1234567890.-CF"], longest=12)
        answer = await desk.app.push_screen_wait(asked)
        if answer is None:
            return None
        named = await which_probe(desk)
        if named is None:
            return None
        reading, probe = Temperature(*answer), named
    day = board.state.book.kitchen.days.business_day(board.now)
    return await desk.carry_out(partial(handover.task, desk.file, who, day, task.task, reading, probe=probe))
