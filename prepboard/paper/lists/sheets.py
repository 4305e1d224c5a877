"""What stands on a printed sheet: a station's prep list, the close, the pull list. Words; `as_html.py` draws them."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from prepboard.paper.lists.stations import batch_name, next_words, purposes
from prepboard.paper.sentences.heading import basis
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.only import only
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed, long_day
from prepboard.paper.text.sittings import sittings_said
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.leftovers.pulling import by_item
from prepboard.plan.shown.closing_lines import Closing, Parting
from prepboard.plan.shown.lines import MakeLine, Pull, UnderWay
from prepboard.texts import _, root, spoken, told


class Line(Struct, frozen=True):
    """One line, with a box to tick; `strong` where its words must not be overlooked."""

    when: str
    what: str
    amount: str
    words: str = ""
    notes: tuple[str, ...] = ()
    strong: bool = False


class Part(Struct, frozen=True):
    heading: str
    lines: tuple[Line, ...]
    empty: str


class Sheet(Struct, frozen=True):
    """One page. `sign` is what is signed at its foot, empty for none."""

    title: str
    when: str
    service: str
    parts: tuple[Part, ...]
    basis: str
    language: str
    sign: str = ""


def prep_list(board: Board, station: str) -> Sheet:
    """What a station makes, has under way and uses first, and its tasks."""
    voice, own = Voice.of(board), only(board, [station])
    undone = (task for task in own.tasks if task.station == station and task.done is None)
    tasks = (task for task in undone if not task.is_missed(board.now))
    parts = (
        Part(_("To make"), tuple(_made(line, voice) for line in own.make), _("Nothing to make.")),
        Part(
            _("Under way"),
            tuple(_going(run, voice) for run in own.under_way),
            _("Nothing is under way."),
        ),
        Part(
            _("Use first"),
            tuple(
                Line("", _batch(line.batch, voice), voice.left(line.batch), voice.good_to(line.batch.use_by))
                for line in own.expiring
                if line.use_first
            ),
            _("Nothing has to be used first."),
        ),
        Part(
            _("Tasks"),
            tuple(Line(voice.time(task.at), plain(voice.book.tasks[task.task].name), "") for task in tasks),
            _("No task is open."),
        ),
    )
    return _sheet(board, voice.station(station), parts)


def _going(run: UnderWay, voice: Voice) -> Line:
    when, much = voice.time(run.due_at(voice.now)), voice.amount(run.prep, run.amount)
    return Line(when, voice.name(run.prep), much, next_words(run, voice))


def pull_list(board: Board, title: str) -> Sheet:
    """What to take out of store and freezer, and when."""
    voice = Voice.of(board)
    part = Part(_("Pull"), tuple(_pulled(line, voice) for line in board.pull), _("Nothing to pull."))
    return _sheet(board, title, (part,))


def closing_list(closing: Closing, board: Board, title: str) -> Sheet:
    """The close as it is worked through with a pencil, and a place for initials."""
    voice = Voice.of(board)
    carried = (
        Line(
            "",
            _batch(line.batch, voice),
            voice.left(line.batch),
            listed((voice.good_to(line.batch.use_by), _("use first") if line.use_first else "")),
            strong=line.use_first,
        )
        for line in closing.carry_over
    )
    tonight = tuple(_made(line, voice) for line in closing.start_tonight)
    parts = (
        Part(_("Discard"), tuple(_parted(closing.discard, voice, strong=True)), _("Nothing to discard.")),
        Part(_("Decide"), tuple(_parted(closing.decide, voice, strong=False)), _("Nothing to decide.")),
        Part(_("Carry over"), tuple(carried), _("Nothing carries over.")),
        Part(_("Start tonight"), tonight, _("Nothing starts tonight.")),
        Part(_("Pull"), tuple(_pulled(line, voice) for line in by_item(closing.pull)), _("Nothing to pull.")),
    )
    return _sheet(board, title, parts, sign=_("Counted and signed, initials and time: ______________________"))


def tonight_list(closing: Closing, board: Board, title: str) -> Sheet:
    """What whoever stays begins tonight, each with its steps and when; and what goes on meanwhile."""
    voice = Voice.of(board)
    preps = {line.prep for line in closing.start_tonight}
    begun = tuple(replace(_made(line, voice), notes=_steps(line, voice)) for line in closing.start_tonight)
    going = tuple(_going(run, voice) for run in board.under_way)
    pulled = tuple(_pulled(line, voice) for line in by_item(closing.pull) if preps & set(line.serves))
    parts = (
        Part(_("Start tonight"), begun, _("Nothing starts tonight.")),
        Part(_("Under way"), going, _("Nothing is under way.")),
        Part(_("Pull"), pulled, _("Nothing to pull.")),
    )
    return _sheet(board, title, parts)


def _steps(line: MakeLine, voice: Voice) -> tuple[str, ...]:
    recipe = voice.book.preps[line.prep]
    steps = (
        f"{voice.time(placed.begins)}  {plain(told(recipe.steps[placed.step].do))}"
        for placed in line.steps
        if placed.step < len(recipe.steps)
    )
    return (*steps, *(note_text(note, voice) for note in line.notes))


def _sheet(board: Board, title: str, parts: tuple[Part, ...], sign: str = "") -> Sheet:
    voice = Voice.of(board)
    kitchen = voice.book.kitchen
    return Sheet(
        title=plain(title),
        when=f"{long_day(voice.days.local(board.now).date())}  {voice.wall(board.now)}",
        service=sittings_said(board, voice),
        parts=parts,
        basis=" ".join((*(line.strip() for line in basis(voice, 200) if line), kitchen.rules.says)),
        language=root(spoken()),
        sign=sign,
    )


def _made(line: MakeLine, voice: Voice) -> Line:
    late = line.late_minutes > 0 or line.misses
    return Line(
        voice.time(line.begins),
        voice.name(line.prep),
        voice.amount(line.prep, line.amount),
        listed((voice.begins(line) if late else "", purposes(line.serves, voice))),
        tuple(note_text(note, voice) for note in line.notes),
        strong=late,
    )


def _pulled(line: Pull, voice: Voice) -> Line:
    return Line(
        voice.time(line.take_out_at),
        voice.name(line.item),
        voice.amount(line.item, line.as_bought),
        listed((_("late") if line.late else "", _("from the freezer") if line.frozen else "")),
        (_("for {preps}").format(preps=listed(voice.name(prep) for prep in line.serves)),),
        strong=line.late,
    )


def _parted(lines: Iterable[Parting], voice: Voice, *, strong: bool) -> Iterable[Line]:
    for line in lines:
        amount = voice.left(line.batch)
        yield Line("", _batch(line.batch, voice), amount, note_text(line.note, voice), strong=strong)


def _batch(batch: Batch, voice: Voice) -> str:
    return f"{batch_name(batch.prep, batch.name, voice)}  {batch.code}"
