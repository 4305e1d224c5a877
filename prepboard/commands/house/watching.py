"""`load --watch`: a book's folder is loaded whenever somebody saved a change in it, until it is stopped."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path

from prepboard.commands.given.session import Session, tell
from prepboard.texts import _, keeping

QUIET = 300
"""Milliseconds without a further change after which a save is over: editors write a file in several goes."""

LOOK = 1000
"""Milliseconds after which the files are looked at though nothing was heard of them."""


def keep_loading(session: Session, folder: Path, load: Callable[[], None]) -> None:
    """Loads the folder now, and again after each change, until ctrl+c. A folder with faults changes nothing: they are
    named here and stand on the sous chef's board until it is right again."""
    from watchfiles import watch

    from prepboard.book.reading.faults import Faults
    from prepboard.store.file.faults import StoreFault
    from prepboard.store.file.who import Refused
    from prepboard.store.health.book_faults import keep_book_faults

    def once() -> None:
        faults: list[str] = []
        kept: list[str] = []
        try:
            load()
        except Faults as fault:
            faults, kept = list(map(str, fault.faults)), as_facts(folder)
        except (Refused, StoreFault) as fault:
            faults = [str(fault)]
        _tell_all(faults)
        if faults and Path(session.path).exists():
            with session.file() as file:
                keep_book_faults(file, str(folder), kept or faults)

    loaded = _as_saved(folder)
    once()
    if not folder.is_dir():
        return
    tell(_("{folder} is loaded whenever something in it is saved; ctrl+c stops that").format(folder=folder))
    sys.stdout.flush()
    # What watchfiles says is the hint, and the files themselves are the proof: a save between two looks is not missed.
    for _changes in watch(
        folder, step=QUIET, debounce=QUIET * 10, rust_timeout=LOOK, yield_on_timeout=True, raise_interrupt=False
    ):
        if _as_saved(folder) != loaded:
            loaded = _as_saved(folder)
            once()


def as_facts(folder: Path) -> list[str]:
    """The faults of a book as they are kept, for readers of whatever language."""
    from prepboard.book.reading.faults import Faults
    from prepboard.book.reading.reader import read_book

    with keeping():
        try:
            read_book(folder)
        except Faults as fault:
            return list(map(str, fault.faults))
    return []


def _as_saved(folder: Path) -> dict[str, tuple[int, int]]:
    """When each file of a book was last saved, and how large it is."""
    found = {}
    for path in folder.rglob("*.toml"):
        with suppress(OSError):
            known = path.stat()
            found[str(path)] = known.st_mtime_ns, known.st_size
    return found


def _tell_all(faults: Iterable[str]) -> None:
    for fault in faults:
        tell(fault)
    sys.stdout.flush()
