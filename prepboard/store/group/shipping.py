"""What this kitchen's file has to tell the others, read for whoever carries it.

Finished actions come with all that the log's chain holds of them, and with what of each concerns another kitchen.
Nothing here keeps a position: whoever carries asks from the last line that has arrived.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from sqlite3 import Connection
from typing import Any

from msgspec import Struct

from prepboard.plan.given.group import Ordered
from prepboard.store.file.chain import COLUMNS
from prepboard.store.file.times import instant, instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import Sent, sent_of
from prepboard.store.read.group import rows
from prepboard.store.read.halves import Answered, Back, Got, Held, Lifted, Seen, Settled, word_of
from prepboard.store.transaction.sealing import of_action_text

URL, SINCE = "group url", "group since line"
"""Settings: where the group's PostgreSQL is, without any secret, and the log's last line as this kitchen joined it."""


class Line(Struct, frozen=True):
    """A line of the log: `text` is what its hash is of, as JSON; it begins with the hash of the line before it."""

    number: int
    chain: str
    text: str


class Half(Struct, frozen=True):
    """What an action tells other kitchens: a kind ("sent", "back", "got", "settled", "hold", "lifted", "seen", "order",
    "answer") and its word, in plain values; of what the program says in it the facts, for a reader of any language."""

    kind: str
    word: dict[str, Any]


class Lost(Struct, frozen=True):
    """What another kitchen said ("sent", "back", "got", "settled", "hold"), as this one heard it, and which."""

    kind: str
    word: dict[str, Any]
    of: str


class Finished(Struct, frozen=True):
    """One action: all its lines, and `left_behind`, the text whose digest its last line holds: the action itself, its
    moves, readings and corrections."""

    number: int
    id: str
    lines: tuple[Line, ...]
    left_behind: str
    halves: tuple[Half, ...]


class Joined(Struct, frozen=True):
    """That this kitchen belongs to a group: its name in the book, the ids of its file, where the group is."""

    kitchen: str
    kitchen_id: str
    file_id: str
    url: str
    since_line: int


LINES = f"""
    SELECT number, chain, holds, {", ".join(COLUMNS)} FROM log WHERE number > ? ORDER BY number LIMIT ?"""
BEFORE = "SELECT chain FROM log WHERE number = ?"
WHEN = "SELECT at, by FROM actions WHERE id = ?"
SETTINGS = "SELECT name, value FROM settings WHERE name IN ('kitchen id', 'file id', ?, ?)"
TOLD_IN = """
    SELECT * FROM holds_told WHERE (told_in = ?1 AND told_in != '') OR (lifted_in = ?1 AND lifted_in != '')
    ORDER BY of"""


def joined(file: KitchenFile) -> Joined | None:
    """The group that this kitchen belongs to; None where it never joined one, or its book names none."""
    with file.looking() as db:
        found = dict(db.execute(SETTINGS, [URL, SINCE]).fetchall())
    kitchen = file.newest_book().kitchen.member
    if not found.get(URL) or not kitchen:
        return None
    return Joined(kitchen, found["kitchen id"], found["file id"], found[URL], int(found.get(SINCE, 0)))


def last_line(file: KitchenFile) -> tuple[int, str]:
    """Number and hash of the log's last line; (0, "") of an empty log."""
    with file.looking() as db:
        found = db.execute("SELECT number, chain FROM log ORDER BY number DESC LIMIT 1").fetchone()
    return (found[0], found[1]) if found else (0, "")


def chain_at(file: KitchenFile, numbers: Iterable[int]) -> dict[int, str]:
    """The hashes of these lines, of those that are there."""
    with file.looking() as db:
        found = {number: db.execute(BEFORE, [number]).fetchone() for number in numbers}
    return {number: row[0] for number, row in found.items() if row}


def to_restored(file: KitchenFile, number: int) -> list[Line]:
    """The lines after one, up to the first that says that a copy was put in this file's place: somebody said there that
    this file is the right one. None where nobody did."""
    with file.looking() as db:
        (last,) = db.execute("SELECT min(number) FROM log WHERE number > ? AND did = 'restored'", [number]).fetchone()
        return [line for line, _action in _lines(db, number, last - number)] if last else []


