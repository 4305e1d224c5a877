"""What history learns, and what it is told: a special day, a new recipe, a dish of which nothing is left."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from prepboard.plan.given.learned import Common, Learned
from prepboard.plan.given.state import Sitting
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.learned import COMMON, LEARNED_TO, text_of
from prepboard.store.transaction.doing import Doing, action
from prepboard.store.transaction.named import check_sitting, dish_of, sitting_key
from prepboard.texts import _


@action("special")
def special(
    doing: Doing, sitting: Sitting, on: bool = True,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A day that history does not learn and has no promise for; with `on` False an ordinary one again."""
    check_sitting(doing, sitting)
    day, service = sitting_key(sitting)
    named = f"{doing.book.services[service].name} {day}"
    row = doing.row("services", day=day, service=service)
    if bool(row and row["special"]) is on:
        said = _("{service} is marked as special already") if on else _("{service} is not marked as special")
        raise Refused(said.format(service=named))
    doing.put("services", {"day": day, "service": service, "special": int(on)})
    doing.log("special", after="1" if on else "0", why=f"{service}.{day}")
    said = _("{service}: special, nothing is learned of it") if on else _("{service}: ordinary again")
    return doing.answer(said.format(service=named))


@action("reset")
def reset(doing: Doing, dish: str, *, action: str | None = None, at: datetime | None = None) -> Did:
    """A new menu or recipe: what was learned of a dish so far weighs less from now on."""
    return _reset(doing, dish)


def _reset(doing: Doing, dish_id: str) -> Did:
    dish = dish_of(doing, dish_id)
    day = doing.book.kitchen.days.business_day(doing.now)
    doing.put("resets", {"day": day.isoformat(), "dish": dish_id, "at": instant_text(doing.now)})
    doing.log("reset", dish=dish_id)
    return doing.answer(_("{dish}: old sales count less from now on").format(dish=dish.name))


def keep_learned(file: KitchenFile, version: int, to: date, dishes: Mapping[str, Learned], common: Common) -> bool:
    """Keeps what the services up to a day taught, worked out from the file's `version`.

    The first station to say so counts; where the file has changed meanwhile nothing is kept, since what changed may
    have been one of those services. Answers whether it was kept.
    """
    rows = [(dish, text_of(learned)) for dish, learned in dishes.items()]
    with file.writing() as db:
        if int(db.execute("SELECT value FROM settings WHERE name = 'version'").fetchone()[0]) != version:
            return False
        db.executemany(
            "INSERT INTO learned (dish, state) VALUES (?, ?) ON CONFLICT (dish) DO UPDATE SET state = excluded.state",
            [*rows, (COMMON, text_of(common))],
        )
        db.execute(
            "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            [LEARNED_TO, to.isoformat()],
        )
    return True


def keep_run_outs(file: KitchenFile, sitting: Sitting, dishes: Mapping[str, datetime]) -> bool:
    """Keeps since when nothing was left of dishes while a service runs; the first station to say so counts. Answers
    whether anything was new."""
    key = sitting_key(sitting)
    with file.glance() as db:
        known = {row[0] for row in db.execute("SELECT dish FROM ran_out WHERE day = ? AND service = ?", key)}
    new = [(*key, dish, instant_text(at)) for dish, at in dishes.items() if dish not in known]
    if new:
        with file.writing() as db:
            for row in new:
                db.execute("INSERT OR IGNORE INTO ran_out (day, service, dish, at) VALUES (?, ?, ?, ?)", row)
    return bool(new)
