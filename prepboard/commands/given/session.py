"""What every command is given: the shared file, who acts where, and the board worked out once."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct, field

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.progress import progress
from prepboard.paper.text.plain import plain
from prepboard.texts import _, speak

if TYPE_CHECKING:
    from prepboard.book.book import Book
    from prepboard.clock import Clock
    from prepboard.plan.planner import Planner
    from prepboard.store.file.who import Did, Who
    from prepboard.store.kitchen_file import KitchenFile

DEFAULT_FILE = "kitchen.db"


class Session(Struct):
    """The options that every command has."""

    path: str = DEFAULT_FILE
    by: str = ""
    station: str = ""
    as_json: bool = False
    """What was done is answered as JSON, one line."""
    language: str = ""
    """The language that was asked for; else the reader's by the book."""
    action: str = ""
    """The id that a script gave what is to be done, so that a retry does nothing more."""
    pin: bool = False
    """The PIN is read from standard input, or asked for without being shown."""
    proofs: dict[str, str] = field(default_factory=dict)
    """What typing their PIN gave, by initials: it is asked for once a program."""
    held: KitchenFile | None = None
    """The file that stays open from one command to the next."""

    def clock(self) -> Clock | None:
        """The clock that PREPBOARD_NOW sets, else none: the file's own."""
        from prepboard.clock import read_clock

        text = os.environ.get("PREPBOARD_NOW", "")
        try:
            return read_clock(text) if text else None
        except (ValueError, OverflowError) as fault:
            none = _("PREPBOARD_NOW is '{text}', which no clock shows").format(text=text)
            raise click.UsageError(str(fault) if isinstance(fault, ValueError) else none) from None

    @contextmanager
    def file(self, *, create: bool = False) -> Iterator[KitchenFile]:
        """The shared file, open. StoreFault says why it cannot be."""
        from prepboard.store.kitchen_file import KitchenFile, check_clock

        if self.held is not None:
            self._begin(self.held)
            yield self.held
            return
        opened = KitchenFile.open(Path(self.path), self.clock(), create=create)
        opened.makes_planner = _planner
        opened.prove = partial(self._prove, opened)
        try:
            check_clock(opened.clock.now())
            self._begin(opened)
            yield opened
            if opened.acted:
                _tend(opened)
        finally:
            opened.close()

    def _begin(self, file: KitchenFile) -> None:
        """Gives what is to be done its id; Known, with the answer, where that was done already."""
        if not self.action:
            return
        known = file.answered(self.action)
        if known:
            raise Known(known)
        file.next_action = self.action

    def _prove(self, file: KitchenFile, who: Who) -> Who:
        """Whoever acts, with their PIN typed where they have one."""
        from msgspec.structs import replace

        from prepboard.store.actions.pins import has_pin, prove

        if who.proof or not who.by or not has_pin(file, who.by):
            return who
        if who.by not in self.proofs:
            self.proofs[who.by] = prove(file, who, self.read_pin(who.by)).proof
        return replace(who, proof=self.proofs[who.by])

    def read_pin(self, by: str) -> str:
        """The PIN from the environment, from a terminal without being shown, or a line of standard input: never from
        the command line, which is kept. NeedsPin where there is none of these."""
        from prepboard.store.file.pins import NeedsPin

        given = os.environ.get("PREPBOARD_PIN", "")
        if given:
            return given
        if sys.stdin.isatty():
            return str(click.prompt(_("PIN of {who}").format(who=by), hide_input=True, err=True)).strip()
        if self.pin:
            return sys.stdin.readline().strip()
        said = _("{who} has a PIN: --pin reads it from standard input, or set PREPBOARD_PIN")
        raise NeedsPin(said.format(who=by))

    @contextmanager
    def kitchen(self) -> Iterator[Kitchen]:
        """The file with a snapshot, speaking the reader's language; what takes long says that it is still at it."""

        with progress(), self.file() as opened:
            state = opened.read()
            self.speak(state.book)
            yield Kitchen(opened, state, opened.clock.now(), self.who(state.book))

    @contextmanager
    def at_a_board(self) -> Iterator[tuple[KitchenFile, Book]]:
        """The file with its book, speaking the reader's language; the rest a board reads for itself."""

        with self.file() as opened:
            opened.prove = None  # A board asks in a dialog of its own.
            book = opened.newest_book()
            self.speak(book)
            yield opened, book

    def speak(self, book: Book, stations: Sequence[str] = ()) -> None:
        """Speaks the reader's language from now on: whoever the command line names, at those benches or at its own."""
        from prepboard.book.languages import language_of

        benches = tuple(stations) or ((self.station,) if self.station else ())
        speak(language_of(book, self.language, self.by, benches))

    def who(self, book: Book | None = None) -> Who:
        """Initials and station as they are kept; a station that the book knows by its id."""
        from prepboard.commands.given.reading import find
        from prepboard.store.file.who import Who

        station = find(self.station, book.stations, "station") if book and self.station else self.station
        return Who(plain(self.by).strip(), station)


def _tend(file: KitchenFile) -> None:
    """Copies and the day's check, once the answer is out."""
    if file.clock.set_by_hand:
        return
    from prepboard.store.health.upkeep import tend

    sys.stdout.flush()
    with progress():
        tend(file)


def _planner() -> Planner:
    """Who plans for this station; the plan is loaded with the first action that needs it."""
    from prepboard.plan.planner import Planner

    return Planner()


def tell(text: str) -> None:
    """Prints text of any number of lines, without escape codes and control characters."""
    for line in text.split("\n"):
        # Not through click, which writes UTF-8 to a terminal that says that it knows letters of ASCII only.
        print(plain(line))


def knows_all_signs(encoding: str) -> bool:
    """Whether a terminal's encoding has every sign that boards and papers are made of."""
    return encoding.casefold().replace("-", "") in ("utf8", "utf16", "utf32")


class Known(Exception):
    """What was to be done has been done already, under the same id; `did` is its answer."""

    def __init__(self, did: Did) -> None:
        super().__init__(did.text)
        self.did = did


def tell_did(did: Did, **more: object) -> None:
    """What an action answered, as a sentence or, where a script asked, as one line of JSON with codes and `more`."""
    if not for_a_script():
        tell(did.text)
        return

    shown = {
        "did": plain(did.text),
        "batches": list(did.batches),
        "runs": [did.run] if did.run else [],
        "undo": did.action or None,
        **more,
    }
    tell(json.dumps(shown, ensure_ascii=False))


def for_a_script() -> bool:
    """Whether what is done is to be answered as JSON."""
    context = click.get_current_context(silent=True)
    session = context.find_object(Session) if context else None
    return session is not None and session.as_json