def finished(file: KitchenFile, after_line: int, limit: int) -> list[Finished]:
    """The actions after a line of the log, at most so many lines, each action with all of its lines."""
    member = file.newest_book().kitchen.member
    with file.looking() as db:
        found = list(_lines(db, after_line, limit + 1))
        if len(found) > limit:
            # The last action may have more lines: it waits for the next time, unless it is the only one.
            last = found[-1][1]
            kept = [pair for pair in found if pair[1] != last]
            found = kept or list(_all_of(db, found[0][0].number, last))
        actions: dict[str, list[Line]] = {}
        for line, action in found:
            actions.setdefault(action, []).append(line)
        return [_finished(db, action, lines, member) for action, lines in actions.items()]


def held_elsewhere(file: KitchenFile) -> list[Half]:
    """What other kitchens were told that is held back here, and still is."""
    member = file.newest_book().kitchen.member
    with file.looking() as db:
        found = rows(db, "SELECT * FROM holds_told WHERE lifted_at IS NULL ORDER BY at, id")
        return [Half("hold", word_of(_held(row, member))) for row in found]


HEARD_SINCE = """
    SELECT * FROM transfers WHERE sent_at >= ?2 AND (sender = ?1 AND got_turn > 0 OR receiver = ?1
        OR settled_at IS NOT NULL AND settled_in = '') ORDER BY sent_at, note"""


def told_by_others(file: KitchenFile, since: datetime) -> list[Lost]:
    """What the other kitchens said of what left since a moment, as far as it was heard here, and what they hold."""
    member = file.newest_book().kitchen.member
    with file.looking() as db:
        found = rows(db, HEARD_SINCE, member, instant_text(since))
        held = rows(db, "SELECT * FROM holds_kept WHERE lifted_at IS NULL ORDER BY code != '', at, id")
        holds = [Lost("hold", word_of(_kept(row, member)), row["sender"]) for row in held]
        return [*(lost for row in found for lost in _told(row, member)), *holds]


def _told(row: dict[str, Any], member: str) -> Iterator[Lost]:
    sent = sent_of(row["sent"])
    if row["receiver"] == member:
        yield Lost("sent", word_of(sent), row["sender"])
        if row["back_at"]:
            yield Lost("back", word_of(Back(row["id"], sent, instant(row["back_at"]), row["back_by"])), row["sender"])
    elif row["got_turn"]:
        yield Lost("got", word_of(_got(row, sent, row["got_at"] or "", "")), row["receiver"])
    if row["settled_at"] and not row["settled_in"]:
        other = row["sender"] if row["receiver"] == member else row["receiver"]
        at, by, why = instant(row["settled_at"]), row["settled_by"], row["settled_why"]
        yield Lost("settled", word_of(Settled(row["id"], other, at, by, why, sent=sent)), other)


def _lines(db: Connection, after: int, limit: int) -> Iterator[tuple[Line, str]]:
    before = db.execute(BEFORE, [after]).fetchone()
    head = before[0] if before else ""
    for number, chain, holds, *words in db.execute(LINES, [after, limit]).fetchall():
        more = [holds] if holds else []
        text = json.dumps([head, number, *words, *more], ensure_ascii=False, separators=(",", ":"))
        yield Line(number, chain, text), words[0]
        head = chain


def _all_of(db: Connection, first: int, action: str) -> Iterator[tuple[Line, str]]:
    """All lines of one action, however many: they stand together."""
    (count,) = db.execute("SELECT count(*) FROM log WHERE number >= ? AND action = ?", [first, action]).fetchone()
    yield from _lines(db, first - 1, count)


def _finished(db: Connection, action: str, lines: Sequence[Line], member: str) -> Finished:
    (number,) = db.execute("SELECT number FROM actions WHERE id = ?", [action]).fetchone()
    return Finished(number, action, tuple(lines), of_action_text(db, action), tuple(_halves(db, action, member)))


