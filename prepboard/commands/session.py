"""What every command is given: the shared file, who acts where, and the board worked out once."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct

from prepboard.commands.kitchen import Kitchen
from prepboard.paper.text.plain import plain

if TYPE_CHECKING:
    from prepboard.book.book import Book
    from prepboard.clock import Clock
    from prepboard.plan.given.state import Placement, State
    from prepboard.store.file.who import Did, Who
    from prepboard.store.kitchen_file import KitchenFile

DEFAULT_FILE = "kitchen.db"


class Session(Struct):
    """The options that every command has."""

    path: str = DEFAULT_FILE
    by: str = ""
    station: str = ""

    def clock(self) -> Clock | None:
        """The clock that PREPBOARD_NOW sets, else none: the file's own."""
        from prepboard.clock import read_clock

        text = os.environ.get("PREPBOARD_NOW", "")
        try:
            return read_clock(text) if text else None
        except (ValueError, OverflowError) as fault:
            said = str(fault) if isinstance(fault, ValueError) else f"PREPBOARD_NOW is '{text}', which no clock shows"
            raise click.UsageError(said) from None

    @contextmanager
    def file(self, *, create: bool = False) -> Iterator[KitchenFile]:
        """The shared file, open. StoreFault says why it cannot be."""
        from prepboard.store.kitchen_file import KitchenFile

        opened = KitchenFile.open(Path(self.path), self.clock(), create=create)
        opened.places = _where_runs_lie
        try:
            yield opened
        finally:
            opened.close()

    @contextmanager
    def kitchen(self) -> Iterator[Kitchen]:
        """The file with a snapshot, speaking the kitchen's language."""
        from prepboard.texts import speak

        with self.file() as opened:
            state = opened.read()
            speak(state.book.kitchen.language)
            yield Kitchen(opened, state, opened.clock.now(), self.who(state.book))

    @contextmanager
    def at_a_board(self) -> Iterator[tuple[KitchenFile, Book]]:
        """The file with its book, speaking the kitchen's language; the rest a board reads for itself."""
        from prepboard.texts import speak

        with self.file() as opened:
            book = opened.newest_book()
            speak(book.kitchen.language)
            yield opened, book

    def who(self, book: Book | None = None) -> Who:
        """Initials and station as they are kept; a station that the book knows by its id."""
        from prepboard.commands.reading import find
        from prepboard.store.file.who import Who

        station = find(self.station, book.stations, "station") if book and self.station else self.station
        return Who(plain(self.by).strip(), station)


def _where_runs_lie(state: State, now: datetime) -> tuple[str, Mapping[str, Placement]]:
    """Where the plan puts all runs, for actions to keep; the plan is loaded with the first of them."""
    from prepboard.plan.board import where_runs_lie

    return where_runs_lie(state, now)


def tell(text: str) -> None:
    """Prints text of any number of lines, without escape codes and control characters."""
    for line in text.split("\n"):
        click.echo(plain(line))


def tell_did(did: Did) -> None:
    tell(did.text)
