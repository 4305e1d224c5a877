"""Tells when another station changed the file.

The operating system's notice is only a hint: it can come before SQLite shows the change, and on some systems not at
all. So each hint is looked into at once, and where it may have come too early a few times more shortly after; the proof
is `PRAGMA data_version`; and without any hint the file is asked every second all the same. Linux is asked for its
notices directly, which costs nothing while nothing happens; elsewhere watchfiles is.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Collection
from pathlib import Path
from typing import TYPE_CHECKING

from prepboard.store.file.notices import names_of, watch_folder
from prepboard.store.kitchen_file import KitchenFile

if TYPE_CHECKING:
    from inotify_simple import INotify

STEP, DEBOUNCE = 20, 100
"""Milliseconds: the quiet after which a hint is passed on, and the longest wait for quiet."""

LOOK_AGAIN = (0.02, 0.08, 0.3)
"""Seconds after a hint; a slow disk shows a change late."""

PACE = 1.0
"""Seconds between looks without a hint."""

PACE_WITHOUT_HINTS = 0.1
"""The same where the system gives no hints."""


async def changes(file: KitchenFile, since: int | None = None) -> AsyncIterator[None]:
    """Yields whenever the file is no longer as it was last read, or as it was `since` it was seen so, where others read
    it meanwhile; to be used in the thread that opened it.

    StoreFault when the file is gone or another one has taken its place.
    """
    hint = asyncio.Event()
    watching = asyncio.create_task(_pass_on_hints(file.path, hint))
    known = file.seen if since is None else since
    try:
        while True:
            hint.clear()
            file.check_there()
            current = file.data_version()
            if current != known:
                known = current
                yield
                continue
            pace = PACE_WITHOUT_HINTS if watching.done() else PACE
            at_the_latest = asyncio.get_running_loop().call_later(pace, hint.set)
            try:
                await hint.wait()
            finally:
                at_the_latest.cancel()
    finally:
        watching.cancel()
        await asyncio.gather(watching, return_exceptions=True)


async def _pass_on_hints(path: Path, hint: asyncio.Event) -> None:
    """Sets the event when something happens to the file or to its -wal. The folder is watched, since the -wal comes
    and goes; the path's links are followed, since the -wal lies beside the real file."""
    names = {path.name, f"{path.name}-wal"}
    notices = watch_folder(path.parent)
    if notices is None:
        await _by_watchfiles(path.parent, names, hint)
    else:
        await _by_notices(notices, names, hint)


async def _by_notices(notices: INotify, names: Collection[str], hint: asyncio.Event) -> None:
    loop = asyncio.get_running_loop()

    def look() -> None:
        if any(name in names or not name for name in names_of(notices)):
            hint.set()

    loop.add_reader(notices, look)
    hint.set()  # somebody may have written since the file was looked at
    try:
        await loop.create_future()
    finally:
        loop.remove_reader(notices)
        notices.close()


async def _by_watchfiles(folder: Path, names: Collection[str], hint: asyncio.Event) -> None:
    from watchfiles import Change, awatch

    def ours(_change: Change, changed: str) -> bool:
        return Path(changed).name in names

    loop = asyncio.get_running_loop()
    async for _found in awatch(folder, watch_filter=ours, step=STEP, debounce=DEBOUNCE, recursive=False):
        hint.set()
        for later in LOOK_AGAIN:
            loop.call_later(later, hint.set)
