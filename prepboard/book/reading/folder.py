"""The texts of a book's folder: which files belong to it, and which cannot be a book."""

from __future__ import annotations

import os
from pathlib import Path

from prepboard.book.reading.faults import Fault, Faults
from prepboard.texts import _

_LARGEST_FILE = 2_000_000
_LARGEST_BOOK = 20_000_000
"""Bytes. A recipe book is text that people wrote; what is larger is something else."""
_MOST_FILES = 2_000


def texts_of(folder: Path) -> tuple[dict[str, str], list[Fault]]:
    if not folder.is_dir():
        said = _("is no folder; a book is a folder of .toml files") if folder.exists() else _("there is no such folder")
        raise Faults([Fault(str(folder), 0, "", said)])
    texts: dict[str, str] = {}
    faults: list[Fault] = []
    read = 0
    paths = _toml_files(folder, faults)
    for path in paths[:_MOST_FILES]:
        name = path.relative_to(folder).as_posix()
        try:
            data = _bytes(path, _LARGEST_BOOK - read)
            read += len(data)
            texts[name] = data.decode("utf-8-sig").replace("\r\n", "\n")
        except UnicodeDecodeError as error:
            line = error.object.count(b"\n", 0, error.start) + 1
            faults.append(Fault(name, line, "", _("is not UTF-8 text; save it again as UTF-8")))
        except (OSError, ValueError) as error:
            faults.append(Fault(name, 0, "", _why(error)))
    if len(paths) > _MOST_FILES:
        faults.append(Fault(str(folder), 0, "", _("holds more than {n} .toml files").format(n=_MOST_FILES)))
    if not texts and not faults:
        faults.append(Fault(str(folder), 0, "", _no_file(folder)))
    if not texts:
        raise Faults(faults)
    return texts, faults


def _toml_files(folder: Path, faults: list[Fault]) -> list[Path]:
    """All *.toml below a folder by name, hidden ones left out. Linked folders are not entered, so no loop is."""

    def unreadable(error: OSError) -> None:
        faults.append(Fault(str(error.filename), 0, "", _why(error)))

    found = []
    for place, folders, files in os.walk(folder, onerror=unreadable):
        folders[:] = [name for name in folders if not name.startswith(".")]
        found += [
            Path(place, name)
            for name in files
            if name.endswith(".toml") and not name.startswith(".") and Path(place, name).is_file()
        ]
    return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


def _no_file(folder: Path) -> str:
    """That nothing is there to read; a file whose whole name an editor or a desktop hid is named."""
    other = next((path.name for path in sorted(folder.iterdir()) if ".toml." in path.name), "")
    said = _("holds no .toml file")
    return _("{said}; {file} has another ending: rename it").format(said=said, file=other) if other else said


def _bytes(path: Path, room: int) -> bytes:
    """A file's content; ValueError, before it is read, when it is larger than a book can be."""
    size = path.stat().st_size
    if size > min(_LARGEST_FILE, room):
        raise ValueError(
            _("is {size} MB large and was not read; a file of a book has at most {most} MB").format(
                size=-(-size // 1_000_000), most=_LARGEST_FILE // 1_000_000
            )
        )
    with path.open("rb") as file:
        return file.read(size)


def _why(error: OSError | ValueError) -> str:
    if isinstance(error, OSError):
        return _("cannot be read: {why}").format(why=(error.strerror or str(error)).lower())
    return str(error)
