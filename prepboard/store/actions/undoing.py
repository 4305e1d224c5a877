"""Undo: a person's last change, taken back by a change of its own.

The rows that an action changed are again as they were; food that it moved moves the other way by moves that are
added. What others have built on stays: undo is refused in words then.
"""

from __future__ import annotations

import json
from datetime import timedelta

from msgspec import Struct

from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import RANK, Did, Refused, Who, text_of, who_may
from prepboard.store.food.taking import Cause, move
from prepboard.store.health.letting_go import undo_after
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.schedules import PLACED_FOR
from prepboard.store.read.snapshot import newest_book
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.saying import clock_time
from prepboard.texts import _, recognized

STAYS = ("load", "clock", "restore", "take back")
"""What is not taken back: another book is loaded instead; what came back from a van is sent anew, since the other
kitchen was told that it does not come."""

TAKEN_BACK = ("batches", "runs")
"""Where a row that the action added stays, as undone, since other records name it."""

WARMS = ("thaw", "move to", "dispatch")
SLIP = timedelta(minutes=30)
"""What was out of its storage for longer is no slip of the finger any more: taking that back would give food time that
it does not have (common practice, no source)."""

LAST = """
    SELECT id, at, did, answer, number FROM actions
    WHERE by = ?1 COLLATE NOCASE AND (?1 != '' OR station = ?2) AND undone_by IS NULL
      AND did NOT IN ('undo', 'pin', 'wrong pin', 'right pin', 'heard of', 'held back elsewhere', 'put back')
    ORDER BY number DESC LIMIT 1"""
"""A person's last change, in whatever letters the initials were written; of those without initials, their station's."""


PLACED = json.dumps({"name": PLACED_FOR})

TAKEN_BACK_SINCE = """
    SELECT min(taken.number) FROM actions AS undo JOIN actions AS taken ON taken.undone_by = undo.id
    WHERE undo.number > ?1 AND EXISTS (
        SELECT 1 FROM changes WHERE action IN (undo.id, taken.id) AND row_of = 'settings' AND key = ?2)"""
"""The first of the actions that were taken back since another one, as far as they moved runs, or that did."""

STANDS = """
    SELECT 1 FROM actions JOIN changes ON changes.action = actions.id
    WHERE actions.number >= ?1 AND actions.number != ?2 AND actions.did != 'undo' AND actions.undone_by IS NULL
      AND row_of = 'settings' AND key = ?3 LIMIT 1"""
"""Whether an action since one, but for another, moved runs and was not taken back."""

LAY_BEFORE = """
    SELECT row_of, key, before, min(changes.number) FROM actions JOIN changes ON changes.action = actions.id
    WHERE actions.number >= ? AND (row_of IN ('schedules', 'shorts') OR row_of = 'settings' AND key = ?)
    GROUP BY row_of, key"""
"""Each placement that was changed from an action on, as that one found it, and since when something was short."""


class LastChange(Struct, frozen=True):
    """What undo would take back: the `action` that is shown, and its words."""

    action: str
    text: str


def last(file: KitchenFile, who: Who) -> LastChange | None:
    """What undo would take back; None when there is nothing."""
    with file.looking() as db:
        found = db.execute(LAST, [who.by, who.station]).fetchone()
        if found is None or found[2] in STAYS or found[4] <= undo_after(db):
            return None
        kitchen = file.book(db, newest_book(db)).kitchen
        when = clock_time(kitchen, instant(found[1]), file.clock.now())
        return LastChange(found[0], f"{recognized(text_of(found[3]))} ({when})")


