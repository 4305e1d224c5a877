"""Bring to the line on a station's board: the same things in the same words as on paper, and each can be opened."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from boards.at_a_station import ANOTHER, JUS, NOW
from textual.widgets import Static

from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.rows import bring_rows
from prepboard.boards.station.as_text import texts
from prepboard.boards.station.bring import BringScreen
from prepboard.boards.widgets.line_list import LineList
from prepboard.paper.lists.bringing import bring
from prepboard.plan.board import plan
from prepboard.store.actions.food import making
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def jus(file: KitchenFile) -> str:
    return making.done(file, ANOTHER, prep="jus", size=1).batches[0]


def test_what_a_bench_brings_is_said_as_on_paper(file: KitchenFile, jus: str) -> None:
    board = plan(file.read(), NOW)
    rows = bring_rows.rows(board, ("sauce",))
    assert [row.when for row in rows] == sorted((row.when for row in rows), key="not made yet".__eq__)
    assert {row.what for row in rows} == {JUS, "Chive oil", "Onion soubise", "Rye crumb"}
    paper = " ".join(" ".join(bring(board, 200)).split())
    for row in rows:
        assert " ".join(f"{row.when} {row.what} {row.amount} {row.words}".split()) in paper
    assert bring_rows.heading(board) in paper
    assert [row.what for row in bring_rows.rows(board, ("roast",))] == ["Roast potatoes"]


@pytest.mark.parametrize(
    ("minutes", "reminds"),
    [(-61, False), (-60, True), (-1, True), (1, False)],
    ids=["long before", "an hour before", "just before", "the service runs"],
)
def test_a_board_reminds_in_the_hour_before_it_must_stand_there(file: KitchenFile, minutes: int, reminds: bool) -> None:
    state = file.read()
    set_by = plan(state, NOW).sittings[0].set_by
    board = plan(state, set_by + timedelta(minutes=minutes))
    said = bring_rows.reminder(board, ("sauce",))
    assert bool(said) is reminds
    assert (f"4 things to bring to the line by {set_by:%H:%M}: f" in texts(board, ("sauce",))) is reminds
    assert not bring_rows.reminder(board, ("nobody's",))


async def test_the_page_opens_by_a_key_and_its_rows_open(desk: Callable[..., Any], file: KitchenFile, jus: str) -> None:
    async with desk(shows=["Chive oil", "Onion soubise", "Rye crumb"]) as it:
        await it.choose("f")
        assert isinstance(it.app.screen, BringScreen)
        list_ = it.app.screen.query_one(LineList)
        assert list_.rows[0].words.startswith(jus)
        await it.choose("down", "enter")
        assert isinstance(it.app.screen, LineScreen)
        assert jus in str(it.app.screen.query_one("#line-title", Static).render())
        await it.choose("escape")
        await it.choose("end", "enter")
        said = str(it.app.screen.query_one("#text", Static).render())
        assert "not made yet, to the line by 18:00" in said
        assert " on a plate" in said
        await it.choose("escape")
        making.done(file, ANOTHER, prep="soubise", size=1)
        await it.until(it.pilot, lambda: sum(row.when == "not made yet" for row in list_.rows) == 2)
        await it.choose("f")
        assert it.app.screen is it.board
