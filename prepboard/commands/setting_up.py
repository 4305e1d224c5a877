"""A kitchen is set up: a starter book, a book read into the file, a demo kitchen; and boards are opened."""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepboard.commands.options import shared_options
from prepboard.commands.session import Kitchen, Session, tell, tell_did
from prepboard.texts import _, some

if TYPE_CHECKING:
    from textual.screen import Screen

    from prepboard.plan.board import Board


@click.command()
@click.option("--keep", metavar="PATH", help="Keep the demo kitchen's file there.")
@shared_options()
@click.pass_obj
def demo(session: Session, keep: str | None) -> None:
    """Makes a demo kitchen in mid-afternoon and opens its board.

    Without a terminal it prints the boards as text.
    """
    from prepboard.demo import build
    from prepboard.store.who import Refused

    if keep and Path(keep).exists():
        said = _("{path} is there already; open it with: prepboard --file {path}")
        raise Refused(said.format(path=keep))
    with tempfile.TemporaryDirectory(prefix="prepboard-") as folder:
        path = Path(keep) if keep else Path(folder) / "kitchen.db"
        try:
            build(path)
        except BaseException:
            remove(path)
            raise
        session.path = str(path)
        with session.kitchen() as kitchen:
            if on_a_terminal():
                open_board(kitchen, (busiest(kitchen.board),))
            else:
                tell("\n\n".join(board_text(kitchen, (station,)) for station in kitchen.book.stations))
    if keep:
        tell(_("The demo kitchen is in {path}.").format(path=keep))


def remove(path: Path) -> None:
    """Takes away a kitchen's file that was only half made, with what SQLite keeps beside it."""
    for beside in ("", "-wal", "-shm"):
        path.with_name(path.name + beside).unlink(missing_ok=True)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Writes a small starter book.

    It loads as it is, and its comments say what to change.
    """
    from prepboard.resources import config_folder
    from prepboard.store.who import Refused

    if folder.exists() and not folder.is_dir():
        raise Refused(_("{folder} is a file").format(folder=folder))
    if folder.is_dir() and any(folder.iterdir()):
        raise Refused(_("{folder} is not empty").format(folder=folder))
    shutil.copytree(config_folder() / "starter", folder, dirs_exist_ok=True)
    tell(_("A starter book is in {folder}; read it in with: prepboard load {folder}").format(folder=folder))


@click.command()
@click.argument("book", type=click.Path(path_type=Path))
@click.option("--check", is_flag=True, help="Only say whether the book is right.")
@shared_options()
@click.pass_obj
def load(session: Session, book: Path, check: bool) -> None:
    """Reads a recipe book, a folder, into the kitchen's file.

    A bad book changes nothing, and every fault is named with its file and line.
    """
    from prepboard.book.reader import read_book
    from prepboard.store.actions.loading import load_book

    if check or not Path(session.path).exists():
        # A book with faults must not leave an empty file behind.
        read, _texts = read_book(book)
        if check:
            counts = (
                some("{n} prep", "{n} preps", len(read.preps)),
                some("{n} dish", "{n} dishes", len(read.dishes)),
                some("{n} service", "{n} services", len(read.services)),
            )
            said = _("{kitchen}: the book is right; {counts}")
            tell(said.format(kitchen=read.kitchen.name, counts=", ".join(counts)))
            return
    with session.file(create=True) as file:
        tell_did(load_book(file, session.who(), book))


@click.command()
def schema() -> None:
    """Prints the JSON Schema of a recipe book, for editors."""
    from prepboard.book.schema import schema as of_the_book

    tell(json.dumps(of_the_book(), ensure_ascii=False, indent=2))


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
        tell(board_text(kitchen, benches(kitchen, names)))


def benches(kitchen: Kitchen, names: Sequence[str]) -> tuple[str, ...]:
    """The ids of the stations that these names mean, each once."""
    from prepboard.commands.reading import find

    return tuple(dict.fromkeys(find(name, kitchen.book.stations, "station") for name in names))


def open_stations(session: Session, names: Sequence[str]) -> None:
    """Paints the frame of the stations' board first, and opens the file behind it."""
    from prepboard.boards.app import run_board

    with ExitStack() as held:

        def board() -> Screen[None]:
            from prepboard.boards.station import StationScreen

            kitchen = held.enter_context(session.kitchen())
            return StationScreen(kitchen.file, benches(kitchen, names), kitchen.who.by)

        where = f"{Path(session.path).resolve()} {' '.join(names)}".casefold()
        run_board(" + ".join(name.upper() for name in names), "station", board, remembered_as=where)


@click.command()
@shared_options()
@click.pass_obj
def pars(session: Session) -> None:
    """Opens the sous chef's board: covers, mix and pars, seen before they are saved.

    Without a terminal it prints the pars as text.
    """
    with session.kitchen() as kitchen:
        if on_a_terminal():
            from prepboard.boards.app import run_pars

            run_pars(kitchen.file, kitchen.who.station, kitchen.who.by)
            return
        from prepboard.boards.pars_text import texts
        from prepboard.commands.printing import width

        tell(_with_basis(kitchen, texts(kitchen.board, width(), kitchen.who.by)))


@click.command()
@shared_options()
@click.pass_obj
def wall(session: Session) -> None:
    """Opens the wall: all stations, to be read from across the room.

    Without a terminal it prints the wall as text.
    """
    with session.kitchen() as kitchen:
        if on_a_terminal():
            from prepboard.boards.app import run_wall

            run_wall(kitchen.file)
        else:
            from prepboard.boards.as_text import wall_texts
            from prepboard.commands.printing import width

            tell(_with_basis(kitchen, wall_texts(kitchen.board, width())))


def open_only_station(session: Session) -> None:
    """What the bare program does: the board of the only station, else the list of stations."""
    with session.kitchen() as kitchen:
        stations = tuple(kitchen.book.stations)
        wanted = (kitchen.who.station,) if kitchen.who.station else stations
        if len(wanted) == 1:
            open_or_print(kitchen, wanted)
            return
        tell(_("Stations; open one with: prepboard station NAME"))
        for one in kitchen.book.stations.values():
            tell(f"  {one.id}  {one.name}")


def open_or_print(kitchen: Kitchen, stations: tuple[str, ...]) -> None:
    if on_a_terminal():
        open_board(kitchen, stations)
    else:
        tell(board_text(kitchen, stations))


def open_board(kitchen: Kitchen, stations: tuple[str, ...]) -> None:
    from prepboard.boards.app import run_station

    run_station(kitchen.file, stations, kitchen.who.by)


def board_text(kitchen: Kitchen, stations: tuple[str, ...]) -> str:
    """The board of these stations as text, with the basis on which it calls food good."""
    from prepboard.boards.as_text import texts
    from prepboard.commands.printing import width

    return _with_basis(kitchen, texts(kitchen.board, stations, width(), kitchen.who.by))


def _with_basis(kitchen: Kitchen, text: str) -> str:
    from prepboard.commands.printing import width
    from prepboard.paper.heading import basis
    from prepboard.paper.saying import Voice

    return "\n".join([text.rstrip("\n"), *basis(Voice.of(kitchen.board), width())])


def on_a_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def busiest(board: Board) -> str:
    """The station with the most to make and under way; the first in the book among equals."""
    lines = [line.station for line in board.make] + [run.station for run in board.under_way]
    return max(board.state.book.stations, key=lines.count)
