"""What cannot be ready before its sitting is over is folded on bench and wall, and open on the sous chef's board."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

from conftest import Kitchen
from msgspec.structs import replace
from random_kitchens import kitchen as random_kitchen

from prepboard.boards.closing import rows as closing_rows
from prepboard.boards.pars.late_rows import best_helps, late
from prepboard.boards.pars.rows import pars
from prepboard.boards.rows import lists as rows
from prepboard.boards.rows.not_for import not_for, off_row
from prepboard.boards.rows.station_view import view
from prepboard.boards.wall.view import sections as on_the_wall
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.helping import worst
from prepboard.plan.given.state import Tonight
from prepboard.plan.shown.lines import MakeLine, Serves

SAUCE = ("sauce",)
L = 10**9


def with_too_late(board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]) -> Board:
    """The jus cannot be ready before dinner is over, and the stock is only for it."""
    missed: dict[str, Any] = {"too_late": True, "not_for": (("dinner", date(2026, 10, 31)),)}
    jus = replace(make("jus", L, moment("14:40")), **missed, on_hand=0, under_way=0, ready_at=moment("23:40"))
    only_for_jus = (Serves("dinner", "jus", date(2026, 10, 31), L),)
    stock = replace(make("stock", L, moment("14:30"), serves=only_for_jus, par=None), **missed)
    oil = make("chive-oil", L, moment("15:05"))
    return board(make=(stock, jus, oil))


def test_it_is_one_row_that_names_the_dishes(
    board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    now = with_too_late(board, make, moment)
    assert [line.prep for line in not_for(now)] == ["stock", "jus"]
    assert [row.what for row in rows.to_make(now, SAUCE)] == ["Chive oil"]
    section = next(one for one in view(now, SAUCE).sections if one.name == "to-make")
    last = section.rows[-1]
    assert last.what.startswith("not for dinner: ")
    assert "Lamb jus" in last.what
    assert last.words.startswith("no ")
    assert len(section.rows) == 2


def test_the_sous_chef_sees_each_of_them(
    board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    now = with_too_late(board, make, moment)
    _columns, found = late(now)
    assert any(cell.text == "not for dinner" for row in found for cell in row.cells)


def test_its_par_says_so_too_and_no_hours(
    board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    now = with_too_late(board, make, moment)
    _columns, found = pars(now, now, {}, ("dinner", date(2026, 10, 31)))
    says = {row.what: row.cells[-1] for row in found}
    assert says["Lamb jus"].text.endswith(", not for dinner")
    assert says["Lamb jus"].brief == "1 l not for dinner"
    assert says["Lamb jus"].tone == "late"


def test_where_nothing_is_too_late_nothing_is_folded(board: Callable[..., Board]) -> None:
    assert not_for(board()) == []


def test_the_sous_chef_reads_what_helps_best_before_all_else() -> None:
    now = plan(random_kitchen(0, 6, tight=True), datetime(2026, 10, 31, 14, 0, tzinfo=UTC))
    best = best_helps(now)
    assert best
    assert set(best) <= {str(line.line) for line in worst(now)}
    _columns, found = late(now, best)
    assert {row.key: row.extra.split("; ")[0] for row in found if row.key in best} == best


def test_on_the_day_on_which_the_kitchen_began_nobody_missed_it_and_it_says_from_tomorrow(
    board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    now = with_too_late(board, make, moment)
    first_day = replace(now, state=replace(now.state, new_at=now.now))
    section = next(one for one in view(first_day, SAUCE).sections if one.name == "to-make")
    assert section.rows[-1].what == "from tomorrow: Brown stock, Lamb jus"
    before = replace(now, state=replace(now.state, new_at=now.now - timedelta(days=1)))
    section = next(one for one in view(before, SAUCE).sections if one.name == "to-make")
    assert section.rows[-1].what.startswith("not for dinner: ")


SLOW = """
[stations.hot]
name = "Hot"
[services.dinner]
name = "Dinner"
starts = "18:00"
ends = "22:00"
covers = 40
[preps.jus]
name = "Jus"
station = "hot"
keeps = "3 days"
makes = "2 l"
steps = [{ do = "Reduce", hands_on = "20 min", wait = "9 h" }]
[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 1
plate = { jus = "40 ml" }
"""
"""At 14:00 the jus cannot be ready before 23:20."""


def folded(now: str) -> dict[str, list[str]]:
    """What says "not for Dinner" on each board."""
    plan = Kitchen(SLOW).plan(now)
    lists = {
        "bench": view(plan, ("hot",)).sections,
        "wall": tuple(one for page in on_the_wall(plan) for one in page),
        "close": closing_rows.sections(plan, ("hot",), ()),
    }
    return {
        board: [f"{row.what} → {row.words}" for one in of for row in one.rows if row.what.startswith("not for Dinner")]
        for board, of in lists.items()
    }


def test_bench_wall_and_close_fold_it_and_name_the_dishes_that_it_takes() -> None:
    said = ["not for Dinner: Jus → no Duck"]
    assert folded("2026-10-31 14:00") == {"bench": said, "wall": said, "close": said}


def test_the_close_counts_as_starts_only_what_somebody_begins(
    board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    now = with_too_late(board, make, moment)
    only_folded = board(make=tuple(line for line in now.make if line.too_late))
    closed = {name: closing_rows.sections(one, SAUCE, ())[0] for name, one in (("some", now), ("none", only_folded))}
    headings = {name: closing_rows.left_in(section, section.rows) for name, section in closed.items()}
    assert headings == {"some": ("1", "next: 15:05 Chive oil"), "none": ("Nothing starts tonight.",)}


def test_it_goes_when_the_sitting_is_over_and_the_next_need_asks_for_itself() -> None:
    assert folded("2026-10-31 23:05") == {"bench": [], "wall": [], "close": []}
    (line,) = [line for line in Kitchen(SLOW).plan("2026-10-31 23:05").make if line.serves[0].day.day == 1]
    assert not line.too_late


def test_a_line_that_nobody_pressed_says_when_it_was_due(
    board: Callable[..., Board], make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    """It is in time, so it says no more than that."""
    now = board(make=(replace(make("jus", L, moment("14:22")), due_at=moment("13:53")),))
    (row,) = rows.to_make(now, SAUCE)
    assert row.extra.startswith("due on 13:53, not pressed")
    assert row.tone != "late"


def test_what_only_a_dish_needs_that_is_off_folds_to_one_row(board: Callable[..., Board]) -> None:
    """The row opens the dish, so that no key acts on another line."""
    shown = board()
    dinner = next((one.service, one.day) for one in shown.sittings)
    dish = next(one for one in shown.state.book.dishes.values() if dinner[0] in one.services)
    off = {**shown.state.tonight, dinner: replace(shown.state.tonight.get(dinner, Tonight()), off=frozenset({dish.id}))}
    without = replace(shown, state=replace(shown.state, tonight=off), make=())
    benches = tuple(shown.state.book.stations)
    row = off_row(without, rows.voice_of(without), benches, {dinner})
    assert row is not None
    assert (row.key, row.what) == (dish.id, f"off: {dish.name}")
    assert row.words.startswith("no more ")
    assert off_row(shown, rows.voice_of(shown), benches, {dinner}) is None, "nobody took it off"
