"""The wall: all stations, in pages that turn by themselves, and nothing that acts."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest
from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from prepboard.boards.app.app import BoardApp
from prepboard.boards.rows.station_view import Section
from prepboard.boards.wall import board as wall_screen
from prepboard.boards.wall.board import WallScreen
from prepboard.boards.wall.pages import FOLDED, TWO_COLUMNS, Lines, pages
from prepboard.boards.wall.view import sections
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.row import Row
from prepboard.clock import FixedClock
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import MakeLine, StationWork
from prepboard.resources import config_folder
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.dishes import take_off
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

Boards = Callable[..., Board]
Make = Callable[..., MakeLine]
Moment = Callable[..., datetime]
MILLION = 1_000_000
NOW = datetime(2026, 10, 30, 14, 0, tzinfo=UTC)


def text_of(page: Lines) -> list[str]:
    return ["".join(text for text, _tone in line) for line in page]


def by_name(board: Board) -> dict[str, Section]:
    return {section.name: section for column in sections(board) for section in column}


def test_the_next_starts_of_all_stations_stand_together(board: Boards) -> None:
    starts = by_name(board())["starts"].rows
    assert [(row.what, row.extra) for row in starts if row.when in ("14:22", "15:30")] == [
        ("Onion soubise", "sauce"),
        ("Custard", "pastry"),
    ]


def test_what_starts_after_the_business_day_is_not_on_the_wall(board: Boards, make: Make, moment: Moment) -> None:
    tomorrow = board(make=(make("jus", MILLION, moment("3:59", 32)), make("trout", MILLION, moment("4:01", 32))))
    assert [row.what for row in by_name(tomorrow)["starts"].rows] == ["Lamb jus"]


def test_once_nothing_begins_tonight_any_more_each_bench_says_what_it_begins_with(
    board: Boards, make: Make, moment: Moment
) -> None:
    tomorrow = (make("jus", MILLION, moment("8:30", 32)), make("soubise", MILLION, moment("9:30", 32)))
    starts = by_name(board(make=tomorrow))["starts"].rows
    assert [(row.when, row.what, row.words) for row in starts] == [("Sun 08:30", "Lamb jus", "tomorrow")]


def test_only_what_is_due_within_the_hour_stands_under_way(board: Boards, moment: Moment) -> None:
    due = by_name(board(now=moment("15:00")))["due"]
    assert [row.key for row in due.rows] == ["run R1"]  # at 15:40; R2 at 16:10 is more than an hour away
    later = by_name(board(now=moment("13:00")))["due"]
    assert (later.rows, later.empty) == ((), "Nothing is due within the hour.")


def test_an_over_full_station_is_named_first_with_its_word(board: Boards, moment: Moment) -> None:
    work = (StationWork("sauce", moment("18:00"), 200, 100), StationWork("roast", moment("18:00"), 200, 240))
    shown = by_name(board(work=work))["work"].rows
    assert [row.words for row in shown] == ["needs 40 min of help", "1 h 40 of work, 3 h 20 of hands"]
    assert [row.tone for row in shown] == ["late", "plain"]


def test_work_that_is_left_when_service_runs_is_behind(board: Boards, moment: Moment) -> None:
    section = by_name(board(now=moment("19:00"), work=(StationWork("sauce", moment("19:00"), 0, 67),)))["work"]
    assert section.heading == "WORK NOT DONE BEFORE SERVICE"
    assert [row.words for row in section.rows] == ["1 h 07 behind"]


def test_while_a_service_runs_nobody_is_told_that_all_was_done(board: Boards, moment: Moment) -> None:
    """Nothing is left to begin, and what is under way for it may be overdue all the same."""
    work = (StationWork("sauce", moment("19:00"), 0, 0),)
    assert "work" not in by_name(board(now=moment("19:00"), work=work))
    assert by_name(board(now=moment("17:00"), work=(StationWork("sauce", moment("18:00"), 60, 0),)))["work"].empty


def test_what_runs_out_first_stands_first(board: Boards) -> None:
    shown = by_name(board())["left"].rows
    outs = [left.runs_out_at for row in shown for left in board().left if left.dish == row.key and not left.eighty_six]
    known = [out for out in outs if out is not None]
    assert known == sorted(known)
    assert outs == [*known, *[None] * (len(outs) - len(known))]


rows_of = st.lists(
    st.builds(
        Row,
        key=st.uuids().map(str),
        when=st.sampled_from(["14:10", "tonight", ""]),
        what=st.text(st.characters(categories=["L", "Zs"]), min_size=1, max_size=60),
        amount=st.sampled_from(["2 kg", "12 each", ""]),
        words=st.sampled_from(["late 12 min", "in 3 h", ""]),
    ),
    max_size=30,
    unique_by=lambda row: row.key,
)


@given(st.lists(rows_of, min_size=5, max_size=5), st.integers(20, 220), st.integers(6, 50))
@settings(max_examples=drawn_of(60), deadline=None)
def test_pages_fit_and_show_every_row_once(found: list[list[Row]], width: int, height: int) -> None:
    made = [Section(f"s{at}", f"HEADING {at}", (), tuple(rows), "Nothing.") for at, rows in enumerate(found)]
    shown = [page.lines for page in pages((tuple(made[:3]), tuple(made[3:])), width, height)]
    assert all(len(page) <= height for page in shown)
    assert all(cell_len(line) <= width for page in shown for line in text_of(page))
    if width < TWO_COLUMNS:
        lines = [line for page in shown for line in page]
        headings = sum(1 for line in text_of(lines) if line.strip().startswith("HEADING"))
        blank = sum(1 for line in text_of(lines) if not line.strip() and line == " ")
        rows = sum((2 if width < FOLDED else 1) * len(section.rows) or 1 for section in made)
        assert len(lines) == headings + blank + rows


def test_what_is_left_comes_first_where_there_is_one_column_and_the_service_runs(board: Boards) -> None:
    columns = sections(board())
    first = text_of(pages(columns, 120, 40, "left")[0].lines)[0]
    assert first.startswith(" LEFT FOR DINNER")
    assert text_of(pages(columns, 120, 40)[0].lines)[0].startswith(" NEXT TO START")
    assert text_of(pages(columns, 160, 40, "left")[0].lines)[0].startswith(" NEXT TO START")


def test_neither_column_is_cut_while_the_other_has_room_to_spare() -> None:
    long = Section("left", "LEFT", (), (Row("a", what="A dish with a long name " * 3, words="86, no " + "n" * 20),), "")
    short = Section("starts", "NEXT", (), (Row("b", "14:10", "Jus", "2 l", "in 3 min"),), "")
    (page,) = pages(((short,), (long,)), 150, 20)
    assert "n" * 20 in " ".join(text_of(page.lines))


# On a file


@pytest.fixture
def file(tmp_path: Path) -> Iterator[KitchenFile]:
    (tmp_path / "shared").mkdir()
    opened = KitchenFile.open(tmp_path / "shared" / "kitchen.db", FixedClock(NOW), create=True, random=Random(1))
    load_book(opened, Who("jp", ""), config_folder() / "starter")
    yield opened
    opened.close()


async def test_the_wall_turns_its_pages_and_acts_on_nothing(
    file: KitchenFile, until: Callable[..., Awaitable[None]]
) -> None:
    before = file.data_version()
    async with BoardApp(WallScreen(file)).run_test(size=(44, 12)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, WallScreen)
        wall, answer = screen.query_one("#wall", PlainLine), screen.query_one("#answer", PlainLine)
        await until(pilot, lambda: "NEXT TO START" in wall.text)
        assert answer.text.startswith(" page 1 of ")
        first = wall.text
        await pilot.press("space")
        assert wall.text != first
        assert answer.text.startswith(" page 2 of ")
        for key in ("s", "d", "p", "u", "i", "enter"):
            await pilot.press(key)
        assert pilot.app.screen is screen
    assert file.data_version() == before


async def test_a_wall_that_is_not_live_says_so_and_shows_no_large_clock(
    file: KitchenFile, until: Callable[..., Awaitable[None]]
) -> None:
    async with BoardApp(WallScreen(file)).run_test(size=(160, 45)) as pilot:
        screen = pilot.app.screen
        await until(pilot, lambda: "NEXT TO START" in screen.query_one("#wall", PlainLine).text)
        assert screen.query_one("#clock").display
        file.path.parent.rename(file.path.parent.with_name("elsewhere"))
        await until(pilot, lambda: "not live since" in screen.query_one("#title", PlainLine).text)
        assert not screen.query_one("#clock").display


async def test_what_has_just_become_86_turns_the_wall_to_its_page(
    file: KitchenFile, until: Callable[..., Awaitable[None]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(wall_screen, "STAYS", 3600.0)
    async with BoardApp(WallScreen(file)).run_test(size=(60, 12)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, WallScreen)
        wall = screen.query_one("#wall", PlainLine)
        await until(pilot, lambda: "NEXT TO START" in wall.text)
        assert "LEFT FOR" not in wall.text
        assert screen.board is not None
        sitting, dish = screen.board.sittings[0], screen.board.left[0].dish
        take_off(file, Who("jp", ""), (sitting.service, sitting.day), dish, "none came")
        await until(pilot, lambda: "taken off" in wall.text)
        assert "LEFT FOR" in wall.text
        await pilot.press("space")
        assert "taken off" not in wall.text  # once seen, the pages go on turning
        screen.show(screen.board)
        assert "taken off" not in wall.text


async def test_a_low_wall_has_its_title_too(file: KitchenFile, until: Callable[..., Awaitable[None]]) -> None:
    async with BoardApp(WallScreen(file)).run_test(size=(80, 24)) as pilot:
        title = pilot.app.screen.query_one("#title", PlainLine)
        lists = pilot.app.screen.query_one("#lists")
        await until(pilot, lambda: "14:00" in title.text)
        assert title.region.height > 0
        assert title.region.bottom <= lists.region.y


async def test_a_page_has_no_more_lines_than_there_is_room_for(
    file: KitchenFile, until: Callable[..., Awaitable[None]]
) -> None:
    async with BoardApp(WallScreen(file)).run_test(size=(80, 24)) as pilot:
        screen = pilot.app.screen
        wall = screen.query_one("#wall", PlainLine)
        await until(pilot, lambda: "NEXT TO START" in wall.text)
        assert isinstance(screen, WallScreen)
        for size in ((44, 24), (50, 40), (64, 36), (90, 36), (100, 30), (160, 45)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert size[1] - screen._frame(size[1]) == screen.query_one("#lists").region.height, size
