"""A page that is read: what is wrapped hangs below where its words began, and loses no letter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from prepboard.boards.widgets.hanging import hung


@pytest.mark.parametrize(
    ("line", "width", "drawn"),
    [
        ("  par 1.35 l for 76 covers", 40, ["  par 1.35 l for 76 covers"]),
        ("  par 1.35 l for 76 covers", 18, ["  par 1.35 l for", "    76 covers"]),
        ("  120 g   Cultured butter, unsalted", 24, ["  120 g   Cultured", "          butter,", "          unsalted"]),
        ("  2  Reduce the whey by half   16:00", 26, ["  2  Reduce the whey by", "     half   16:00"]),
        ("     15 min hands-on, 2 h to wait", 24, ["     15 min hands-on, 2", "       h to wait"]),
    ],
    ids=["fits", "a sentence", "an amount", "a step", "what a step takes"],
)
def test_a_line_that_goes_on_hangs(line: str, width: int, drawn: list[str]) -> None:
    assert hung(line, width) == drawn


@given(st.text("ab é蕪 ", max_size=80), st.integers(12, 60))
def test_nothing_is_lost_and_nothing_stands_further_left(text: str, width: int) -> None:
    lines = hung(f"  {text}", width)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(cell_len(line.rstrip()) <= width for line in lines)
    assert all(line.startswith("    ") for line in lines[1:] if line.strip())


async def test_an_open_line_keeps_its_indent(desk: Callable[..., Any]) -> None:
    async with desk(size=(44, 40)) as it:
        await it.choose("enter")
        await it.until(it.pilot, lambda: "WHY THIS MUCH" in str(it.app.screen.query_one("#text").render()))
        text = it.app.screen.query_one("#text")
        lines = [strip.text.rstrip() for strip in text.render_lines(text.size.region)]
        said = [line for line in lines if line and not line.startswith("  ")]
        assert said, "headings stand at the left"
        assert all(line.isupper() for line in said), "and nothing else does"
        assert any(line.startswith("    ") for line in lines), "something was wrapped"
