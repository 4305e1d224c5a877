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


def beside(path: Path) -> Beside:
    """The file's size and its -wal, as they are now."""
    size, wal = 0, None
    with suppress(OSError):
        size = path.stat().st_size
    with suppress(OSError):
        wal = path.with_name(f"{path.name}-wal").stat().st_ino
    return Beside(size, wal)


def copies_of(path: Path) -> list[Path]:
    """The copies that prepboard made by itself of a file, the last one at the end."""
    return sorted(path.with_name(f"{path.stem}-copies").glob(f"{path.stem}-*.db"))


def free_name(path: Path, why: str, moment: str) -> Path:
    """A name beside the file that nothing has: kitchen-before-2026-10-31T140512Z.db."""
    names = (f"{path.stem}-{why}-{moment}{more}.db" for more in ("", *(f"-{n}" for n in range(2, 1000))))
    return next(found for name in names if not (found := path.with_name(name)).exists())
