"""The sous chef's lists: where each number comes from, and that what is shown adds up."""

from __future__ import annotations

import re
from datetime import date, timedelta
from fractions import Fraction

import pytest

from prepboard.boards.pars.mix_rows import dishes, where_from
from prepboard.boards.pars.rows import pars
from prepboard.plan.board import plan
from prepboard.plan.demand.mix import Taken
from prepboard.plan.given.state import Tonight
from tests.conftest import Kitchen, at

TODAY = date(2026, 10, 31)
DINNER = ("dinner", TODAY)
BOOK = """
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 97
[menus.table]
name = "Table"
services = ["dinner"]
share = 0.35
dishes = ["hake", "soup"]
"""
DISHES = (("hake", "main", 0.3), ("hen", "main", 0.45), ("kohlrabi", "main", 0.25), ("soup", "starter", 0.2))


@pytest.fixture
def kitchen_with_a_menu() -> Kitchen:
    text = [BOOK]
    for dish, course, share in (*DISHES, ("bread", "", 1.2)):
        of_course = f'course = "{course}"\n' if course else ""
        text.append(
            f'[dishes.{dish}]\nname = "{dish.title()}"\nservices = ["dinner"]\n{of_course}share = {share}\n'
            f'plate = {{ {dish} = "1 each" }}\n[preps.{dish}]\nname = "{dish.title()}"\nkeeps = "2 days"\n'
            'makes = "10 each"\n'
        )
    small = Kitchen("\n".join(text), "spread = 0.1\n")
    for prep in (*(dish for dish, _course, _share in DISHES), "bread"):
        small.on_hand(prep, "200 each", "2026-11-02 00:00")
    return small


def page(small: Kitchen) -> dict[str, tuple[str, str]]:
    """By dish, what is expected of it and where that comes from, as the page shows it."""
    board = plan(small.state, at("2026-10-31 09:00"))
    columns, rows = dishes(board, board, {}, DINNER)
    names = [column.heading for column in columns]
    cells = [{name: cell.text for name, cell in zip(names, row.cells, strict=True)} for row in rows]
    return {one["dish"]: (one["expected"], one["from"]) for one in cells}


def adds_up(shown: str, sources: str) -> bool:
    return sum(map(int, re.findall(r"\d+", sources))) == int(re.findall(r"\d+", shown)[0])


def test_every_source_is_named_and_the_numbers_shown_add_up(kitchen_with_a_menu):
    """97 covers: 34 choose the table's menu (33.95 hake); of the other 63.05 hake takes 30 %, hen 45 %, kohlrabi 25 %.
    Hen is off: its guests go to hake's and kohlrabi's plates by what those were asked for anyway."""
    small = kitchen_with_a_menu
    days = [TODAY - timedelta(days=back) for back in range(12, 0, -1)]
    small.more["plated"] = {("dinner", day, "bread"): 104 for day in days}
    small.tonight[DINNER] = Tonight(counts={"soup": 30}, shares={"kohlrabi": Fraction(1, 5)}, off=frozenset({"hen"}))
    found = page(small)
    assert found["Hake"][1] == "menu 34, share 19, 23 whose dish is off"
    assert found["Kohlrabi"][1] == "share by hand 13, 5 whose dish is off"
    assert found["Soup"] == ("30", "count 30")
    board = plan(small.state, at("2026-10-31 09:00"))
    (soup,) = (row for row in dishes(board, board, {}, DINNER)[1] if row.what == "Soup")
    assert (soup.words, soup.extra) == ("30", "count 30"), "a narrow screen says the count once"
    assert found["Bread"][1].startswith("sold lately 10")
    assert found["Hen"] == ("about 0", "")
    for shown, sources in found.values():
        assert adds_up(shown, sources or "0")


def test_a_percentage_is_in_what_the_page_shows(kitchen_with_a_menu):
    small = kitchen_with_a_menu
    before = page(small)
    small.tonight[DINNER] = Tonight(percent=20)
    after = page(small)
    for dish, (shown, sources) in after.items():
        assert adds_up(shown, sources)
        assert int(shown.split()[-1]) == pytest.approx(1.2 * int(before[dish][0].split()[-1]), abs=1)


@pytest.mark.parametrize(("there", "shown"), [(200, "over"), (30, "short"), (0, "short")])
def test_a_line_of_the_pars_adds_up_whether_more_or_less_is_there(kitchen_with_a_menu, there, shown):
    """par + over = on hand + under way + short."""
    small = kitchen_with_a_menu
    small.batches.clear()
    if there:
        small.on_hand("hake", f"{there} each", "2026-11-02 00:00")
    board = plan(small.state, at("2026-10-31 09:00"))
    columns, rows = pars(board, board, {}, DINNER)
    (hake,) = (row for row in rows if row.what == "Hake")
    cells = {column.heading: cell.text for column, cell in zip(columns, hake.cells, strict=True)}
    par, on_hand, under_way = (int(cells[name].strip("–") or 0) for name in ("par", "on hand", "under way"))
    n = int(cells["short"].split()[0])
    assert ("over" in cells["short"]) is (shown == "over")
    assert par + (n if shown == "over" else 0) == on_hand + under_way + (n if shown == "short" else 0)


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ((("menu", 33.4), ("share", 18.4)), "menu 34, share 18"),
        ((("menu", 0.5), ("share", 0.5), ("moved", 0.5)), "menu 1, share 1, 0 whose dish is off"),
        ((("history", 12.49),), "sold lately 12"),
    ],
)
def test_parts_are_rounded_so_that_they_add_up(parts, said):
    whole = sum(portions for _source, portions in parts)
    found = where_from(Taken("hake", Fraction(1, 2), False, None, whole, False, parts))
    assert found == said
    assert sum(map(int, re.findall(r"\d+", found))) == round(whole)
