"""Linux's own notices of what happens in a folder (man 7 inotify): nothing runs until something happens."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inotify_simple import INotify


def watch_folder(folder: Path) -> INotify | None:
    """What is readable whenever there are notices of the folder; None where the system gives none.

    What a station gives with `give_notice` comes after its change, while the notices of the writing itself come before.
    """
    if not sys.platform.startswith("linux"):
        return None
    from inotify_simple import INotify, flags

    try:
        notices = INotify()
        notices.add_watch(folder, flags.CLOSE_WRITE | flags.MOVED_FROM | flags.MOVED_TO | flags.DELETE)
    except OSError:
        return None
    return notices


def give_notice(path: Path) -> None:
    """Has all who watch a kitchen's file hear that it changed: its -wal is opened to be written to, and closed. SQLite
    holds no lock on that one; to close the file itself here would let go of all those that it holds there."""
    with suppress(OSError):
        os.close(os.open(f"{path}-wal", os.O_WRONLY))


def names_of(notices: INotify) -> list[str]:
    """The names in the notices that are there by now; "" where too many came to keep them."""
    return [notice.name for notice in notices.read(timeout=0)]
