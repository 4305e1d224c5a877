"""Linux's own notices of what happens in a folder (man 7 inotify): nothing runs until something happens."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inotify_simple import INotify


def watch_folder(folder: Path) -> INotify | None:
    """What is readable whenever there are notices of the folder; None where the system gives none.

    A station writes through a connection of its own and closes it: that notice comes after the change, while those of
    the writing itself come before.
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


def names_of(notices: INotify) -> list[str]:
    """The names in the notices that are there by now; "" where too many came to keep them."""
    return [notice.name for notice in notices.read(timeout=0)]
