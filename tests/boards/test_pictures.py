"""Whole screens as they were looked at and found good, as plain text in `pictures/`.

A picture that differs on purpose is written anew with PREPBOARD_PICTURES=write, and looked at before it is kept.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from boards.at_a_station import NOW

from prepboard.boards.app.app import BoardApp
from prepboard.boards.frame import board_screen
from prepboard.boards.station.board import StationScreen
from prepboard.clock import FixedClock
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import StationWork
from prepboard.store.file.faults import StoreFault

PICTURES = Path(__file__).parent / "pictures"

UNKIND = {
    "soubise": "Onion soubise of roscoff onions, slowly sweated in brown butter for the pressed lamb shoulder",
    "jus": "Lamb [bold red]jus[/] [/b",
    "chive-oil": "Crème brûlée à l'œuf, naïve façon",
    "trout": "דג טרוטה כבוש",
    "parsnip": "柚子と白味噌のピュレ",
}


LONG = {
    "lamb": "Lamb shoulder, onion soubise, rye crumb and its own jus",
    "celeriac": "Celeriac, hazelnut, brown butter and pickled walnut",
    "duck": "Duck leg, lentils, damson and bitter leaves",
    "custard-dish": "Burnt custard, rhubarb, almond and orange flower",
}


def in_service(board: Callable[..., Board], parts: SimpleNamespace, moment: Callable[..., Any]) -> Board:
    """An hour into dinner: the jus ends soon, one dish was taken off, the pastry runs low."""
    left = (
        parts.left("custard-dish", 3, "custard", 1, "custard", runs_out_at=moment("19:40"), low=True),
        parts.left("lamb", 8, "jus", 40, "jus", runs_out_at=moment("20:40"), low=True),
        parts.left("celeriac", 0, "parsnip", 60, "parsnip", eighty_six=True),
        parts.left("duck", 0, None, 10, "stock", eighty_six=True, taken_off=True),
    )
    dinner = parts.sitting("dinner", parts.day, 92, moment("18:00"), moment("22:30"), running=True)
    work = (StationWork("sauce", moment("19:00"), 0, 67),)
    return board(now=moment("19:00"), sittings=(dinner,), given_left=left, work=work)


@dataclass
class NoFile:
    """Stands for a kitchen's file whose board is made by hand; there is nothing to read in it."""

    clock: FixedClock = field(default_factory=lambda: FixedClock(NOW, set_by_hand=False))
    path: Path = Path("nowhere") / "kitchen.db"

    def looking(self) -> AbstractContextManager[Any]:
        raise StoreFault("there is nothing to read")

    glance = looking


async def picture(
    board: Board, size: tuple[int, int], until: Callable[..., Awaitable[None]], monkeypatch: pytest.MonkeyPatch
) -> str:
    async def follow(_file: Any, **_how: Any) -> AsyncIterator[Board]:
        yield board
        await asyncio.Event().wait()

    monkeypatch.setattr(board_screen, "follow", follow)
    screen = StationScreen(NoFile(), ("sauce",), "LM")  # type: ignore[arg-type]
    app = BoardApp(screen)
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: screen.board is not None)
        before = None
        while before != (before := _text(app)):
            await pilot.pause(0.05)
        return before


def _text(app: BoardApp) -> str:
    lines = app.screen._compositor.render_strips(app.size)
    return "\n".join("".join(segment.text for segment in line).rstrip() for line in lines) + "\n"


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("afternoon", (44, 24)),
        ("afternoon", (80, 24)),
        ("afternoon", (120, 36)),
        ("late afternoon", (120, 36)),
        ("late afternoon", (200, 50)),
        ("empty", (44, 24)),
        ("empty", (120, 36)),
        ("names", (44, 24)),
        ("names", (120, 36)),
        ("service", (44, 24)),
        ("service", (80, 24)),
        ("service", (120, 36)),
        ("service", (200, 50)),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{value[0]}x{value[1]}",
)
async def test_the_screen_is_as_it_was_looked_at(
    name: str,
    size: tuple[int, int],
    board: Callable[..., Board],
    board_of: Callable[..., Any],
    parts: SimpleNamespace,
    moment: Callable[..., Any],
    until: Callable[..., Awaitable[None]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shown = {
        "afternoon": lambda: board(),
        "late afternoon": lambda: board(now=moment("17:05")),
        "empty": lambda: board(make=(), under_way=(), expiring=(), given_left=(), pars=(), work=()),
        "names": lambda: board_of(**UNKIND)(),
        "service": lambda: in_service(board_of(**LONG), parts, moment),
    }[name]()
    said = await picture(shown, size, until, monkeypatch)
    kept = PICTURES / f"{name.replace(' ', '-')}-{size[0]}x{size[1]}.txt"
    if os.environ.get("PREPBOARD_PICTURES") == "write":
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(said, encoding="utf-8")
    assert said == kept.read_text(encoding="utf-8")
