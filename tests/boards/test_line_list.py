"""The list: known by key, redrawn by difference, and never moved by someone else's change."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

import pytest
from rich.cells import cell_len
from screens import Until
from textual.app import App, ComposeResult
from textual.message import Message
from textual.pilot import Pilot
from textual.scrollbar import ScrollBar
from textual.strip import Strip

from prepboard.boards.app.looks import DARK
from prepboard.boards.widgets.bar import Bar
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.row import Row


class OneList(App[None]):
    """A list of eight lines high with names in it."""

    CSS = "LineList { height: 8; width: 60; }"

    def __init__(self, names: str) -> None:
        super().__init__()
        self.names = names
        self.told: list[Message] = []
        self.register_theme(DARK)
        self.theme = DARK.name

    def compose(self) -> ComposeResult:
        yield LineList(id="list")

    def on_mount(self) -> None:
        self.put(self.names)
        self.list.focus()

    @property
    def list(self) -> LineList:
        return self.query_one(LineList)

    def put(self, names: str) -> None:
        self.list.show(tuple(Row(name, "14:00", f"prep {name}") for name in names), empty="Nothing here.")

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        self.told.append(event)

    def on_line_list_row_went(self, event: LineList.RowWent) -> None:
        self.told.append(event)

    def on_line_list_cursor_left(self, event: LineList.CursorLeft) -> None:
        self.told.append(event)

    @property
    def top(self) -> str:
        """The first row in sight."""
        return self.list.rows[int(self.list.scroll_offset.y) // self.list.lines].key

    def line(self, y: int) -> str:
        return "".join(segment.text for segment in self.list.render_line(y))


@pytest.fixture
def at(until: Until) -> Callable[..., Awaitable[None]]:
    """Puts the cursor on a row by keys: `await at(pilot, "d")`."""

    async def moved(pilot: Pilot[None], key: str) -> None:
        app = pilot.app
        assert isinstance(app, OneList)
        await until(pilot, lambda: app.list.has_focus)
        for place, row in enumerate(app.list.rows):
            await pilot.press("down" if place else "home")
            await until(pilot, lambda row=row: app.list.cursor == row.key)
            if row.key == key:
                return

    return moved


@pytest.mark.parametrize(
    ("before", "after", "cursor"),
    [
        ("abcdef", "bcdef", "d"),
        ("abcdef", "xyabcdef", "d"),
        ("abcdef", "fedcba", "d"),
        ("abcdef", "abcdefgh", "d"),
        ("abcdef", "d", "d"),
    ],
    ids=["one deleted above", "two added above", "another order", "more below", "all others gone"],
)
async def test_the_cursor_stays_on_its_row(at: Until, before: str, after: str, cursor: str) -> None:
    """Whatever others do to the list, the next key acts on the row that it was meant for."""
    app = OneList(before)
    async with app.run_test(size=(80, 24)) as pilot:
        await at(pilot, cursor)
        app.put(after)
        await pilot.pause()
        assert app.list.cursor == cursor
        assert app.list.row == Row(cursor, "14:00", f"prep {cursor}")
        assert not app.told
        marked = [key for y, key in enumerate(after) if app.line(y).startswith(" ▸ ")]
        assert marked == [cursor]


@pytest.mark.parametrize(
    ("after", "near"),
    [("abcef", "e"), ("abef", "e"), ("abc", "c"), ("xy", "x"), ("", None)],
    ids=["the one below", "the next one that stayed", "else the one above", "else the first", "nothing is left"],
)
async def test_a_row_that_vanishes_leaves_the_cursor_near_and_says_so(
    at: Until, until: Until, after: str, near: str | None
) -> None:
    app = OneList("abcdef")
    async with app.run_test(size=(80, 24)) as pilot:
        await at(pilot, "d")
        app.put(after)
        assert app.list.cursor == near
        await until(pilot, lambda: app.told)
        (went,) = app.told
        assert isinstance(went, LineList.RowWent)
        assert went.row.what == "prep d"


async def test_nobody_is_told_of_rows_that_the_cursor_was_not_on(at: Until) -> None:
    app = OneList("abcdef")
    async with app.run_test(size=(80, 24)) as pilot:
        app.put("def")
        await at(pilot, "d")
        app.put("d")
        await pilot.pause()
        assert not app.told


async def test_a_change_above_does_not_scroll_away_what_is_read(at: Until) -> None:
    app = OneList("abcdefghijklmnopqrst")
    async with app.run_test(size=(80, 24)) as pilot:
        await at(pilot, "n")
        top = app.top
        assert top != "a"
        app.put("xyzabcdefghijklmnopqrst")
        await pilot.pause()
        assert app.top == top
        app.put("cdefghijklmnopqrst")
        await pilot.pause()
        assert app.top == top
        assert app.list.cursor == "n"


async def test_the_row_under_the_cursor_stays_in_sight(at: Until) -> None:
    """Twenty rows come between what is in sight at the top and the cursor: the list follows the cursor."""
    app = OneList("abcdefghijklmnopqrst")
    async with app.run_test(size=(80, 24)) as pilot:
        await at(pilot, "n")
        app.put("abcdefghijklm" + "ABCDEFGHIJKLMNOPQRST" + "nopqrst")
        await pilot.pause()
        place = next(y for y in range(8) if "prep n" in app.line(y))
        assert app.line(place).startswith(" ▸ ")


async def test_only_lines_that_changed_are_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    app = OneList("abcdef")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        drawn: list[tuple[int, int]] = []
        monkeypatch.setattr(app.list, "refresh_lines", lambda y, count=1: drawn.append((y, count)))
        monkeypatch.setattr(app.list, "refresh", lambda *_args, **_named: drawn.append((-1, 0)))
        app.put("abcdef")
        assert drawn == []
        app.put("abcxef")
        assert drawn == [(3, 1)]


async def test_of_a_row_that_came_what_slid_is_drawn_at_once_and_only_as_far_as_it_is_in_sight(monkeypatch) -> None:
    app = OneList("abcdefghijkl")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        drawn: list[tuple[int, int]] = []
        monkeypatch.setattr(app.list, "refresh_lines", lambda y, count=1: drawn.append((y, count)))
        app.put("abcdefghijxkl")
        assert drawn == []
        app.put("abxdyfghijxkl")
        assert drawn == [(2, 1), (4, 1)]
        drawn.clear()
        app.put("zabxdyfghijxkl")
        assert drawn == [(0, 8)]


@pytest.mark.parametrize("lines", [1, 2])
async def test_what_changed_out_of_sight_is_drawn_once_it_comes_into_sight(lines: int) -> None:
    """By scrolling, and where the list becomes higher."""
    app = OneList("abcdefghijklmnopqrst")

    def put(names: str) -> None:
        rows = tuple(Row(name, "14:00", f"prep {name}") for name in names)
        app.list.show(rows, empty="", fold=lines == 2)

    async with app.run_test(size=(80, 24)) as pilot:
        put("abcdefghijklmnopqrst")
        await pilot.pause()
        app.list.styles.height = 4
        await pilot.pause()
        put("abcdeXghijklmnopqrsT")
        await pilot.pause()
        app.list.styles.height = 16
        await pilot.pause()
        assert "prep X" in shown(app)
        assert "prep f" not in shown(app)
        await pilot.press("end")
        await pilot.pause()
        assert "prep T" in shown(app)


def strips_of(app: OneList) -> list[Strip]:
    strips: list[Strip] = app.screen._compositor.render_strips()
    return strips


def shown(app: OneList) -> str:
    return "\n".join(strip.text for strip in strips_of(app))


async def test_the_bar_of_a_list_is_drawn_as_textual_draws_it_and_only_what_of_it_moved() -> None:
    app = OneList("abcdefghijklmnopqrst")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        bar = app.list.vertical_scrollbar
        for names in ("abcdefghijklmnopqrstuv", "abcdefghi", "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"):
            for key in ("", "end", "up", "home"):
                app.put(names)
                if key:
                    await pilot.press(key)
                await pilot.pause()
                ScrollBar._render_content(bar)
                by_textual = bar._render_cache.lines
                bar._render_content()
                assert bar._render_cache.lines == by_textual
                assert on_screen(app, bar) == [line.text for line in by_textual]


async def test_a_row_more_draws_two_lines_of_a_bar_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    app, worked_out, drawn_by = OneList("abcdefghijklmnopqrst"), list[Bar](), Bar._drawn
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        bar, drawn = app.list.vertical_scrollbar, 0
        strips_of(app)
        monkeypatch.setattr(Bar, "_drawn", lambda its: worked_out.append(its) or drawn_by(its))
        for more in "uvwxyz":
            strips_of(app)  # as painted
            bar._repaint_regions.clear()
            app.names += more
            app.put(app.names)
            drawn = max(drawn, sum(region.height for region in bar._repaint_regions))
            await pilot.pause()
        strips_of(app)
        assert 0 < drawn <= 2
        assert len(worked_out) == len("uvwxyz")


def on_screen(app: OneList, bar: ScrollBar) -> list[str]:
    region = bar.region
    return [strip.crop(*region.column_span).text for strip in strips_of(app)[region.y : region.bottom]]


async def test_a_tap_puts_the_cursor_and_a_second_tap_opens(until: Until) -> None:
    app = OneList("abcdef")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.click(LineList, offset=(5, 2))
        await until(pilot, lambda: app.list.cursor == "c")
        assert app.told == []
        await pilot.click(LineList, offset=(30, 2))
        await until(pilot, lambda: app.told)
        (opened,) = app.told
        assert isinstance(opened, LineList.RowOpened)
        assert opened.row.key == "c"
        await pilot.click(LineList, offset=(5, 7))
        assert (app.list.cursor, len(app.told)) == ("c", 1)


async def test_moving_past_an_end_is_told_to_the_board(at: Until, until: Until) -> None:
    app = OneList("ab")
    async with app.run_test(size=(80, 24)) as pilot:
        for key, press, direction in (("b", "down", 1), ("a", "up", -1)):
            await at(pilot, key)
            await pilot.press(press)
            await until(pilot, lambda: app.told)
            (left,) = app.told
            assert isinstance(left, LineList.CursorLeft)
            assert (left.direction, app.list.cursor) == (direction, key)
            app.told.clear()


async def test_without_rows_it_says_its_sentence() -> None:
    app = OneList("")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.line(0).strip() == "Nothing here."
        await pilot.press("enter", "pagedown", "end")
        assert app.list.cursor is None


@pytest.mark.parametrize("fold", [False, True], ids=["one line", "two lines"])
async def test_unkind_names_are_drawn_as_text_within_the_width(fold: bool) -> None:
    names = ("[red]x[/red]", "\x1b[31mx\x1b[0m", "🦆 duck", "רוטב כבש", "羊肉汁", "n" * 300)
    rows = tuple(Row(str(place), "14:00", name, "1.2 l", "in 5 min", name) for place, name in enumerate(names))
    app = OneList("")
    async with app.run_test(size=(80, 24)) as pilot:
        app.list.show(rows, empty="", fold=fold)
        await pilot.pause()
        drawn = [app.line(y) for y in range(8)]
        assert all(cell_len(line) == app.list.scrollable_content_region.width for line in drawn)
        assert "[red]x[/red]" in drawn[0]
        assert not any("\x1b" in line for line in drawn)


async def test_folded_rows_are_two_lines_and_one_tap_target(until: Until) -> None:
    rows = tuple(Row(key, "14:00", f"prep {key}", "1 l", "in 5 min") for key in "abc")
    app = OneList("")
    async with app.run_test(size=(80, 24)) as pilot:
        app.list.show(rows, empty="", fold=True)
        await pilot.pause()
        assert [app.line(y).split() for y in (2, 3)] == [["14:00", "prep", "b"], ["1", "l", "in", "5", "min"]]
        await pilot.click(LineList, offset=(5, 3))
        await until(pilot, lambda: app.list.cursor == "b")
