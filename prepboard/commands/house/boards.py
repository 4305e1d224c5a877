"""Boards are opened, each behind a frame that is painted at once; without a terminal they are printed as text."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import shared_options
from prepboard.commands.given.session import Session, knows_all_signs, tell

if TYPE_CHECKING:
    from prepboard.boards.app.registry import Name
    from prepboard.boards.frame.board_screen import BoardScreen
    from prepboard.book.book import Book


@click.command()
@click.argument("names", nargs=-1, required=True, metavar="NAME...")
@shared_options()
@click.pass_obj
def station(session: Session, names: tuple[str, ...]) -> None:
    """Opens the board of a station, or of several benches in one.

    Without a terminal it prints the board as text.
    """
    if on_a_terminal():
        open_stations(session, names)
        return
    with session.kitchen() as kitchen:
        shown = benches(kitchen.book, names)
        session.speak(kitchen.book, shown)
        tell(board_text(kitchen, shown))


@click.command()
@shared_options()
@click.pass_obj
def pars(session: Session) -> None:
    """Opens the sous chef's board: covers, mix and pars, seen before they are saved.

    Without a terminal it prints the pars as text.
    """
    if on_a_terminal():
        open_pars(session)
        return
    from prepboard.boards.pars.as_text import texts
    from prepboard.commands.given.printing import width

    with session.kitchen() as kitchen:
        tell(_with_basis(kitchen, texts(kitchen.board, width(), kitchen.who.by)))


@click.command()
@shared_options()
@click.pass_obj
def wall(session: Session) -> None:
    """Opens the wall: all stations, to be read from across the room.

    Without a terminal it prints the wall as text.
    """
    if on_a_terminal():
        open_wall(session)
        return
    from prepboard.boards.station.as_text import wall_texts
    from prepboard.commands.given.printing import width

    with session.kitchen() as kitchen:
        tell(_with_basis(kitchen, wall_texts(kitchen.board, width())))


# --- on a terminal ---------------------------------------------------------------------------------------


def on_a_terminal() -> bool:
    """Whether a board can be opened here: one that only types, or knows no more than a page of letters, gets text."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    return os.environ.get("TERM") != "dumb" and knows_all_signs(sys.stdout.encoding)


def open_stations(session: Session, names: Sequence[str]) -> None:
    """The board of one bench or of several, until it is closed."""
    _open(session, "station", names, lambda book: benches(book, names))


def open_pars(session: Session) -> None:
    _open(session, "pars", (), lambda book: _where(session, book))


def open_wall(session: Session) -> None:
    _open(session, "wall", (), lambda book: ())


def open_closing(session: Session, names: Sequence[str]) -> None:
    """The close of these stations, else of the one that the command line names, else of the whole kitchen."""
    _open(session, "closing", (), lambda book: benches(book, names) or _where(session, book))


def _where(session: Session, book: Book) -> tuple[str, ...]:
    """The station that the command line names."""
    station = session.who(book).station
    return (station,) if station else ()


def _open(session: Session, name: Name, titled: Sequence[str], stations: Callable[[Book], tuple[str, ...]]) -> None:
    """Paints the frame first, and opens the file and the board behind it."""
    from prepboard.boards.app.app import run_board
    from prepboard.boards.app.registry import KINDS

    kind = KINDS[name]
    frame = kind.frame(titled)
    with ExitStack() as held:

        def board() -> BoardScreen:
            file, book = held.enter_context(session.at_a_board())
            shown = stations(book)
            session.speak(book, shown)
            opened = kind.open(file, shown, session.who(book).by)
            opened.asked_language = session.language
            return opened

        run_board(frame, board, remembered_as=f"{Path(session.path).resolve()} {frame.title}".casefold())


# --- in words --------------------------------------------------------------------------------------------


def benches(book: Book, names: Sequence[str]) -> tuple[str, ...]:
    """The ids of the stations that these names mean, each once."""
    from prepboard.commands.given.reading import find

    return tuple(dict.fromkeys(find(name, book.stations, "station") for name in names))


def board_text(kitchen: Kitchen, stations: tuple[str, ...]) -> str:
    """The board of these stations as text, with the basis on which it calls food good."""
    from prepboard.boards.station.as_text import texts
    from prepboard.commands.given.printing import width

    return _with_basis(kitchen, texts(kitchen.board, stations, width(), kitchen.who.by))


def _with_basis(kitchen: Kitchen, text: str) -> str:
    from prepboard.commands.given.printing import width
    from prepboard.paper.sentences.heading import basis
    from prepboard.paper.text.saying import Voice

    return "\n".join([text.rstrip("\n"), *basis(Voice.of(kitchen.board), width())])
