"""Copies that the kitchen makes by itself: at the first change of an hour, each looked through, a number of them kept.

They lie in a folder beside the file, named by the moment: kitchen-copies/kitchen-2026-10-31T140512Z.db. A copy that is
on the same disk helps against a slip and not against a dead disk: that is what `backup PATH` onto a stick is for.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from prepboard.store.file.copying import copy, only_reading
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.times import instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import _

KEPT_HOURS, KEPT_DAYS = 24, 14
"""Of the last so many copies each is kept, of the last so many days the last one of the day."""

OLD = timedelta(days=1)
"""A last good copy that is older is said on the board."""


def folder_of(file: KitchenFile) -> Path:
    return file.path.with_name(f"{file.path.stem}-copies")


def copies(file: KitchenFile) -> list[Path]:
    """The copies that are there, the oldest first."""
    return sorted(folder_of(file).glob(f"{file.path.stem}-????-??-??T??????Z.db"))


def copied_at(copy_: Path) -> datetime:
    return datetime.fromisoformat(f"{copy_.stem[-18:-1]}+00:00")


def copy_if_due(file: KitchenFile) -> Path | None:
    """Makes the copy of this hour, unless it is there; None where it is. StoreFault when it could not be made or is not
    good. A kitchen whose clock was set by hand is a drill, and makes none."""
    now = file.clock.now()
    there = copies(file)
    if file.clock.set_by_hand or (there and instant_text(copied_at(there[-1]))[:13] == instant_text(now)[:13]):
        return None
    made = folder_of(file) / f"{file.path.stem}-{instant_text(now).replace(':', '')}.db"
    try:
        made.parent.mkdir(exist_ok=True)
    except OSError as fault:
        raise StoreFault(_("no copy at {file}: {why}").format(file=made, why=fault.strerror)) from None
    copy(file.path, made)
    with only_reading(made) as db:
        bad = [row[0] for row in db.execute("PRAGMA quick_check") if row[0] != "ok"]
    if bad:
        made.unlink(missing_ok=True)
        raise StoreFault(_("the copy of {file} is not good: {why}").format(file=file.path.name, why=bad[0]))
    _let_go(copies(file))
    return made


def _let_go(there: list[Path]) -> None:
    last_of_day = {copied_at(one).date(): one for one in there}
    keep = {*there[-KEPT_HOURS:], *sorted(last_of_day.values())[-KEPT_DAYS:]}
    for one in there:
        if one not in keep:
            one.unlink(missing_ok=True)


def too_old(file: KitchenFile) -> str:
    """That the last good copy is old, in words; "" while it is not, and in a drill."""
    there = copies(file)
    if file.clock.set_by_hand or not there or file.clock.now() - copied_at(there[-1]) <= OLD:
        return ""
    days = (file.clock.now() - copied_at(there[-1])).days
    return _("the last good copy of the kitchen's file is {days} days old: make one with `prepboard backup`").format(
        days=days
    )
