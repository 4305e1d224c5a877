"""The close on paper: what goes and why, what someone has to decide, what stays, what starts tonight."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.paper.lists.stations import batch_name, make_rows, pull_rows
from prepboard.paper.sentences.heading import Section
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.leftovers.pulling import by_item
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.texts import _


def closing(lists: Closing, board: Board, width: int) -> Section:
    voice = Voice.of(board)
    return [
        *section(_("DISCARD"), _partings(lists.discard, voice, width), _("Nothing to discard."), width),
        *section(_("DECIDE"), _partings(lists.decide, voice, width), _("Nothing to decide."), width),
        *section(_("CARRY OVER"), _carried(lists.carry_over, voice, width), _("Nothing carries over."), width),
        *section(_("START TONIGHT"), make_rows(lists.start_tonight, board, width), _("Nothing starts tonight."), width),
        *section(_("PULL"), pull_rows(by_item(lists.pull), board, width), _("Nothing to pull."), width),
    ]


def _batches(lines: Iterable[tuple[Batch, Iterable[str]]], voice: Voice, width: int) -> Section:
    """Each with its name, what is left of it, its code, and what is said of it."""
    rows = [
        Row((batch_name(batch.prep, batch.name, voice), voice.left(batch), batch.code, listed(said)))
        for batch, said in lines
    ]
    return table(rows, "<><<", width)


def _partings(lines: Iterable[Parting], voice: Voice, width: int) -> Section:
    said = ((line.batch, (voice.relabel(line.batch), note_text(line.note, voice))) for line in lines)
    return _batches(said, voice, width)


def _carried(lines: Iterable[CarryOver], voice: Voice, width: int) -> Section:
    said = ((line.batch, (_good(line, voice), _("use first") if line.use_first else "")) for line in lines)
    return _batches(said, voice, width)


def _good(line: CarryOver, voice: Voice) -> str:
    return _("frozen") if line.batch.frozen_at else voice.relabel(line.batch) or voice.good(line.batch.use_by)
