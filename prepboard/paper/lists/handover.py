"""What people tell each other, on paper and for scripts: notes, and the tasks of the day."""

from __future__ import annotations

from typing import Any

from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.board import Board
from prepboard.plan.given.guests import Guests, about_guests
from prepboard.plan.given.state import HandOver, TaskDone
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.texts import _, decimal


def notes(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row(
            (
                str(note.number),
                voice.time(note.at),
                plain(note.by),
                whom(note, board),
                listed((plain(note.text), _ticked_off(note, voice))),
            )
        )
        for note in board.notes
    ]
    return section(_("NOTES"), table(rows, "><<<<", width), _("Nobody left a note."), width)


def whom(note: HandOver, board: Board) -> str:
    """Whom a note is for: "Sauce", "Lamb jus K7F", "Dinner: Pressed lamb", or nobody in particular."""
    voice = Voice.of(board)
    guests = about_guests(note.whom)
    if guests is not None:
        return guests_words(guests, voice)
    run = next((run for run in board.state.runs if run.code == note.whom), None)
    return f"{voice.name(run.recipe.id)} {run.code}" if run else voice.station(note.whom)


def guests_words(guests: Guests, voice: Voice) -> str:
    """Whom a note about guests is about."""
    sitting, dishes = voice.service(*guests.sitting), listed(voice.name(dish) for dish in guests.dishes)
    return _("{service}: {dishes}").format(service=sitting, dishes=dishes) if dishes else sitting


def _ticked_off(note: HandOver, voice: Voice) -> str:
    if note.done_at is None:
        return ""
    return _("ticked off {time} {by}").format(time=voice.time(note.done_at), by=plain(note.done_by)).rstrip()


def note_objects(board: Board, shape: Shape) -> list[Json]:
    return [
        {
            "number": note.number,
            "at": shape.at(note.at),
            "by": plain(note.by),
            "to": note.whom or None,
            "text": plain(note.text),
            "done": note.done_at is not None,
            "done_at": shape.at(note.done_at),
            "done_by": plain(note.done_by) or None,
        }
        for note in board.notes
    ]


def tasks(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row((voice.time(line.at), task_name(line, voice), voice.station(line.station), task_words(line, voice)))
        for line in board.tasks
    ]
    return section(_("TASKS"), table(rows, "<<<<", width), _("The book has no tasks today."), width)


def task_name(line: TaskLine, voice: Voice) -> str:
    return plain(voice.book.tasks[line.task].name)


def task_words(line: TaskLine, voice: Voice) -> str:
    """How it stands with a task: when and by whom it was done, or how it presses and what it asks for."""
    if line.done:
        by = _("done {time} {by}").format(time=voice.time(line.done.at), by=plain(line.done.by)).rstrip()
        return listed((by, reading(line.done)))
    how = _("missed") if line.is_missed(voice.now) else voice.urgency(line.at)
    return listed((how, task_asks(line)))


def task_asks(line: TaskLine) -> str:
    """What a task asks for beside that it is done."""
    return _("reading in {unit}").format(unit=line.reads) if line.reads else ""


def reading(done: TaskDone) -> str:
    return f"{decimal(done.degrees)} °{done.unit}" if done.degrees else ""


def task_objects(board: Board, shape: Shape) -> list[Json]:
    return [
        {
            "task": line.task,
            "name": task_name(line, shape.voice),
            "station": line.station,
            "at": shape.at(line.at),
            "hands_minutes": line.hands_minutes,
            "reads": line.reads,
            "done": line.done is not None,
            "done_at": shape.at(line.done.at) if line.done else None,
            "done_by": plain(line.done.by) if line.done else None,
            "reading": _degrees(line.done),
        }
        for line in board.tasks
    ]


def _degrees(done: TaskDone | None) -> dict[str, Any] | None:
    return {"degrees": float(done.degrees), "unit": done.unit} if done and done.degrees else None
