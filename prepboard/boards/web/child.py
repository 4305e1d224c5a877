"""One board for one page: started by the server as a process of its own, told in its arguments what it is.

    python -m prepboard.boards.web.child '{"file": …, "board": "station", "stations": ["fish"], "by": "LM", …}'

It ends when its pipe does, and says in one line why it could not start.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
from contextlib import closing
from pathlib import Path

import msgspec
from msgspec import Struct

from prepboard.boards.app.app import BoardApp
from prepboard.boards.app.registry import KINDS, Name
from prepboard.boards.web.driver import PageDriver
from prepboard.book.languages import language_of
from prepboard.clock import read_clock
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import speak


class Wanted(Struct, frozen=True):
    """Which board, of which file, for whom."""

    file: str
    board: Name
    stations: tuple[str, ...] = ()
    """Ids of the book; none for a close is the whole kitchen."""
    by: str = ""
    look: str = ""
    language: str = ""


async def run(wanted: Wanted) -> str:
    """Runs the board until its page is gone; answers why it could not be opened, "" where it could.

    All is loaded and nothing else is to be seen meanwhile: the board is worked out first, and drawn once.
    """
    by_hand = os.environ.get("PREPBOARD_NOW", "")
    try:
        with closing(KitchenFile.open(Path(wanted.file), read_clock(by_hand) if by_hand else None)) as file:
            speak(language_of(file.newest_book(), wanted.language, wanted.by, wanted.stations))
            board = KINDS[wanted.board].open(file, wanted.stations, wanted.by)
            board.asked_language = wanted.language
            await board.look_first()
            app = BoardApp(board, wanted.look or None)
            app.driver_class = PageDriver
            await app.run_async()
    except Exception as fault:
        return str(fault)
    return ""


def answer(wanted: Wanted) -> int:
    """Runs the board; says on its pipe why it could not be opened. The process is to end with what is answered, at
    once: the thread that reads the pipe would wait for its end."""
    said = asyncio.run(run(wanted))
    if said:
        os.write(1, json.dumps({"fault": said}).encode() + b"\n")
    return 1 if said else 0


if __name__ == "__main__":
    os._exit(answer(msgspec.json.decode(sys.argv[1], type=Wanted)))
