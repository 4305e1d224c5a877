"""A sitting more: asked for in one line, added at once, taken back with undo."""

from __future__ import annotations

import asyncio
import re
from datetime import date, time
from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from prepboard.boards.questions.typed import AskTyped
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.letters import starts
from prepboard.paper.text.saying import near_day
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.drafts import NOTHING_SET
from prepboard.plan.changing.usual import usual_guests
from prepboard.plan.given.state import Sitting, State
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk

_ITS_OWN = re.compile(r"(?P<name>.*\D)\s+(?P<starts>\d?\d:\d\d)\s*[-–]\s*(?P<ends>\d?\d:\d\d)\s+(?P<covers>\d{1,5})")
_OF_THE_BOOK = re.compile(r"(?P<name>.*\D)(?:\s+(?P<covers>\d{1,5}))?")


class OfTheBook(Struct, frozen=True):
    """One of the book's services on a day on which it is not held; without covers as many as the book says."""

    service: str
    covers: int | None


class Own(Struct, frozen=True):
    """A sitting of its own."""

    name: str
    starts: time
    ends: time
    covers: int


def read_sitting(board: Board, text: str) -> OfTheBook | Own:
    """ "Late table 22:00-23:30 20", or a service of the book: "lunch 40". ValueError in words."""
    own = _ITS_OWN.fullmatch(text.strip())
    if own:
        return Own(own["name"].strip(), _clock(own["starts"]), _clock(own["ends"]), int(own["covers"]))
    known = _OF_THE_BOOK.fullmatch(text.strip())
    found = [one for one in board.state.book.services.values() if known and starts(known["name"].strip(), one.name)]
    if known and len(found) == 1:
        return OfTheBook(found[0].id, int(known["covers"]) if known["covers"] else None)
    raise ValueError(_("write it like: Late table 22:00-23:30 20; or a service of the book and its covers: lunch 40"))


def _clock(text: str) -> time:
    hours, minutes = map(int, text.split(":"))
    if hours > 23 or minutes > 59:
        raise ValueError(_("'{text}' is no time; write it like 17:30").format(text=text))
    return time(hours, minutes)


async def add_sitting(desk: Desk, board: Board, like: Sitting) -> None:
    """Asks for a sitting on the day of another, and adds it."""
    from prepboard.store.actions.night import services

    who = await desk.who()
    if who is None:
        return
    day: date = like[1]
    title = _("One more service on {day}: name, times, covers")
    asked = await desk.app.push_screen_wait(
        AskTyped(
            title.format(day=near_day(voice_of(board).days, day, board.now)),
            partial(read_sitting, board),
            notes=_notes(board, like),
        )
    )
    if asked is None:
        return
    if not await _agreed(desk, board, like, asked):
        return
    usual = usual_guests(board, asked.service if isinstance(asked, OfTheBook) else like[0], day)
    if isinstance(asked, OfTheBook):
        write = partial(services.hold, desk.file, who, (asked.service, day), asked.covers, usual=usual)
    else:
        new = services.NewService(asked.name, asked.starts, asked.ends, asked.covers, like=like[0])
        write = partial(services.add_service, desk.file, who, day, new, usual=usual)
    await desk.carry_out(write)


async def _agreed(desk: Desk, board: Board, like: Sitting, asked: OfTheBook | Own) -> bool:
    """Shows what it would change, as a number that is typed does, and asks."""
    from prepboard.boards.pars.changes_page import Changes
    from prepboard.boards.pars.saving_words import to_open

    with_it, sitting = with_sitting(board.state, like, asked)
    preview = await asyncio.to_thread(plan, with_it, board.now, moving=True)
    name = board.state.book.services[asked.service].name if isinstance(asked, OfTheBook) else asked.name
    title = _("If you add {service}:").format(service=name)
    lines = to_open(board, preview, sitting)
    answer: bool | None = await desk.app.push_screen_wait(Changes(title, preview, lines, agree=True))
    return bool(answer)


def with_sitting(state: State, like: Sitting, asked: OfTheBook | Own) -> tuple[State, Sitting]:
    """The state as it would be with one more sitting, and that sitting."""
    from prepboard.store.actions.night.services import service_key
    from prepboard.store.read.tonight import with_added

    day = like[1]
    if isinstance(asked, OfTheBook):
        sitting = (asked.service, day)
        row = (day.isoformat(), asked.service, "", "", "", 0, "", "{}", "0")
        tonight = replace(state.tonight.get(sitting, NOTHING_SET), cancelled=False, covers=asked.covers)
        ahead = replace(state, tonight={**state.tonight, sitting: tonight})
    else:
        key = service_key(asked.name)
        sitting, ahead = (key, day), state
        times = (f"{asked.starts:%H:%M}", f"{asked.ends:%H:%M}")
        row = (day.isoformat(), key, asked.name, *times, asked.covers, like[0], "{}", "0")
    return replace(ahead, book=with_added(state.book, (row,)), added=state.added | {sitting}), sitting


def _notes(board: Board, like: Sitting) -> list[str]:
    notes = [_("Late table 22:00-23:30 20; or a service of the book: lunch 40.")]
    if like[0]:
        named = voice_of(board).service(*like)
        notes.append(_("One of its own has the dishes and shares of {service}.").format(service=named))
    return [*notes, _("What it changes is shown first.")]
