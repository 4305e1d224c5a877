"""What goes wrong inside may be the file's own fault: a bit that turned over on a disk, a hand that changed it."""

from __future__ import annotations

import traceback
from pathlib import Path

import prepboard
from prepboard.texts import _


def damage(path: Path, fault: Exception) -> str:
    """What is wrong with a kitchen's file, and what to do, in one line; "" where it is whole, or where there is none.
    The `fault` is what went wrong: a row that could not be read is damage too, also in a table of which nobody can know
    what stood in it."""
    from prepboard.store.file.beside import copies_of
    from prepboard.store.file.copying import only_reading
    from prepboard.store.file.faults import StoreFault
    from prepboard.store.health.health import faults_in

    real = path.absolute()
    if not real.is_file():
        return ""
    try:
        with only_reading(real) as db:
            why = next(iter(faults_in(db)), "")
    except StoreFault as no_database:
        return str(no_database)
    except Exception as unreadable:
        why = _not_read(unreadable)
    if not why and _while_reading(fault):
        why = _not_read(fault)
    if not why:
        return ""
    there = copies_of(real)
    last = _("the last copy is {copy}").format(copy=there[-1]) if there else _("there is no copy beside it")
    said = _("{file} is damaged: {why}; bring back a good copy with prepboard restore: {last}")
    return said.format(file=path.name, why=why, last=last)


def _not_read(fault: Exception) -> str:
    return _("something in it cannot be read ({why})").format(why=" ".join(str(fault).split()))


def _while_reading(fault: Exception) -> bool:
    """Whether it went wrong where rows become a State: a text there was none of those that prepboard writes, such as a
    moment, a number or a piece of JSON."""
    rooms = Path(prepboard.__file__).parent
    own = [
        Path(one.filename) for one in traceback.extract_tb(fault.__traceback__) if rooms in Path(one.filename).parents
    ]
    return bool(own) and any(own[-1].is_relative_to(rooms / "store" / part) for part in ("read", "file"))
