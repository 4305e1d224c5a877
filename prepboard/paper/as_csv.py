"""The same lists for a spreadsheet: one row a line, an amount in two columns, nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping
from typing import Any

from prepboard.paper.text.plain import plain

_MAKE = (
    "line", "prep", "task", "station", "amount", "size", "begins", "start_by", "can_start_from", "ready_by",
    "ready_at", "late_minutes", "too_late", "due_at", "ready_if_started_now", "not_there", "waits_for", "for", "notes",
    "par", "on_hand", "left_over", "under_way", "short",
)  # fmt: skip
_PULL = ("item", "kind", "amount", "as_bought", "take_out_at", "for")

COLUMNS: Mapping[str, tuple[str, ...]] = {
    "make": _MAKE,
    "underway": (
        "run", "prep", "station", "amount", "by", "started", "step", "next", "next_at", "may_go_on_from",
        "go_on_by", "overdue_minutes", "ready_at", "ready_by", "late_minutes",
    ),
    "expiring": ("batch", "prep", "station", "amount", "made_at", "use_by", "why", "use_first"),
    "left": (
        "dish", "plates_left", "limiting", "runs_out_at", "ends_first", "in_mix", "low", "not_yet", "eighty_six",
        "taken_off", "basis", "service", "day", "counted_to", "chance_out", "out", "lacks", "others", "preps",
        "allergens",
    ),
    "pars": (
        "service", "day", "covers", "prep", "par", "source", "stage", "chance", "expected", "on_hand", "left_over",
        "under_way", "short", "over", "thin", "to_make", "promise", "special", "dishes",
    ),
    "timeline": (
        "prep", "run", "line", "station", "step", "equipment", "places", "at", "begins", "hands_until", "ends",
    ),
    "pull": _PULL,
    "order": ("supplier", "goods", "packs", "amount", "needed", "there", "order_by", "too_late", "needed_at", "for"),
    "coming": (
        "note", "state", "from", "to", "van", "day", "prep", "name", "amount", "use_by", "degrees", "batch_there",
        "left_at", "left_by", "got", "got_amount", "got_at", "got_degrees", "batch", "to_answer_for",
        "held_back",
    ),
    "orders": (
        "van", "day", "kitchen", "from", "prep", "amount", "at", "by", "late", "answer", "why", "order",
    ),
    "vans": (
        "van", "day", "leaves", "kitchen", "prep", "name", "ordered", "loaded", "to_load", "notes", "waits_for_answer",
    ),
    "group": ("from", "kitchen", "batch", "goods", "lot", "why", "at", "by", "seen_at", "seen_by"),
    "work": ("station", "before", "hands_minutes", "work_minutes", "over_minutes", "moves"),
    "bring": ("station", "item", "kind", "amount", "as_bought", "place", "batch", "use_by", "at"),
    "notes": ("number", "at", "by", "to", "text", "done", "done_at", "done_by"),
    "tasks": (
        "task", "name", "station", "at", "hands_minutes", "reads", "done", "done_at", "done_by", "reading",
    ),
    "today": ("kind", "day", "what", "of", "n", "amount", "at", "why", "known"),
    "log": ("at", "by", "station", "did", "batch", "prep", "dish", "before", "after", "why"),
    "record": (
        "at", "entered", "by", "station", "kind", "did", "what", "value", "limit", "ok", "from_record", "probe",
        "probe_checked", "probe_good", "taken_back", "replaced_by", "in_place_of", "may_be_used", "rule_book", "looser",
        "clock",
    ),
    "allergens": ("dish", "name", "tonight", "allergens", "not_stated"),
    "rules": ("key", "value", "unit", "also", "also_unit", "section", "title", "source", "status", "note"),
    "use-first": (
        "batch", "run", "line", "prep", "amount", "left_over", "use_by", "kind", "item", "service", "day", "takes",
        "plates", "by",
    ),
    "stock": ("prep", "name", "station", "batch", "amount", "made_at", "use_by", "place"),
    "file": ("what", "said", "ok"),
    "history": ("day", "service", "plates", "par_plates", "ran_out", "clipped"),
    "sold": ("day", "service", "dish", "plates", "covers"),
    "waste": ("day", "station", "prep", "reason", "amount", "cost", "kind", "name", "because_of_size"),
    "trace": (
        "way", "depth", "batch", "prep", "goods", "lot", "amount", "made_at", "use_by", "blocked", "run", "dish",
        "service", "day", "plates", "gone", "discarded", "state", "seen", "kitchen", "note", "batch_there",
    ),
    "recipe": ("prep", "size", "item", "amount", "as_bought", "step"),
    "closing": (
        "list", "batch", "prep", "item", "station", "amount", "use_by", "reason", "why", "cost", "use_first",
        "begins", "start_by", "ready_by", "late_minutes", "as_bought", "take_out_at",
    ),
}  # fmt: skip
"""The columns of every WHAT, in order; an amount's column is followed by its unit."""

_AMOUNTS = frozenset(
    {
        "amount",
        "par",
        "on_hand",
        "under_way",
        "short",
        "over",
        "expected",
        "to_make",
        "as_bought",
        "left_over",
        "takes",
        "because_of_size",
        "got_amount",
        "ordered",
        "loaded",
        "to_load",
    },
)
UNIT = "_unit"
"""What the name of a unit's column ends with."""
RUNS_A_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")


def table(what: str, value: Any) -> str:
    """The value of one WHAT, as `as_json` shaped it, as CSV with a header; lines end with a line feed."""
    columns = COLUMNS[what]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([name for column in columns for name in _names(column)])
    for row in _rows(what, value):
        writer.writerow([cell for column in columns for cell in _cells(column, row.get(column))])
    return text.getvalue()


def _rows(what: str, value: Any) -> Iterable[Mapping[str, Any]]:
    if what == "closing":
        return [{"list": name, **row} for name, rows in value.items() for row in rows]
    if what == "rules":
        return list(value["values"])
    if what == "use-first":
        return [{**row, **way, "amount": row["amount"], "takes": way["amount"]} for row in value for way in row["into"]]
    if what == "recipe":
        return [{"prep": value["prep"], "size": value["size"], **use} for use in value["uses"]]
    rows: list[Mapping[str, Any]] = value
    return rows


def _names(column: str) -> tuple[str, ...]:
    return (column, column + UNIT) if column in _AMOUNTS else (column,)


def _cells(column: str, value: Any) -> tuple[Any, ...]:
    if column not in _AMOUNTS:
        return (_cell(value),)
    return ("" if value["amount"] is None else value["amount"], _cell(value["unit"])) if value else ("", "")


def _cell(value: Any) -> Any:
    """Numbers stay numbers; a text that a spreadsheet would take for a formula begins with an apostrophe."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value
    text = plain(_flat(value))
    guarded = text.lstrip().startswith(RUNS_A_FORMULA) and not _NUMBER.fullmatch(text)
    return "'" + text if guarded else text


def _flat(value: Any) -> str:
    """A list or an object inside one cell: "dinner 1.2 kg; lunch 0.4 kg"."""
    if isinstance(value, list):
        return "; ".join(_flat(part) for part in value)
    if isinstance(value, dict):
        return " ".join(_flat(part) for part in value.values() if part is not None)
    return str(value)
