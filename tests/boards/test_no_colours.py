"""NO_COLOR (https://no-color.org): a board sends neither colour nor grey, and the cursor's line is still seen."""

from __future__ import annotations

from typing import Any

import pytest
from boards.at_a_station import Desk
from rich.segment import Segment
from rich.style import Style

from prepboard.boards.app.looks import THEMES, NoColours


@pytest.fixture
def asked_for_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")


def drawn(it: Desk) -> list[Segment]:
    return [segment for strip in it.app.screen._compositor.render_strips() for segment in strip]


async def test_a_board_has_no_colour_of_its_own_and_its_cursor_is_reversed(asked_for_none: None, desk: Any) -> None:
    async with desk() as it:
        it.app.screen.refresh()
        await it.pilot.pause()
        styles = [segment.style for segment in drawn(it) if segment.style is not None]
        assert styles
        for style in styles:
            assert style.color is None or style.color.is_default, style
            assert style.bgcolor is None or style.bgcolor.is_default, style
            assert not style.dim, "dim is a grey"
        turned = "".join(segment.text for segment in drawn(it) if segment.style and segment.style.reverse)
        assert it.cursor in turned, "the line that keys act on"


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_what_a_colour_marks_is_reversed_in_every_look(theme: Any) -> None:
    here, elsewhere = (Style.parse(f"white on {ground}") for ground in (theme.variables["cursor"], theme.background))
    first, second = NoColours().apply([Segment("a", here), Segment("b", elsewhere)], None)
    assert first.style is not None
    assert second.style is not None
    assert (first.style.reverse, second.style.reverse) == (True, False)
