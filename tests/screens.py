"""Screens of tests: nobody looks at them, so that they are drawn when a test has come to what it waited for, and not at
each of the many changes on the way there. What goes wrong while one is drawn ends the test, as it always would.

After a press a test goes on when the program is at rest, and not when the processor has had little to do for a while,
which takes longer and, on a busy machine, says nothing."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Generator, Iterable
from contextlib import contextmanager
from itertools import zip_longest
from time import monotonic
from typing import Any

import pytest
from textual._compositor import visible_screen_stack
from textual.app import App
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input

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


def draw_whole(app: App[Any]) -> None:
    """Draws all of the screen in sight onto its terminal."""
    with app._context():
        update = app.screen._compositor.render_update(full=True, screen_stack=app._background_screens)
        app._display(app.screen, update)


SOON, LONG = 0.02, 1.0
"""Seconds: a timer that ends within so short a time is waited for; what goes on for so long is not."""
THREADS = 0.003
"""Seconds after which threads that work are looked at again: each look takes their turn from them."""


async def at_rest(_least: float = 0.0) -> None:
    """Waits until nothing is left to do: no callback is due, no thread works, and no timer ends soon."""
    loop: Any = asyncio.get_running_loop()
    begun, quiet = loop.time(), 0
    while quiet < 2 and loop.time() < begun + LONG:
        quiet += 1
        soon = [timer.when() for timer in loop._scheduled if not timer.cancelled() and timer.when() < begun + SOON]
        if loop._ready:
            quiet = 0
            await asyncio.sleep(0)
        elif soon or _threads_work(loop):
            quiet = 0
            await asyncio.sleep(max(THREADS, min(soon, default=0.0) - loop.time()))
        else:
            await asyncio.sleep(0)


def _threads_work(loop: Any) -> bool:
    threads = loop._default_executor
    return threads is not None and (
        threads._work_queue.qsize() > 0 or threads._idle_semaphore._value < len(threads._threads)
    )


_all_is_answered = Pilot._wait_for_screen


async def _answered(pilot: Pilot[Any], *within: float) -> bool:
    """Waits until all that was sent to a widget in sight is answered; where nothing is left to answer, it asks none of
    them to say so."""
    app = pilot.app
    if app._exception_event.is_set() or not app.screen_stack:
        return await _all_is_answered(pilot, *within)
    if all(map(_waits_to_be_asked, (app, *app.screen.walk_children(with_self=True)))):
        return True
    return await _all_is_answered(pilot, *within)


def _waits_to_be_asked(one: Any) -> bool:
    asked = one._message_queue
    return asked.empty() and any(not waits.done() for waits in asked.ready_event._waiters)


_press_each = App._press_keys


async def _press_keys(app: Any, keys: Iterable[str]) -> None:
    """Types a word as quickly as a hand that does not look up: what follows each letter is waited for once the word
    stands."""
    all_keys, quickly = list(keys), False
    for key, following in zip_longest(all_keys, all_keys[1:]):
        if isinstance(app.focused, Input) and _is_sign(key) and _is_sign(following):
            sign = " " if key == "space" else key
            pressed = Key(_character_to_key(sign), sign)
            pressed.set_sender(app)
            app._driver.send_message(pressed)
            quickly = True
        else:
            await _press_each(app, [key])
            while quickly and app._running and getattr(app, "_keys", ()):
                await at_rest()
            quickly = False


def _is_sign(key: str | None) -> bool:
    return key is not None and (key == "space" or (len(key) == 1 and key.isprintable()))


@contextmanager
def presses_wait_for_rest() -> Generator[None]:
    """Has the pilot go on after a press when the program is at rest."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(App, "_press_keys", _press_keys)
        patched.setattr(Pilot, "_wait_for_screen", _answered)
        patched.setattr("textual.app.wait_for_idle", at_rest)
        patched.setattr("textual.pilot.wait_for_idle", at_rest)
        yield


def quick_hands(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests' pilot types faster than any hand: held keys and rows that slid have tests of their own."""
    monkeypatch.setattr("prepboard.boards.widgets.presses.HELD", 0.0)
    monkeypatch.setattr("prepboard.boards.widgets.presses.PACKET", 0.0)
    monkeypatch.setattr("prepboard.boards.widgets.line_list.SLID", 0.0)


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
            _draw_each(app.screen)


def _draw_each(screen: Screen[Any]) -> None:
    """Has each widget in sight draw its lines, which nobody puts together to a picture."""
    compositor = screen._compositor
    for _place, _seen, _lines in compositor._get_renders(compositor.size.region):
        continue
