"""What is read out of a board's escape codes is what the board drew, letter by letter and colour by colour."""

from __future__ import annotations

from typing import Any

import pytest
from rich.cells import cell_len
from textual.drivers.headless_driver import HeadlessDriver

from prepboard.boards.app.app import BoardApp
from prepboard.boards.closing.board import ClosingScreen
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.station.board import StationScreen
from prepboard.boards.wall.board import WallScreen
from prepboard.boards.web.cells import PLAIN, Cells

SIZES = [(80, 24), (44, 24)]
"""Letter by letter larger screens are in test_pictures_of_all.py, which reads them as a page does."""


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Cells:
    """A terminal that is none: everything that Textual writes to it is read, in all its colours. (What a colour is
    written as is kept with the colour, for all tests of a process.)"""
    cells = Cells(80, 24)
    monkeypatch.setattr("textual.constants.COLOR_SYSTEM", "truecolor")
    monkeypatch.setattr(HeadlessDriver, "is_headless", property(lambda self: False))
    monkeypatch.setattr(HeadlessDriver, "write", lambda self, data: cells.feed(data))
    return cells


def looks(app: BoardApp) -> list[list[tuple[str, str, str, bool]]]:
    """Cell by cell what Textual's compositor has: the letter, its colours, whether it is bold."""
    lines = []
    for strip in app.screen._compositor.render_strips(app.size):
        line = []
        for text, style, _control in strip:
            ink = style.color.triplet.hex if style and style.color and style.color.triplet else ""
            paper = style.bgcolor.triplet.hex if style and style.bgcolor and style.bgcolor.triplet else ""
            line += [(letter, ink, paper, bool(style and style.bold)) for letter in text if cell_len(letter)]
        lines.append(line)
    return lines


def read(cells: Cells) -> list[list[tuple[str, str, str, bool]]]:
    lines = []
    for y in range(cells.height):
        runs = cells.line(y)
        lines.append([(letter, ink, paper, "b" in flags) for text, (flags, ink, paper), _ in runs for letter in text])
    return lines


async def settled(pilot: Any, app: BoardApp) -> None:
    before = None
    while before != (before := looks(app)):
        await pilot.pause(0.05)


@pytest.mark.parametrize("which", ["station", "pars", "closing", "wall"])
async def test_the_lines_are_those_that_the_board_drew(which: str, file: Any, until: Any, drawn: Cells) -> None:
    screen = {
        "station": lambda: StationScreen(file, ("sauce",), "LM"),
        "pars": lambda: ParsScreen(file, "", "MR"),
        "closing": lambda: ClosingScreen(file, (), "DK"),
        "wall": lambda: WallScreen(file),
    }[which]()
    app = BoardApp(screen)
    async with app.run_test(size=(drawn.width, drawn.height)) as pilot:
        await until(pilot, lambda: screen.board is not None)
        for size in SIZES:
            if size != (drawn.width, drawn.height):
                drawn.resize(*size)
                await pilot.resize_terminal(*size)
            more = ("down", "question_mark", "escape", "e", "escape") if size == SIZES[0] else ("question_mark",)
            for key in ("", *more):
                if key and which != "wall":
                    await pilot.press(key)
                await settled(pilot, app)
                assert [text(line) for line in read(drawn)] == [text(line) for line in looks(app)], (size, key)
                assert worn(read(drawn)) == worn(looks(app)), (size, key)
            if app.screen is not screen:
                await pilot.press("escape")
    assert drawn.unknown == 0


def text(line: list[tuple[str, str, str, bool]]) -> str:
    return "".join(letter for letter, *_rest in line).rstrip()


def worn(lines: list[list[tuple[str, str, str, bool]]]) -> list[list[tuple[str, str, str, bool]]]:
    """What is seen of colours: of letters their own, of blanks nothing but what is behind them."""
    return [[cell for cell in line if cell[0] != " "] for line in lines]


def test_letters_two_cells_wide_keep_their_columns():
    cells = Cells(20, 2)
    cells.feed("\x1b[1;1H柚子A\x1b[2;1Hab柚c")
    assert cells.line(0) == [("柚", PLAIN, 2), ("子", PLAIN, 2), ("A", PLAIN, 0)]
    assert cells.line(1) == [("ab", PLAIN, 0), ("柚", PLAIN, 2), ("c", PLAIN, 0)]


def test_an_accent_after_its_letter_joins_it():
    cells = Cells(10, 1)
    cells.feed("cre\u0300me")
    assert cells.text(0) == "crème"


def test_what_is_written_past_the_edge_is_cut():
    cells = Cells(4, 1)
    cells.feed("\x1b[1;3Habcdef\x1b[9;9Hxyz")
    assert cells.text(0) == "  ab"


def test_a_code_that_comes_in_two_pieces_is_one():
    cells = Cells(10, 2)
    for piece in ("\x1b[2", ";3", "Hx\x1b[1", "my"):
        cells.feed(piece)
    assert cells.line(1)[-1] == ("y", ("b", "", ""), 0)
    assert cells.text(1) == "  xy"


def test_box_drawing_and_signs_stand_in_cells_of_their_own():
    cells = Cells(10, 1)
    cells.feed("a──█°")
    assert cells.line(0) == [("a", PLAIN, 0), ("─", PLAIN, 1), ("─", PLAIN, 1), ("█", PLAIN, 1), ("°", PLAIN, 0)]


def test_colours_and_weights_are_read_and_taken_back():
    cells = Cells(20, 1)
    cells.feed("\x1b[1;38;2;255;0;16mA\x1b[22;39mB\x1b[7;48;5;196mC\x1b[0mD\x1b[31mE")
    assert [(text, style) for text, style, _ in cells.line(0)] == [
        ("A", ("b", "#ff0010", "")),
        ("B", PLAIN),
        ("C", ("r", "", "#ff0000")),
        ("D", PLAIN),
        ("E", ("", "#aa0000", "")),
    ]


def test_an_unknown_code_is_passed_over_and_counted():
    cells = Cells(10, 1)
    cells.feed("a\x1b[5Zb\x1b]0;title\x07c\x07")
    assert (cells.text(0), cells.unknown, cells.rings) == ("abc", 1, 1)
