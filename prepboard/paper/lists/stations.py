"""The lists of the station's paper: what to make, under way, going off, left, to pull, and what was done.

The time stands on the left, words on the right. Every function gives lines of at most `width` cells.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from prepboard.book.saying import say_duration
from prepboard.paper.lists.handover import task_asks, task_name
from prepboard.paper.sentences.heading import Section
from prepboard.paper.sentences.left import left_words, none_counted, others_words
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.sentences.reasons import is_cut, why_text
from prepboard.paper.sentences.temperatures import about, named
from prepboard.paper.sentences.waiting import due_words, waits_for_words
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.sittings import sittings_served
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import Expiring, MakeLine, Move, Note, Pull, Serves, UnderWay
from prepboard.texts import _


def make(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [(line.begins, make_row(line, voice)) for line in board.make]
    missed = [line for line in board.tasks if line.is_missed(board.now)]
    rows += [(line.at, _task_row(line, voice)) for line in board.tasks if line.done is None and line not in missed]
    in_time = [row for _at, row in sorted(rows, key=lambda row: row[0])]
    lines = [*table(in_time, "<<><<", width)]
    if missed:
        lines += paragraph(_("readings missed today: {n}").format(n=len(missed)), width)
    return section(_("TO MAKE"), lines, _("Nothing to make."), width)


def make_rows(lines: Iterable[MakeLine], board: Board, width: int) -> Section:
    voice = Voice.of(board)
    return table([make_row(line, voice) for line in lines], "<<><<", width)


def make_row(line: MakeLine, voice: Voice) -> Row:
    cells = (
        voice.time(line.begins),
        voice.name(line.prep),
        voice.amount(line.prep, line.amount),
        voice.begins(line),
        purposes(line.serves, voice),
    )
    waits = waits_for_words(line.waits_for, voice) if line.waits_for else ""
    notes = (note_text(note, voice) for note in _said_once(line.notes))
    return Row(cells, (*filter(None, (due_words(line, voice), waits)), *notes))


def _said_once(notes: Sequence[Note]) -> list[Note]:
    """What comes too late for all that it is for need not say by how much as well: the moment is the same."""
    too_late = any(note.kind == "too late" for note in notes)
    return [note for note in notes if not (too_late and note.kind == "late by")]


def _task_row(line: TaskLine, voice: Voice) -> Row:
    cells = (voice.time(line.at), task_name(line, voice), "", voice.urgency(line.at), voice.station(line.station))
    return Row(cells, tuple(word for word in (task_asks(line),) if word))


def purposes(serves: Iterable[Serves], voice: Voice) -> str:
    """What a run is for, each once: "Dinner, Sun Lunch", "Lamb jus"."""
    named = (
        voice.name(one.run_of)
        if one.run_of
        else voice.service(one.service, one.day)
        if one.service
        else voice.service(_("stock"), one.day)
        for one in serves
    )
    return listed(dict.fromkeys(named))


def underway(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row(
            (
                voice.time(run.due_at(voice.now)),
                voice.name(run.prep),
                voice.amount(run.prep, run.amount),
                plain(run.by),
                run.run,
                next_words(run, voice),
            ),
            tuple(about(run.run, board.watch, board.state, voice)),
        )
        for run in board.under_way
    ]
    return section(_("UNDER WAY"), table(rows, "<<><<<", width), _("Nothing is under way."), width)


def next_words(run: UnderWay, voice: Voice) -> str:
    """What comes next, with how long it has been overdue; of the last step when it is done."""
    if run.overdue_minutes:
        said = _("overdue {time}: {step}")
        return said.format(time=say_duration(run.overdue_minutes), step=plain(run.next) or _("mark it done"))
    return plain(run.next) or _("done, at {time}").format(time=voice.time(run.ready_at))


def expiring(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row(
            (
                voice.good_to(line.batch.use_by),
                batch_name(line.batch.prep, line.batch.name, voice),
                voice.left(line.batch),
                line.batch.code,
                _standing(line, voice),
            ),
            tuple(filter(None, (reason(line.batch, voice),))),
        )
        for line in board.expiring
    ]
    nothing = _("Nothing goes off within three business days.")
    return [*section(_("GOES OFF SOON"), table(rows, "<<><<", width), nothing, width), *_temperatures(board, width)]


def _temperatures(board: Board, width: int) -> Section:
    """What cools, what is held back for a limit and what is out of range; nothing where there is none."""
    voice = Voice.of(board)
    watch = board.watch
    minded = dict.fromkeys([*watch.held, *(line.of for line in watch.cooling), *(flag.of for flag in watch.flags)])
    lines = []
    for code in minded:
        lines += paragraph(named(code, board.state, voice), width)
        for text in about(code, watch, board.state, voice, whole=True):
            lines += paragraph(text, width, 4)
    return section(_("TEMPERATURES"), lines, "", width) if lines else []


def _standing(line: Expiring, voice: Voice) -> str:
    if line.batch.use_by is not None and line.batch.use_by <= voice.now:
        return _("discard")
    if line.batch.blocked:
        return _("blocked")
    return listed((voice.plates_to(line.batch), _("use first") if line.use_first else ""))


def reason(batch: Batch, voice: Voice) -> str:
    """What cut a batch's life; nothing where it ends by itself."""
    return why_text(batch.why, voice.book.kitchen.rules) if is_cut(batch.why) else ""


