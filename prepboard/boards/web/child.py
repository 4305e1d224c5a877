"""One board for one page: started by the server as a process of its own, told in its arguments what it is.

    python -m prepboard.boards.web.child '{"file": …, "board": "station", "stations": ["fish"], "by": "LM", …}'

It ends when its pipe does, and says in one line why it could not start.
"""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from prepboard.boards.app.app import BoardApp
from prepboard.boards.app.first_frame import Opening
from prepboard.boards.app.registry import KINDS, Name
from prepboard.book.languages import language_of
from prepboard.texts import speak

if TYPE_CHECKING:
    from prepboard.boards.frame.board_screen import BoardScreen
    from prepboard.store.kitchen_file import KitchenFile


class Wanted(Struct, frozen=True):
    """Which board, of which file, for whom."""

    file: str
    board: Name
    stations: tuple[str, ...] = ()
    """Ids of the book; none for a close is the whole kitchen."""
    by: str = ""
    look: str = ""
    language: str = ""


def run(wanted: Wanted) -> str:
    """Runs the board until its page is gone; answers why it could not be opened, "" where it could."""
    from prepboard.boards.web.driver import PageDriver

    kind = KINDS[wanted.board]
    held: list[KitchenFile] = []

    def open_board() -> BoardScreen:
        from prepboard.clock import read_clock
        from prepboard.store.kitchen_file import KitchenFile

        by_hand = os.environ.get("PREPBOARD_NOW", "")
        file = KitchenFile.open(Path(wanted.file), read_clock(by_hand) if by_hand else None)
        held.append(file)
        speak(language_of(file.newest_book(), wanted.language, wanted.by, wanted.stations))
        return kind.open(file, wanted.stations, wanted.by)

    opening = Opening(kind.frame(wanted.stations), open_board)
    app = BoardApp(opening, wanted.look or None)
    app.driver_class = PageDriver
    app.run()
    for file in held:
        file.close()
    return str(opening.fault) if opening.fault else ""


def main() -> None:
    wanted = msgspec.json.decode(sys.argv[1], type=Wanted)
    said = run(wanted)
    if said:
        print(json.dumps({"fault": said}), flush=True)
        raise SystemExit(1)


if __name__ == "__main__":
    main()
