"""A board on the screen, its pages and its questions in other letters: what is left in ours is the book's."""

from __future__ import annotations

from pathlib import Path

from languages.conftest import UNTIL
from languages.other_letters import WORD, Recording, left_over
from languages.pseudo import speaking

from prepboard import demo
from prepboard.boards.app.app import BoardApp
from prepboard.boards.station.board import StationScreen
from prepboard.clock import FixedClock
from prepboard.plan.planner import Planner
from prepboard.store.kitchen_file import KitchenFile

KEYS = ("question_mark", "n")
"""What opens a page or asks something, and is left again with esc."""


def on_screen(app: BoardApp) -> str:
    """All the text of the screen in sight."""
    lines = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in line) for line in lines)


async def test_a_station_and_its_questions_say_nothing_that_is_not_a_text(in_english: Path) -> None:
    words = frozenset(
        word.lower()
        for path in demo.demo_folder().rglob("*")
        if path.suffix in (".toml", ".csv")
        for word in WORD.findall(path.read_text(encoding="utf-8"))
    )
    catalogue, wrong, opened = Recording(), {}, 0
    file = KitchenFile.open(in_english, FixedClock(demo.later(UNTIL)))
    file.makes_planner = Planner
    try:
        with speaking(catalogue):
            board = StationScreen(file, ("sauce",), "mr")
            app = BoardApp(board)
            async with app.run_test(size=(120, 40)) as pilot:
                while not on_screen(app).strip() or board.board is None:
                    await pilot.pause(0.05)
                for key in KEYS:
                    await pilot.press(key)
                    await pilot.pause()
                    if found := left_over(on_screen(app), words) - {"esc", "tab", "enter", "Enter", "space", "ctrl"}:
                        wrong[key] = found
                    opened += app.screen is not board
                    while app.screen is not board:
                        await pilot.press("escape")
                        await pilot.pause()
    finally:
        file.close()
    assert wrong == {}
    assert opened > 1
    assert catalogue.unknown - {"palette"} == set()