def batch_name(prep: str, own: str, voice: Voice) -> str:
    """The prep's name, or what the cook called a batch that no recipe knows."""
    return plain(own) if own else voice.name(prep)


def left(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    title = _("LEFT")
    if served := sittings_served(board):
        named = _(" and ").join(voice.service(one.service, one.day) for one in served)
        title = _("LEFT FOR {service}").format(service=named).upper()
    none = none_counted(board.left)
    if none:
        title = listed((title, _("expected, not counted")))
    rows = [
        Row(
            (
                "–" if dish.not_yet else str(dish.plates_left),
                voice.name(dish.dish),
                left_words(dish, voice),
                listed((*others_words(dish, voice), "" if none or dish.basis == "counted" else _("not counted"))),
            )
        )
        for dish in board.left
    ]
    return section(title, table(rows, "><<<", width), _("No dish is served in the time ahead."), width)


def pull(board: Board, width: int) -> Section:
    return section(_("PULL"), pull_rows(board.pull, board, width), _("Nothing to pull."), width)


def pull_rows(lines: Iterable[Pull], board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row(
            (
                voice.time(line.take_out_at),
                voice.name(line.item),
                voice.amount(line.item, line.as_bought),
                _("from the freezer") if line.frozen else "",
                _("late") if line.late else "",
                _("for {preps}").format(preps=listed(voice.name(prep) for prep in line.serves)),
            )
        )
        for line in lines
    ]
    return table(rows, "<<><<<", width)


def _move(move: Move, voice: Voice) -> str:
    """What to move off a station that has too much to do, and where to."""
    what = {"prep": voice.name(move.prep), "time": say_duration(move.minutes)}
    if move.to:
        return _("{prep} ({time}) to {station}").format(**what, station=voice.station(move.to))
    return _("{prep} ({time}) after service").format(**what)


def work(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row(
            (
                voice.time(line.before),
                voice.station(line.station),
                _("{work} of work").format(work=say_duration(line.work_minutes)),
                _("{hands} of hands").format(hands=say_duration(line.hands_minutes)),
                _("needs {time} of help").format(time=say_duration(line.over_minutes)) if line.over_minutes else "",
                listed(_move(move, voice) for move in line.moves),
            )
        )
        for line in board.work
    ]
    return section(_("WORK LEFT"), table(rows, "<<>><<", width), _("No work is left."), width)
