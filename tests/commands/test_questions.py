"""What screens and commands ask of the file goes by an index wherever a table grows with the years."""

from __future__ import annotations

import re
import sqlite3
from typing import Any

import pytest

from prepboard.commands.show.showing import LISTS
from prepboard.store.actions.undoing import last
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past import batch_story, happened
from prepboard.store.past.log import counted_since
from prepboard.store.read.snapshot import newest_book

GROW = frozenset(
    {
        "actions", "log", "moves", "plates", "runs", "batches", "readings", "corrections", "changes", "food", "notes",
        "tasks_done", "signed", "services", "counts", "mixes", "pars", "portions", "taken_off", "was_off", "ran_out",
        "shorts", "hands", "equipment_that_works", "given", "staying", "added_services", "goods_discarded",
        "goods_counted", "run_lots", "timers", "codes_gone", "probe_checks",
    }
)  # fmt: skip
"""Tables that have more rows every week. The others have a row a prep, a dish, a book, a withdrawal or a setting."""

FOUND_AT_ONCE = frozenset(
    {
        "SELECT 1 FROM actions WHERE did != 'load' LIMIT 1",
        "SELECT at FROM actions WHERE did != 'load' ORDER BY number LIMIT 1",
        "SELECT entered, at FROM actions ORDER BY number LIMIT 1",
        "SELECT entered, at, by FROM actions ORDER BY number DESC LIMIT 1",
    }
)
"""These are answered by one of a table's first rows."""

WHOLE = re.compile(r"^SCAN (\w+)(?: USING (?:COVERING )?INDEX (\w+))?")


FIRST = re.compile(r"^SEARCH (\w+)(?: USING (?:COVERING )?INDEX (\w+))?$")


class Traced(sqlite3.Connection):
    """Keeps all that is asked."""

    asked: list[str]

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.set_trace_callback(self.asked.append)


@pytest.fixture
def asked(monkeypatch):
    """Every statement that is asked from here on, as SQLite got it."""
    found: list[str] = []
    monkeypatch.setattr(Traced, "asked", found, raising=False)
    real = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *words, **named: real(*words, **{"factory": Traced} | named))
    return found


DAY = (
    ("done", "lamb-jus"),
    ("start", "lamb-jus"),
    ("step", "lamb-jus"),
    ("done", "crisp"),
    ("made", "staff soup", "3", "l"),
    ("count", "lamb-jus", "1", "l"),
    ("discard", "lamb-jus", "100", "ml", "--why", "spoiled"),
    ("temp", "walk-in", "3", "C", "--probe", "Blue"),
    ("probe", "Blue", "--ice", "3"),
    ("plate", "lamb"),
    ("undo",),
    ("plate", "hen", "2"),
    ("covers", "dinner", "80"),
    ("par", "lamb-jus", "1", "l"),
    ("note", "the walk-in is warm"),
    ("86", "hen", "--why", "gone"),
    ("back", "hen"),
)
LOOKS = ("show", "waste"), ("show", "log"), ("show", "record"), ("show", "file"), ("closing",), ("label",), ("order",)


def by_no_index(path: str, statements: list[str]) -> dict[str, str]:
    """Of what is asked the statements that go through all of a table that grows, with the table."""
    found = {}
    db = sqlite3.connect(path)
    of_some = "SELECT name FROM sqlite_master WHERE type = 'index' AND sql LIKE '% WHERE %'"
    partial = {name for (name,) in db.execute(of_some)}
    for sql in dict.fromkeys(" ".join(statement.split()) for statement in statements):
        if not re.match(r"(SELECT|WITH|UPDATE|DELETE|INSERT)\b", sql) or sql in FOUND_AT_ONCE:
            continue
        for *_ids, detail in db.execute(f"EXPLAIN QUERY PLAN {sql}"):
            scan = WHOLE.match(detail)
            if scan and scan[1] in GROW and scan[2] not in partial:
                found[sql] = detail
            # The lowest or highest key: at once where it may be any row's, else row by row until one is found.
            first = FIRST.match(detail)
            if first and first[1] in GROW and first[2] not in partial and f"FROM {first[1]} WHERE" in sql:
                found[sql] = detail
    db.close()
    return found


def test_no_question_goes_through_a_table_that_grows(typed, asked):
    refused = {words: typed(*words).stderr for words in DAY}
    assert set(refused.values()) == {""}, refused
    lists = [("show", name) for names in LISTS.values() for name in names if name not in ("recipe", "trace")]
    for words in (*lists, *LOOKS):
        typed(*words)
    code = typed.json("stock")[0]["batch"]
    typed.done("show", "trace", code)
    path = typed.folder / "kitchen.db"
    file = KitchenFile.open(path)
    state = file.read()
    look_like_a_board(file, code, state)
    file.close()
    assert len(set(asked)) > 150
    assert by_no_index(str(path), asked) == {}


def look_like_a_board(file: KitchenFile, code: str, state: Any) -> None:
    happened.done_since(file, happened.last_number(file) - 1)
    happened.to_batch(file, code)
    happened.to_run(file, code)
    batch_story.story_of(file, code)
    counted_since(file, state.batches[0].made_at)
    last(file, Who("LM", "sauce"))
    with file.looking() as db:
        newest_book(db)


def test_a_question_that_goes_through_all_of_it_is_seen(typed):
    """The test above can fail."""
    wrong = [
        "SELECT * FROM moves WHERE why = ''",
        "SELECT * FROM notes ORDER BY number",
        "SELECT min(number) FROM log WHERE at >= '2026-10-31'",
        "SELECT min(at) FROM log WHERE did = 'loaded'",
    ]
    assert len(by_no_index(str(typed.folder / "kitchen.db"), wrong)) == 4
