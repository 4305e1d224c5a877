"""What of a board concerns some stations only."""

from __future__ import annotations

from collections.abc import Collection

from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.plan.board import Board
from prepboard.plan.service.handover import notes_for
from prepboard.plan.shown.closing_lines import Closing
from prepboard.plan.shown.lines import Left, Pull


def only(board: Board, stations: Collection[str]) -> Board:
    """The board with the lines of these stations; a dish is of every station that has a prep on its plate."""
    book = board.state.book
    return replace(
        board,
        make=tuple(line for line in board.make if line.station in stations),
        under_way=tuple(run for run in board.under_way if run.station in stations),
        expiring=tuple(line for line in board.expiring if line.batch.station in stations),
        given_left=tuple(dish for dish in board.left if _plates(book, dish, stations)),
        pars=tuple(line for line in board.pars if _bench(book, line.prep) in stations),
        pull=tuple(line for line in board.pull if _pulls(book, line, stations)),
        work=tuple(line for line in board.work if line.station in stations),
        bring=tuple(line for line in board.bring if line.station in stations),
        tasks=tuple(line for line in board.tasks if line.station in stations),
        notes=notes_for(board.state, board.notes, stations),
    )


def only_closing(closing: Closing, book: Book, stations: Collection[str]) -> Closing:
    return Closing(
        discard=tuple(line for line in closing.discard if line.batch.station in stations),
        decide=tuple(line for line in closing.decide if line.batch.station in stations),
        carry_over=tuple(line for line in closing.carry_over if line.batch.station in stations),
        start_tonight=tuple(line for line in closing.start_tonight if line.station in stations),
        pull=tuple(line for line in closing.pull if _pulls(book, line, stations)),
    )


def _bench(book: Book, prep: str) -> str:
    found = book.preps.get(prep)
    return found.station if found else ""


def _plates(book: Book, dish: Left, stations: Collection[str]) -> bool:
    return any(_bench(book, part.prep) in stations for part in dish.preps)


def _pulls(book: Book, line: Pull, stations: Collection[str]) -> bool:
    return any(_bench(book, prep) in stations for prep in line.serves)