def _halves(db: Connection, action: str, member: str) -> Iterator[Half]:
    """What an action told, of what the file keeps of it."""
    for row in rows(db, "SELECT * FROM transfers WHERE sent_in = ? AND sent_in != '' ORDER BY note", action):
        yield Half("sent", word_of(sent_of(row["sent"])))
    for row in rows(db, "SELECT * FROM transfers WHERE back_in = ? AND back_in != '' ORDER BY note", action):
        yield Half("back", word_of(Back(row["id"], sent_of(row["sent"]), instant(row["back_at"]), row["back_by"])))
    for row in rows(db, "SELECT * FROM transfers WHERE got_in = ? AND got_in != '' ORDER BY note", action):
        at, by = db.execute(WHEN, [action]).fetchone()
        yield Half("got", word_of(_got(row, sent_of(row["sent"]), at, by)))
    for row in rows(db, "SELECT * FROM transfers WHERE settled_in = ? AND settled_in != '' ORDER BY note", action):
        yield Half("settled", word_of(_settled(db, row, member, action)))
    for row in rows(db, TOLD_IN, action):
        if row["told_in"] == action:
            yield Half("hold", word_of(_held(row, member)))
        if row["lifted_in"] == action:
            at = instant(row["lifted_at"])
            yield Half("lifted", word_of(Lifted(row["id"], at, row["lifted_by"], receiver=row["receiver"])))
    for row in rows(db, "SELECT * FROM orders WHERE ordered_in = ? AND ordered_in != '' ORDER BY prep", action):
        yield Half("order", word_of(_order(row)))
    for row in rows(db, "SELECT * FROM orders WHERE answered_in = ? AND answered_in != '' ORDER BY prep", action):
        at = instant(row["answered_at"])
        answer = Answered(row["id"], row["answer"], at, row["answered_by"], row["answer_why"])
        yield Half("answer", {**word_of(answer), "kitchen": row["kitchen"]})
    for row in rows(db, "SELECT * FROM holds_kept WHERE seen_in = ? AND seen_in != '' ORDER BY id", action):
        seen = Seen(row["id"], member, instant(row["seen_at"]), row["seen_by"])
        yield Half("seen", word_of(seen))


def _got(row: dict[str, Any], sent: Sent, at: str, by: str) -> Got:
    """`at` and `by` say who took it back that it came, and when."""
    return Got(
        transfer=row["id"],
        sent=sent,
        turn=row["got_turn"],
        got=row["got"] or "taken in",
        amount=row["got_amount"] or 0,
        at=instant(row["got_at"] or at),
        by=row["got_by"] or by,
        degrees=row["got_degrees"],
        why=row["got_why"],
        ours=row["ours"],
        undone=not row["got"],
    )


def _settled(db: Connection, row: dict[str, Any], member: str, action: str) -> Settled:
    at, by = db.execute(WHEN, [action]).fetchone()
    undone = row["settled_at"] is None
    return Settled(
        row["id"], member, instant(at), row["settled_by"] or by, row["settled_why"], undone, sent_of(row["sent"])
    )


def _held(row: dict[str, Any], sender: str) -> Held:
    return Held(
        row["id"], sender, row["why"], instant(row["at"]), row["by"], row["code"], row["goods"], row["lot"],
        row["receiver"],
    )  # fmt: skip


def _kept(row: dict[str, Any], receiver: str) -> Held:
    """What another kitchen holds back, as it told this one: a batch for this one alone, goods of a lot for all."""
    return Held(
        row["id"], row["sender"], row["why"], instant(row["at"]), row["by"], row["code"], row["goods"], row["lot"],
        receiver if row["code"] else "",
    )  # fmt: skip


def _order(row: dict[str, Any]) -> Ordered:
    return Ordered(
        row["id"], row["van"], row["day"], row["kitchen"], row["maker"], row["prep"], row["amount"], row["unit"],
        instant(row["at"]), row["by"], bool(row["late"]),
    )  # fmt: skip
