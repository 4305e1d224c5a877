"""What stands beside the kitchen's file: what SQLite keeps there, and what prepboard puts there."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from msgspec import Struct


class Beside(Struct, frozen=True):
    """How the file and what SQLite keeps beside it were last seen."""

    size: int = 0
    """Of the file, in bytes. It never shrinks while nobody rebuilds it."""
    wal: int | None = None
    """Which -wal it is; while a station has the file open SQLite takes none away."""
    which: tuple[int, int] | None = None
    """Which file it is; None where it is gone."""


def beside(path: Path) -> Beside:
    """The file, its size and its -wal, as they are now; asked for at every change that anybody makes."""
    size, which, wal = 0, None, None
    with suppress(OSError):
        found = path.stat()
        size, which = found.st_size, (found.st_dev, found.st_ino)
    with suppress(OSError):
        wal = Path(f"{path}-wal").stat().st_ino
    return Beside(size, wal, which)


def copies_of(path: Path) -> list[Path]:
    """The copies that prepboard made by itself of a file, the last one at the end."""
    return sorted(path.with_name(f"{path.stem}-copies").glob(f"{path.stem}-*.db"))


def free_name(path: Path, why: str, moment: str) -> Path:
    """A name beside the file that nothing has: kitchen-before-2026-10-31T140512Z.db."""
    names = (f"{path.stem}-{why}-{moment}{more}.db" for more in ("", *(f"-{n}" for n in range(2, 1000))))
    return next(found for name in names if not (found := path.with_name(name)).exists())