@action("undo")
def undo(doing: Doing, shown: str = "", *, action: str | None = None) -> Did:
    """Takes back this person's last change: the action `shown`, and no other one. Refused when it is no longer the
    last one, and once somebody built on it."""
    found = doing.first(LAST, doing.who.by, doing.who.station)
    if shown and (found is None or found["id"] != shown):
        raise Refused(_another(doing, shown, found))
    if found is None:
        raise Refused(_("you have changed nothing that could be undone"))
    said = text_of(found["answer"])
    if found["did"] in STAYS:
        raise Refused(_("this cannot be undone: {change}").format(change=said))
    if found["did"] in WARMS and doing.now - instant(found["at"]) > SLIP:
        said = _("it has stood there since {time}, and that counts; move it back instead")
        if found["did"] == "dispatch":
            said = _("it left {time}: take it back with its temperature instead")
        raise Refused(said.format(time=doing.time(instant(found["at"]))))
    if found["number"] <= undo_after(doing.db):
        text = _("that was {time}: too long ago to be undone; change it instead: {change}")
        raise Refused(text.format(time=doing.time(instant(found["at"])), change=said))
    _check_reading(doing, found["id"])
    every = doing.rows("SELECT * FROM changes WHERE action = ? ORDER BY number DESC", found["id"])
    changes = [change for change in every if not _is_placement(change) and change["row_of"] != "shorts"]
    for change in changes:
        _check_untouched(doing, change)
        if found["did"] != "correct":
            _check_not_past(doing, change)
    _move_back(doing, found["id"])
    for change in changes:
        _restore_row(doing, change)
    _restore_placements(doing, found["number"], [change for change in every if change["row_of"] == "shorts"])
    doing.db.execute("UPDATE actions SET undone_by = ? WHERE id = ?", [doing.id, found["id"]])
    doing.undid = found["id"]
    line = doing.first("SELECT min(number) AS number FROM log WHERE at = ? AND action = ?", found["at"], found["id"])
    named = _("line {line}").format(line=line["number"]) if line and line["number"] else ""
    doing.log("undo", before=said, after=named, why=found["did"])
    return doing.answer(_("undone: {change}").format(change=said))


def _check_reading(doing: Doing, action: str) -> None:
    """Only a sous chef takes back a reading that was out of range: what it said of the food would go with it."""
    failed = doing.first("SELECT degrees, unit, held_to FROM readings WHERE action = ? AND ok = 0", action)
    if failed is not None and RANK[doing.role] < RANK["sous"]:
        said = _("{degrees} °{unit} was out of range ({limit}); only a sous chef takes that back{who}")
        who = who_may(doing.book, "sous")
        raise Refused(said.format(degrees=failed["degrees"], unit=failed["unit"], limit=failed["held_to"], who=who))


def _another(doing: Doing, shown: str, last: Row | None) -> str:
    """Why what was shown is not what would be taken back."""
    was = doing.first("SELECT answer, undone_by FROM actions WHERE id = ?", shown)
    if was and was["undone_by"]:
        by = doing.first("SELECT at, by FROM actions WHERE id = ?", was["undone_by"])
        when, who = (doing.time(instant(by["at"])), by["by"] or _("somebody")) if by else ("", "")
        return _("that was undone already: {time}, {by}").format(time=when, by=who)
    if last is None:
        return _("that is no longer there to undo")
    said, when = text_of(last["answer"]), doing.time(instant(last["at"]))
    return _("nothing was undone: your last change is another one by now: {change}, {time}").format(
        change=said, time=when
    )


def _is_placement(change: Row) -> bool:
    return bool(change["row_of"] == "schedules" or change["key"] == PLACED)


def _restore_placements(doing: Doing, number: int, shorts: list[Row]) -> None:
    """Where runs lay comes back exactly, unless somebody's later change that moved them stands: then they are placed
    anew. What an action ended to be short is short since when it was."""
    first = _taken_back_from(doing, number)
    for change in doing.rows(LAY_BEFORE, first, PLACED) if first is not None else shorts:
        _restore_row(doing, change)
    doing.placements_stand = first is not None


def _taken_back_from(doing: Doing, number: int) -> int | None:
    """The number of the first action from which on all that moved runs is taken back with this one: two cooks start
    and both undo, in whatever order, and nothing is left of it. None while something of it stands."""
    first = number
    while (taken := doing.db.execute(TAKEN_BACK_SINCE, [first, PLACED]).fetchone()[0]) is not None and taken < first:
        first = taken
    if first <= undo_after(doing.db) or doing.db.execute(STANDS, [first, number, PLACED]).fetchone():
        return None
    return first


def _check_untouched(doing: Doing, change: Row) -> None:
    """Refused when a row is no longer as the action left it.

    Plates that others took from the same batch meanwhile are no reason: giving back one does not touch theirs.
    """
    current = doing.row(change["row_of"], **json.loads(change["key"]))
    left = json.loads(change["after"]) if change["after"] else None
    if left is None or current is None:
        differ = {"the row"} if left is not current else set()
    else:
        # Columns that a later version of the tables added were no part of the action.
        differ = {name for name, value in left.items() if name in current and current[name] != value}
    if differ and not (differ <= {"left", "state"} and _plates_only(doing, change)):
        raise Refused(_changed_since(doing, change))


