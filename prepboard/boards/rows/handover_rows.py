"""Notes and tasks on the boards: their rows, what an opened one says, and what became of one that went. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from msgspec.structs import replace

from prepboard.boards.rows.lists import urgency, voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.saying import say_duration
from prepboard.paper.lists.handover import task_asks, task_name, whom
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.given.state import HandOver
from prepboard.plan.service.handover import notes_for
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.plan.board import Board


def note_key(note: HandOver) -> str:
    return f"note {note.number}"


def task_key(task: TaskLine) -> str:
    return f"task {task.task}"


def open_notes(board: Board) -> dict[str, HandOver]:
    """The notes that nobody ticked off, by the keys of their rows."""
    return {note_key(note): note for note in board.notes if note.done_at is None}


def open_tasks(board: Board) -> dict[str, TaskLine]:
    """The tasks of this business day that nobody did, by the keys of their rows."""
    return {task_key(task): task for task in board.tasks if task.done is None}


def notes(board: Board, stations: tuple[str, ...]) -> tuple[Row, ...]:
    """Rows of what others left for these benches and for all, the last one first; without benches, for all only."""
    return tuple(
        _note_row(board, note) for note in reversed(notes_for(board.state, open_notes(board).values(), stations))
    )


def _note_row(board: Board, note: HandOver) -> Row:
    return Row(
        key=note_key(note),
        when=voice_of(board).time(note.at),
        what=note.text,
        words=listed((note.by, _for(board, note))),
    )


def on_two_lines(row: Row, width: int) -> Row:
    """A note's row where it takes two lines of so many cells: its text goes on in the second one."""
    first, *more = wrap(row.what, width - len(row.when) - 6) or [""]
    return replace(row, what=first, words=f"{' '.join(more)}   {row.words}".strip())


def _for(board: Board, note: HandOver) -> str:
    named = whom(note, board)
    return _("for {whom}").format(whom=named) if named else _("for all")


def missed_today(board: Board, stations: tuple[str, ...]) -> tuple[str, ...]:
    """How many readings nobody took at these benches today, in words; nothing where none is missed."""
    missed = sum(task.station in stations and task.is_missed(board.now) for task in board.tasks)
    return (_("readings missed today: {n}").format(n=missed),) if missed else ()


def tasks(board: Board, stations: tuple[str, ...]) -> Iterator[tuple[TaskLine, Row]]:
    """The tasks that are still to do at these benches, with their rows; what was missed can be done no more."""
    voice = voice_of(board)
    for key, task in open_tasks(board).items():
        if task.station in stations and not task.is_missed(board.now):
            words, tone = urgency(voice, task.at)
            bench = voice.station(task.station) if len(stations) > 1 else ""
            asks = task_asks(task) or _("task")
            name, when = task_name(task, voice), voice.time(task.at)
            yield task, Row(key, when=when, what=name, words=words, extra=listed((bench, asks)), tone=tone)


# --- an opened one ---------------------------------------------------------------------------------------


def note_page(board: Board, voice: Voice, note: HandOver) -> tuple[str, list[tuple[str, list[str]]]]:
    """An opened note: all of its text, and who wrote it when."""
    where = voice.station(note.station) if note.station else ""
    by = _("written {time}: {who}").format(time=voice.time(note.at), who=listed((note.by, where)))
    title = _("Note {n}, {whom}").format(n=note.number, whom=_for(board, note))
    return title, [("", [note.text]), ("", [by, _("It stands here until somebody ticks it off: d.")])]


def task_page(voice: Voice, task: TaskLine) -> tuple[str, list[tuple[str, list[str]]]]:
    """An opened task: when it is due, where, how long it takes, what it asks for."""
    due = _("due {time} ({urgency}), {station}").format(
        time=voice.time(task.at), urgency=voice.urgency(task.at), station=voice.station(task.station)
    )
    takes = _("{time} of work").format(time=say_duration(task.hands_minutes)) if task.hands_minutes else ""
    says = [due, takes, task_asks(task), _("d marks it done.")]
    return task_name(task, voice), [("", [line for line in says if line])]


def became(board: Board, key: str, by: str, station: str) -> str | None:
    """Who ticked a note off or did a task that is gone; "" where `by` did it at `station`, None for other rows."""
    voice = voice_of(board)
    for note in board.notes:
        if note_key(note) == key and note.done_at:
            said = _("Note {n} was ticked off {time} by {who}.")
            said = said.format(n=note.number, time=voice.time(note.done_at), who=note.done_by)
            return "" if note.done_by == by else said
    for task in board.tasks:
        if task_key(task) == key and task.done:
            said = _("{task} was done {time} by {who}.")
            said = said.format(task=task_name(task, voice), time=voice.time(task.done.at), who=task.done.by)
            return "" if (task.done.by, task.done.station) == (by, station) else said
    return "" if key.startswith(("note ", "task ")) else None
