"""Notes, tasks and signatures, typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.commands.conftest import BOOK

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.commands.conftest import Typed

TASKS = """
[tasks.drawer]
name = "Read the drawer"
station = "pastry"
when = "12:00"
hands_on = "2 min"
reads = "C"
"""


@pytest.fixture
def with_tasks(empty: Typed, write_book: Callable[[str], Path]) -> Typed:
    empty.done("load", str(write_book(BOOK + TASKS)))
    return empty


def test_a_note_is_written_read_and_ticked_off(typed: Typed) -> None:
    assert typed.done("note", "stock", "is", "hot", "--to", "sauce") == "note 1 for Sauce: stock is hot"
    typed.done("note", "eggs at ten")
    rows = typed.json("notes")
    assert [(row["number"], row["by"], row["to"], row["text"], row["done"]) for row in rows] == [
        (1, "LM", "sauce", "stock is hot", False),
        (2, "LM", None, "eggs at ten", False),
    ]
    assert rows[0]["at"] == "2026-10-31T14:22:00+00:00"
    assert "stock is hot" not in typed.done("show", "notes", "--station", "pastry")
    assert typed.done("note", "--done", "1") == "ticked off: stock is hot"
    assert "stock is hot, ticked off 14:22 LM" in typed.done("show", "notes")
    typed.refused("note", "--done", "9")
    typed.refused("note", code=2)
    typed.refused("note", "x", "--done", "1", code=2)


def test_a_task_stands_among_the_lines_to_make_until_it_is_done(with_tasks: Typed) -> None:
    (row,) = [row for row in with_tasks.json("make") if row["task"]]
    assert (row["task"], row["station"], row["prep"], row["line"], row["late_minutes"]) == (
        "drawer", "pastry", None, None, 142,
    )  # fmt: skip
    assert row["start_by"] == "2026-10-31T12:00:00+00:00"
    with_tasks.now = "2026-10-31T13:59+00:00"
    assert "Read the drawer" in with_tasks.done("show", "make")
    with_tasks.now = "2026-10-31T14:22+00:00"
    assert "readings missed today: 1" in with_tasks.done("show", "make"), "two hours later nobody can take it any more"
    assert "asks for a reading" in with_tasks.refused("task", "drawer")
    assert "expected a temperature" in with_tasks.refused("task", "drawer", "3", "K")
    assert with_tasks.done("task", "read the drawer", "-2.5") == "Read the drawer: done, -2.5 °C"
    assert not [row for row in with_tasks.json("make") if row["task"]]
    (row,) = with_tasks.json("tasks")
    assert (row["done"], row["done_by"], row["reading"]) == (True, "LM", {"degrees": -2.5, "unit": "C"})
    assert "done 14:22 LM, -2.5 °C" in with_tasks.done("show", "tasks")
    with_tasks.done("undo")
    with_tasks.done("task", "drawer", "37 F")


def test_a_close_is_signed_by_station(typed: Typed) -> None:
    assert "no service of Sat has begun" in typed.refused("sign", "sauce")
    typed.now = "2026-10-31T23:10+00:00"
    assert typed.done("sign", "sauce") == "Sauce: close of 2026-10-31 signed by LM"
    typed.refused("sign", code=2)
    assert typed("sign", PREPBOARD_STATION="pastry").exit_code == 0
    assert "was signed at 23:10 by LM" in typed.refused("sign", "pastry")


def test_a_note_on_who_is_coming_reaches_the_benches_of_those_plates(typed: Typed) -> None:
    """A dish of two benches, a service, another day; what is said twice or of nothing is refused."""
    said = typed.done("note", "table 12: no celery", "--dish", "braised hen")
    assert said == "note 1 for Dinner of Sat, Braised hen: table 12: no celery"
    assert "no celery" in typed.done("show", "notes", "--station", "sauce")
    assert "no celery" not in typed.done("show", "notes", "--station", "pastry"), "nothing of pastry is on that plate"
    assert "Dinner: Braised hen" in typed.done("show", "notes")
    assert typed.json("notes")[0]["to"] == "dinner.2026-10-31 hen"
    typed.done("note", "a late table at 22:00", "--service", "dinner")
    assert "late table" in typed.done("show", "notes", "--station", "pastry")
    assert "Dinner: Braised hen" in typed.done("show", "log"), "people read names there too"
    typed.refused("note", "x", "--dish", "hen", "--to", "sauce", code=2)
    assert "there is no Sunday brunch on Tue 3 Nov" in typed.refused(
        "note", "x", "--service", "brunch", "--day", "2026-11-03"
    )
