"""Screens of tests: nobody looks at them, so that they are drawn when a test has come to what it waited for, and not at
each of the many changes on the way there. What goes wrong while one is drawn ends the test, as it always would."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from time import monotonic
from typing import Any

import pytest
from textual._compositor import visible_screen_stack
from textual.pilot import Pilot
from textual.screen import Screen

Until = Callable[..., Awaitable[None]]

_as_a_terminal_has_it = Screen._compositor_refresh


def _for_nobody(screen: Screen[Any]) -> None:
    """Takes note that something changed. A terminal, also one that a test reads, has it drawn."""
    app = screen.app
    if not app.is_headless or screen is not app.screen:
        _as_a_terminal_has_it(screen)
        return
    visible_screen_stack.set(app._background_screens)
    screen._compositor._dirty_regions.clear()
    screen._dirty_widgets.clear()
    app._update_mouse_over(screen)


def draw_when_come_to(monkeypatch: pytest.MonkeyPatch) -> None:
    """Has the screens of one test drawn by `until` only."""
    monkeypatch.setattr(Screen, "_compositor_refresh", _for_nobody)


async def until(pilot: Pilot[Any], holds: Callable[[], object], seconds: float = 15.0) -> None:
    """Waits for the screen to come to something, and draws it; fails when it does not within `seconds`."""
    deadline = monotonic() + seconds
    while not holds():
        assert monotonic() < deadline, "the screen did not come to it"
        await pilot.pause(0.01)
    app = pilot.app
    if app.is_running and app.screen_stack:
        with app._context():
            visible_screen_stack.set(app._background_screens)
            app.screen._compositor.render_strips()