def _check_not_past(doing: Doing, change: Row) -> None:
    """Refused when it would make food good again whose use-by has come meanwhile: it was out of the freezer."""
    if change["row_of"] != "batches" or change["before"] is None:
        return
    before, after = json.loads(change["before"])["use_by"], json.loads(change["after"] or "{}").get("use_by")
    now = instant_text(doing.now)
    if after is not None and after <= now and (before is None or before > now):
        code = json.loads(change["key"])["code"]
        raise Refused(_("batch {code} is past its use-by since; it can only be discarded").format(code=code))


def _plates_only(doing: Doing, change: Row) -> bool:
    """Whether the action took a batch's food for plates, and nothing but plates touched the batch since."""
    if change["row_of"] != "batches" or change["before"] is None:
        return False
    code = json.loads(change["key"])["code"]
    moved = doing.rows(
        "SELECT plate FROM moves WHERE batch = ? AND number >="
        " (SELECT min(number) FROM moves WHERE batch = ? AND action = ?)",
        code,
        code,
        change["action"],
    )
    return bool(moved) and all(row["plate"] is not None for row in moved)


def _changed_since(doing: Doing, change: Row) -> str:
    since = doing.first(
        "SELECT actions.at, actions.by FROM changes JOIN actions ON actions.id = changes.action"
        " WHERE changes.row_of = ? AND changes.key = ? AND changes.number > ? ORDER BY changes.number DESC LIMIT 1",
        change["row_of"],
        change["key"],
        change["number"],
    )
    key = json.loads(change["key"])
    said = {
        "batches": _("batch {code} has been used since"),
        "runs": _("run {code} has gone on since"),
    }.get(change["row_of"], _("that has been changed since"))
    text = said.format(code=key.get("code", ""))
    return text if since is None else f"{text}, {doing.time(instant(since['at']))}, {since['by']}"


def _move_back(doing: Doing, action: str) -> None:
    for moved in doing.rows("SELECT * FROM moves WHERE action = ? ORDER BY number DESC", action):
        # What gave back something gives it back no longer: both name the move that took it.
        first = moved["gives_back"] or moved["number"]
        cause = Cause("undone", run=moved["run"], plate=moved["plate"], gives_back=first)
        move(doing, moved["batch"], -moved["amount"], cause)


def _restore_row(doing: Doing, change: Row) -> None:
    table, key = change["row_of"], json.loads(change["key"])
    before = json.loads(change["before"]) if change["before"] else None
    if table == "transfers":
        _half_back(doing, change, before)
    elif before is not None:
        # What is left of a batch has come back with its moves.
        kept = ("left", "state") if table == "batches" else ()
        doing.put(table, {**key, **{name: value for name, value in before.items() if name not in kept}})
    elif table == "plates":
        plates = doing.row(table, **key)
        doing.put(table, {**key, "back": plates["n"] if plates else 0})
    elif table in TAKEN_BACK:
        doing.put(table, {**key, "state": "undone"})
    else:
        doing.drop(table, **key)


def _half_back(doing: Doing, change: Row, before: Row | None) -> None:
    """A transfer is never forgotten: what left says that it was taken back, what came that it was not taken in; that
    is said in a turn of its own, so that whoever hears both knows which was last."""
    key = json.loads(change["key"])
    after = json.loads(change["after"])
    if (before or {}).get("got_in", "") != after["got_in"]:
        nothing = {"got_amount": None, "got_at": None, "got_by": "", "got_degrees": "", "got_why": "", "ours": ""}
        kept = {name: before[name] for name in nothing} if before and before["got"] else nothing
        turn = {"got_in": doing.id, "got_turn": after["got_turn"] + 1}
        doing.put("transfers", {**key, "got": before["got"] if before else "", **kept, **turn})
    elif before is not None and before["settled_at"] != after["settled_at"]:
        settled = {name: before[name] for name in ("settled_at", "settled_by", "settled_why")}
        doing.put("transfers", {**key, **settled, "settled_in": doing.id})
    elif before is None:
        back = {"back_at": instant_text(doing.now), "back_by": doing.who.by, "back_in": doing.id}
        doing.put("transfers", {**key, **back})
    else:
        doing.put("transfers", {**key, **{name: value for name, value in before.items() if name != "id"}})
