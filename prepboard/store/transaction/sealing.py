"""What a line of the log holds beside its words: digests of what its action left in the other tables.

The last line of an action holds them, and the chain holds the line: whoever changes an amount, a date, a verdict or
a book by hand, under whatever log, is found by `check`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from sqlite3 import Connection
from typing import Any

from msgspec import Struct

SEALED: Mapping[str, tuple[str, ...]] = {
    "batches": (
        "code", "prep", "name", "run", "state", "left", "unit", "made_at", "day_one", "passes_on", "use_by", "why",
        "store", "place", "station", "by", "blocked", "set_aside", "frozen_at", "first_day", "inherited", "safety",
        "stays", "cold", "parent", "pack", "lot", "allergens", "kept", "blocked_for", "label_says", "counts_on_at",
        "counts_on_by",
    ),
    "runs": (
        "code", "prep", "size", "line", "need", "n", "need_day", "book", "state", "started", "recorded", "ended",
        "ended_by", "ended_at_station", "step", "step_began", "step_ends", "taken", "first_day", "outputs", "by",
        "station", "first_safety", "instead", "other_places",
    ),
    "plates": ("number", "at", "service", "day", "dish", "n", "back", "again", "by", "station"),
    "services": ("day", "service", "covers", "came", "percent", "cancelled", "special", "past", "ended", "moved_to",
                 "at_start"),
    "counts": ("day", "service", "dish", "n"),
    "mixes": ("day", "service", "dish", "share"),
    "pars": ("day", "service", "prep", "amount"),
    "standing_pars": ("prep", "amount"),
    "standing_by_weekday": ("prep", "weekday", "amount"),
    "portions": ("day", "dish", "prep", "amount"),
    "blocked_places": ("place", "why", "at", "by"),
    "goods_discarded": ("number", "at", "goods", "amount", "why", "by", "station"),
    "missing": ("goods", "since", "until"),
    "notes": ("number", "at", "by", "station", "whom", "text", "done_at", "done_by"),
    "tasks_done": ("day", "task", "at", "by", "station", "degrees", "unit", "probe"),
    "signed": ("day", "station", "at", "by"),
    "withdrawals": (
        "number", "at", "by", "batch", "goods", "lot", "why", "lifted_at", "lifted_by", "lifted_why", "hold",
    ),
    "run_lots": ("run", "goods", "lot"),
    "pins": ("person", "kept", "set_at", "by", "wrong", "wait_until"),
    "goods_counted": (
        "number", "at", "goods", "kind", "amount", "lot", "safe_to", "degrees", "supplier", "by", "station",
    ),
    "probe_checks": ("number", "at", "probe", "water", "degrees", "unit", "ok", "by", "station", "entered"),
    "transfers": (
        "id", "note", "sender", "receiver", "van", "day", "batch", "prep", "name", "unit", "amount", "sent", "sent_at",
        "sent_by", "sent_in", "back_at", "back_by", "back_in", "got", "got_amount", "got_at", "got_by", "got_degrees",
        "got_why", "got_in", "got_turn", "ours", "settled_at", "settled_by", "settled_why",
        "settled_in",
    ),
    "received_as": ("ours", "sender", "code", "transfer", "at", "stays", "lots", "ends"),
    "holds_kept": (
        "id", "sender", "code", "goods", "lot", "why", "at", "by", "lifted_at", "lifted_by", "lifted_why", "seen_at",
        "seen_by", "seen_in",
    ),
    "holds_seen": ("hold", "kitchen", "at", "by"),
    "group_books": ("number", "from_day", "texts", "heard_at", "taken_at"),
    "orders": (
        "id", "van", "day", "kitchen", "maker", "prep", "amount", "unit", "at", "by", "ordered_in", "late", "answer",
        "answered_at", "answered_by", "answer_why", "answered_in",
    ),
}  # fmt: skip
"""The columns that are sealed of each table: a column that comes later is not, until it stands here. What the plan
works out, learns and keeps for itself is in none of these."""

MOVES_HOLD = "left"
"""What is left of a batch is what its moves add up to, and each move is held by the line of its action. So a batch that
only lost some needs no line about its row, and a line that says "f.J34" holds all of batch J34 but this."""

OF_ACTION: Mapping[str, tuple[str, ...]] = {
    "actions": ("at", "by", "station", "did", "answer", "entered"),
    "moves": ("number", "at", "batch", "kind", "amount", "run", "plate", "why", "gives_back"),
    "readings": ("number", "at", "by", "station", "of", "kind", "degrees", "unit", "meant", "held_to", "ok",
                 "entered", "from_record", "probe"),
    "corrections": ("number", "at", "by", "station", "batch", "what", "how"),
}  # fmt: skip
"""What is sealed of an action itself, and of what it added."""

_OF_ACTION = [
    (columns, f"SELECT {', '.join(columns)} FROM {table} WHERE {'id' if table == 'actions' else 'action'} = ?"
              f"{'' if table == 'actions' else ' ORDER BY number'}")
    for table, columns in OF_ACTION.items()
]  # fmt: skip
BOOK = "SELECT version, digest, loaded_at, by, texts FROM book WHERE version = ?"

SHORT, EARLIER = 10, 16
"""Characters of a digest, and of those of earlier programs: 40 bits, against a hand that changes a file and not against
one that looks for collisions; who can do that can write a new chain as well."""

SHORT_NAMES = {"f": "batches", "p": "plates", "r": "runs"}
"""How the tables whose rows change most are called in a line: "f.J34" is batch J34 without its amount."""

EARLIER_NAMES = {"b": "batches"}
"""How lines of earlier programs called a batch, amount and all."""


def _digest(what: Any) -> str:
    return _of_text(_text(what))


def _text(what: Any) -> str:
    return json.dumps(what, ensure_ascii=False, separators=(",", ":"))


def _of_text(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:EARLIER]


def of_row(table: str, row: Mapping[str, Any] | None, *, amount: bool = True) -> str:
    """The digest of one row, of a batch also without its amount; "" of one that is not there."""
    columns = [name for name in SEALED[table] if amount or name != MOVES_HOLD]
    return "" if row is None else _digest(_not_empty(columns, [row.get(name) for name in columns]))


def without_amount(row: Mapping[str, Any] | None) -> dict[str, Any]:
    """What a line holds of a batch."""
    return {name: value for name, value in (row or {}).items() if name != MOVES_HOLD}


def of_action(db: Connection, action: str) -> str:
    """The digest of one action, its answer, its moves, readings and corrections."""
    return _of_text(of_action_text(db, action))


def of_action_text(db: Connection, action: str) -> str:
    """The text that this digest is of: whoever has it can check the digest, and reads the amounts in it."""
    return _text([
        [_not_empty(columns, row) for row in db.execute(sql, [action])] for columns, sql in _OF_ACTION
    ])  # fmt: skip


def _not_empty(columns: Sequence[str], row: Sequence[Any]) -> list[list[Any]]:
    """What a row says; what is empty is left out, so that a column that comes later and is empty changes nothing."""
    return [[name, value] for name, value in zip(columns, row, strict=True) if value not in (None, "", 0)]


def of_book(db: Connection, version: int) -> str:
    """The digest of one version of the book, as it was read in."""
    return _digest(db.execute(BOOK, [version]).fetchone())


def holds(db: Connection, action: str, rows: Iterable[tuple[str, Mapping[str, Any], Mapping[str, Any] | None]],
          book: int = 0, undid: str = "") -> str:  # fmt: skip
    """What the last line of an action holds, as JSON. `rows` are (table, key, the row as it is now)."""
    left = {_name_of(table, key): (table, row) for table, key, row in rows if table in SEALED}
    digests = {name: of_row(table, row, amount=_with_amount(name))[:SHORT] for name, (table, row) in left.items()}
    found: dict[str, Any] = {"did": of_action(db, action)[:SHORT]}
    found |= {"rows": digests} if digests else {}
    found |= {"book": [book, of_book(db, book)[:SHORT]]} if book else {}
    found |= {"undid": undid} if undid else {}
    return json.dumps(found, ensure_ascii=False, separators=(",", ":"))


def is_of(kept: str, digest: str) -> bool:
    """Whether what a line holds is this digest; "" is that of a row that is not there."""
    return kept == digest or (len(kept) == SHORT and digest.startswith(kept))


class Named(Struct, frozen=True):
    """A row as a line names it."""

    table: str
    key: tuple[Any, ...]
    amount: bool
    """Whether the line holds the amount of a batch too."""


def row_of_name(name: str) -> Named:
    """The row by what a line calls it, also in the lines of earlier programs."""
    if name[1:2] == ".":
        table = {**EARLIER_NAMES, **SHORT_NAMES}[name[0]]
        return Named(table, (int(name[2:]) if table == "plates" else name[2:],), _with_amount(name))
    table, _blank, key = name.partition(" ")
    return Named(table, tuple(json.loads(key)), amount=True)


def _with_amount(name: str) -> bool:
    return not name.startswith("f.")


def _name_of(table: str, key: Mapping[str, Any]) -> str:
    """What a line calls a row."""
    short = next((letter for letter, long in SHORT_NAMES.items() if long == table), "")
    if short:
        return f"{short}.{next(iter(key.values()))}"
    return f"{table} {json.dumps(list(key.values()), ensure_ascii=False, separators=(',', ':'))}"
