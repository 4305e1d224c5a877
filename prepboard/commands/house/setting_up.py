"""A kitchen is set up: a starter book, a book read into the file, a demo kitchen."""

from __future__ import annotations

import json
import shutil
import tempfile
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import answer_options, shared_options
from prepboard.commands.given.progress import progress
from prepboard.commands.given.session import Session, for_a_script, tell, tell_did
from prepboard.commands.house.boards import board_text, on_a_terminal, open_stations
from prepboard.texts import ENGLISH, _, spoken

if TYPE_CHECKING:
    from prepboard.book.book import Book
    from prepboard.book.reading.faults import Fault
    from prepboard.plan.board import Board
    from prepboard.store.food.shortening import Shorter
    from prepboard.store.transaction.renaming import Left


@click.command()
@click.option("--keep", metavar="PATH", help="Keep the demo kitchen's file there.")
@click.option("--at", metavar="HH:MM", help="Later in its day: 17:20, 19:45 and 23:00 are worth a look.")
@click.option("--group", "of_group", is_flag=True, help="Three kitchens and their PostgreSQL, a van on the road.")
@shared_options()
@click.pass_obj
def demo(session: Session, keep: str | None, at: str | None, of_group: bool) -> None:
    """Makes a demo kitchen in mid-afternoon and opens its board.

    With --at it is later that day, and what happened since is done; with --language its book is in that one. Without a
    terminal it prints the boards as text.
    """
    if of_group:
        from prepboard.commands.house.demo_of_group import demo_group

        if keep or at:
            raise click.UsageError(_("--group goes without --keep and --at"))
        demo_group(session)
        return
    from prepboard.commands.given.reading import wall_clock
    from prepboard.demo import NOW, build, later
    from prepboard.store.file.who import Refused

    try:
        moment = later(wall_clock(at)) if at else NOW
    except ValueError as wrong:
        raise Refused(str(wrong)) from None
    if keep and Path(keep).exists():
        said = _("{path} is there already; open it with: prepboard --file {path}")
        raise Refused(said.format(path=keep))
    with tempfile.TemporaryDirectory(prefix="prepboard-") as folder:
        path = Path(keep) if keep else Path(folder) / "kitchen.db"
        try:
            build(path, at=moment, language=session.language or ENGLISH)
        except BaseException:
            remove(path)
            raise
        session.path = str(path)
        with session.kitchen() as kitchen:
            first = busiest(kitchen.board)
            if not on_a_terminal():
                tell("\n\n".join(board_text(kitchen, (station,)) for station in kitchen.book.stations))
        if on_a_terminal():
            open_stations(session, (first,))
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

    It loads as it is, and its comments say what to change, in the language that is asked for.
    """
    from prepboard.resources import starter_folder
    from prepboard.store.file.who import Refused

    if folder.exists() and not folder.is_dir():
        raise Refused(_("{folder} is a file").format(folder=folder))
    if folder.is_dir() and any(folder.iterdir()):
        raise Refused(_("{folder} is not empty").format(folder=folder))
    shutil.copytree(starter_folder(spoken()), folder, dirs_exist_ok=True)
    tell(_("A starter book is in {folder}; read it in with: prepboard load {folder}").format(folder=folder))


@click.command()
@click.argument("book", type=click.Path(path_type=Path))
@click.option("--check", is_flag=True, help="Change nothing: only say whether the book is right, and what would go.")
@click.option("--watch", is_flag=True, help="Goes on: loads the folder again whenever a file of it is saved.")
@answer_options
@shared_options()
@click.pass_obj
def load(session: Session, book: Path, check: bool, watch: bool) -> None:
    """Reads a recipe book, a folder, into the kitchen's file.

    A bad book changes nothing, and every fault is named with its file and line. What a book may say and hardly means
    is named too, what the book before had that this one lacks, with what hangs on it, and the batches that have a
    shorter life by this one. With --watch the faults of a folder that is being written stand on the sous chef's board
    until it is right again.
    """
    if not watch:
        _load(session, book, check)
        return
    if check:
        raise click.UsageError(_("--watch loads; --check only looks"))
    from prepboard.commands.house.watching import keep_loading

    keep_loading(session, book, lambda: _load(session, book, False))


def _load(session: Session, book: Path, check: bool) -> None:
    from prepboard.book.reading.reader import read_with_warnings
    from prepboard.store.actions.loading import counted, load_texts, what_is_shortened, what_would_go
    from prepboard.store.file.who import Did

    # A book with faults must not leave an empty file behind, and one that was loaded is read before the file is made.
    with progress(_("reading the book")):
        read, texts, warnings = read_with_warnings(book)
    there = Path(session.path).exists()
    with ExitStack() as held:
        file = held.enter_context(session.file(create=True)) if there or not check else None
        gone = what_would_go(file, read) if file else []
        shorter = what_is_shortened(file, read) if file else []
        sooner = [one.said(read, file.clock.now()) for one in shorter] if file else []
        said = _("{kitchen}: the book is right; {counts}").format(kitchen=read.kitchen.name, counts=counted(read))
        did = Did(said, "")
        if file and not check:
            with progress(_("placing its runs")):
                did = load_texts(file, session.who(), read, texts)
        if for_a_script():
            found = [_fault(one) for one in warnings], [_gone(one) for one in gone]
            tell_did(did, warnings=found[0], gone=found[1], shorter=[_shorter(one, read) for one in shorter])
            return
        tell_did(did)
    for warning in warnings:
        tell(_("look again: {warning}").format(warning=warning))
    for text in sooner:
        tell(text)
    for left in gone:
        tell(str(left))
    if gone:
        tell(_('where one is only renamed, say so in the book: was = "{id}"').format(id=gone[0].id))


def _fault(one: Fault) -> dict[str, object]:
    return {"file": one.file, "line": one.line or None, "key": one.key, "said": one.said}


def _shorter(one: Shorter, book: Book) -> dict[str, object]:
    days = book.kitchen.days
    return {
        "batch": one.batch,
        "prep": one.prep,
        "until": days.local(one.until).isoformat(),
        "was": days.local(one.was).isoformat(),
    }


def _gone(one: Left) -> dict[str, object]:
    return {"kind": one.kind, "id": one.id, "name": one.name, "hangs": list(one.hangs)}


@click.command()
def schema() -> None:
    """Prints the JSON Schema of a recipe book, for editors."""
    from prepboard.book.reading.schema import schema as of_the_book

    tell(json.dumps(of_the_book(), ensure_ascii=False, indent=2))


def open_only_station(session: Session) -> None:
    """What the bare program does: the board of the only station, else the list of stations."""
    with session.kitchen() as kitchen:
        stations = tuple(kitchen.book.stations)
        wanted = (kitchen.who.station,) if kitchen.who.station else stations
        if len(wanted) != 1:
            tell(_("Stations; open one with: prepboard station NAME"))
            for one in kitchen.book.stations.values():
                tell(f"  {one.id}  {one.name}")
        elif not on_a_terminal():
            tell(board_text(kitchen, wanted))
    if len(wanted) == 1 and on_a_terminal():
        open_stations(session, wanted)


def busiest(board: Board) -> str:
    """The station with the most to make and under way; the first in the book among equals."""
    lines = [line.station for line in board.make] + [run.station for run in board.under_way]
    return max(board.state.book.stations, key=lines.count)
