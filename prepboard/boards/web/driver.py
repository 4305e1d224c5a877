"""A board's driver in a browser's stead: what it draws goes out as lines, what a page sends comes in as keys and taps.

Everything is one JSON object a line, over the pipes of the process. What is no JSON is passed over; the server has
checked the rest before.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
from contextlib import suppress
from threading import Thread
from typing import Any

from textual import events
from textual.app import App, ScreenStackError
from textual.driver import Driver
from textual.geometry import Size
from textual.keys import _character_to_key
from textual.messages import ExitApp
from textual.widgets import Input

from prepboard.boards.key_signs import hint
from prepboard.boards.questions.pad import Pad
from prepboard.boards.web.cells import Cells, Run, Style
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine

SETTLED = 0.3
"""Seconds in which a new size is painted. What is not by then is asked for once, and so long waited for again: a size
that came and went before Textual looked is none to it, and what was there would be lost."""

A_TICK = 0.01
"""Seconds: a timer may come so much too early."""

PRESSES = ("key", "tap", "sign")

Shown = list[list[object]]


class PageDriver(Driver):
    """Draws on a page. Nothing of it depends on how Textual works inside but for the codes that it writes."""

    def __init__(
        self, app: App[Any], *, debug: bool = False, mouse: bool = True, size: tuple[int, int] | None = None
    ) -> None:
        width, height = (int(part) for part in os.environ["PREPBOARD_PAGE"].split("x"))
        super().__init__(app, debug=debug, mouse=mouse, size=(width, height))
        self._cells = Cells(width, height)
        self._sent: list[Shown | None] = [None] * height
        self._styles: dict[Style, int] = {}
        self._told: dict[str, object] = {}
        self._held_until = 0.0
        self._asked_again = False
        self._painted = False
        self._waits = False
        self._out = os.fdopen(os.dup(sys.__stdout__.fileno()), "w", encoding="utf-8", buffering=1)  # type: ignore[union-attr]
        self._listens = Thread(target=self._listen, name="page", daemon=False)

    @property
    def is_web(self) -> bool:
        return True

    # --- out ---------------------------------------------------------------------------------------------

    def write(self, data: str) -> None:
        self._cells.feed(data)
        self._soon()

    def _soon(self) -> None:
        """Sends at the end of this turn of the loop, once for all that was written in it."""
        if not self._waits:
            self._waits = True
            self._loop.call_soon(self._send)

    def _hold(self, *, asked_again: bool) -> None:
        """Waits for all of a new size to be painted: nothing half drawn is shown."""
        self._held_until, self._asked_again = self._loop.time() + SETTLED, asked_again
        self._loop.call_later(SETTLED, self._send)

    def _send(self) -> None:
        self._waits = False
        cells = self._cells
        if self._held_until and len(cells.written) < cells.height:
            if self._held_until > self._loop.time() + A_TICK:
                return
            if not self._asked_again:
                self._hold(asked_again=True)
                with suppress(ScreenStackError):
                    self._app.screen.refresh(layout=True)
                return
        if not self._painted and not any(map(cells.text, range(cells.height))):
            return  # Nothing is drawn yet.
        self._held_until = 0.0
        lines: dict[str, Shown] = {}
        styles: dict[str, Style] = {}
        for y in sorted(cells.written) if None not in self._sent else range(cells.height):
            shown = [self._numbered(run, styles) for run in cells.line(y)]
            if shown != self._sent[y]:
                lines[str(y)] = self._sent[y] = shown
        cells.written.clear()
        said = {key: value for key, value in self._around().items() if self._told.get(key) != value}
        self._told |= said
        self._painted = True
        if lines or said:
            self._tell({"lines": lines, "styles": styles, "size": [cells.width, cells.height], **said})

    def _numbered(self, run: Run, new: dict[str, Style]) -> list[object]:
        text, style, cells = run
        number = self._styles.get(style)
        if number is None:
            number = self._styles[style] = len(self._styles)
            new[str(number)] = style
        return [text, number, cells] if cells else [text, number]

    def _around(self) -> dict[str, object]:
        """What a page shows beside the lines: buttons, what is typed, what was said, the look, the bell."""
        try:
            parts = self._app.screen.walk_children()
        except Exception:  # No screen yet, or none any more.
            return {}
        lines = [part for part in parts if isinstance(part, KeyLine)]
        answer = next((part for part in parts if part.id == "answer" and isinstance(part, PlainLine)), None)
        pads = [part for part in parts if isinstance(part, Pad)]
        shown = [key for line in lines for key in line.keys if key.action != "quit"]  # A page is left, not ended.
        keys = [[key.keys.split(",")[0], *hint(key, short=True)] for key in shown]
        signs = [[at, pad.signs] for at, pad in enumerate(pads) if pad.signs and pad.display]
        said = " ".join(answer.text.split()) if answer else ""
        return {
            "keys": keys,
            "typing": any(isinstance(part, Input) for part in parts),
            "pads": signs,
            "said": said,
            "look": str(self._app.theme),
            "rings": self._cells.rings,
        }

    def repaint(self) -> None:
        """Sends everything anew: a page came back."""
        self._sent = [None] * self._cells.height
        self._styles.clear()
        self._told.clear()
        self._soon()

    def _tell(self, message: dict[str, object]) -> None:
        try:
            self._out.write(json.dumps(message, ensure_ascii=False, separators=(",", ":")) + "\n")
        except (BrokenPipeError, ValueError):
            self.send_message(ExitApp())

    # --- in ----------------------------------------------------------------------------------------------

    def _listen(self) -> None:
        """Reads until the pipe ends; then the board ends too. What comes together is taken together."""
        rest = b""
        with os.fdopen(os.dup(sys.__stdin__.fileno()), "rb", buffering=0) as pipe:  # type: ignore[union-attr]
            while data := pipe.read(65536):
                *lines, rest = (rest + data).split(b"\n")
                self._loop.call_soon_threadsafe(self._take_all, lines)
        self.send_message(ExitApp())

    def _take_all(self, lines: list[bytes]) -> None:
        for line in lines:
            try:
                message = json.loads(line)
            except ValueError:
                continue
            if isinstance(message, dict):
                self._take(message)

    def _take(self, message: dict[str, Any]) -> None:
        kind = message.get("do")
        if kind in PRESSES and not self._painted:
            return  # Nobody can have meant it: nothing was to be seen yet.
        if kind == "key":
            self._key(str(message["key"]), message.get("at"))
        elif kind == "tap":
            self._tap(int(message["x"]), int(message["y"]))
        elif kind == "sign":
            self._sign(int(message["pad"]), str(message["sign"]))
        elif kind == "scroll":
            self._scroll(int(message["x"]), int(message["y"]), int(message["by"]))
        elif kind == "size":
            self._resize(int(message["width"]), int(message["height"]))
        elif kind == "repaint":
            self.repaint()
        elif kind == "end":
            self.send_message(ExitApp())

    def _key(self, key: str, at: float | None) -> None:
        """A key by its name ("enter", "down"), or a letter; `at` is when it was pressed, by this machine's clock: keys
        that a slow network brings all at once were pressed one after the other."""
        pressed = events.Key(_character_to_key(key), key) if len(key) == 1 else events.Key(key, None)
        if at is not None:
            pressed.time = min(pressed.time, at)
        self.process_message(pressed)

    def _sign(self, at: int, sign: str) -> None:
        """A sign of a pad that is in sight."""
        pads = list(self._app.screen.query(Pad).results(Pad))
        if at < len(pads) and sign in pads[at].signs:
            pads[at].post_message(Pad.SignTapped(sign, pads[at].id or ""))

    def _tap(self, x: int, y: int) -> None:
        for kind in (events.MouseDown, events.MouseUp):
            self.process_message(_mouse(kind, x, y, button=1))

    def _scroll(self, x: int, y: int, by: int) -> None:
        kind = events.MouseScrollDown if by > 0 else events.MouseScrollUp
        for _ in range(min(50, abs(by))):
            self.process_message(_mouse(kind, x, y))

    def _resize(self, width: int, height: int) -> None:
        if (width, height) == self._size:
            return  # A page that came back as it was: it is all there, and sent anew when asked for.
        self._size = (width, height)
        self._cells.resize(width, height)
        self._sent = [None] * height
        self._hold(asked_again=False)
        size = Size(width, height)
        self._app.post_message(events.Resize(size, size))

    # --- as Textual asks -----------------------------------------------------------------------------------

    def start_application_mode(self) -> None:
        size = Size(self._cells.width, self._cells.height)
        asyncio.run_coroutine_threadsafe(self._app._post_message(events.Resize(size, size)), loop=self._loop)
        self._listens.start()

    def disable_input(self) -> None:
        """The pipe is read until it ends."""

    def stop_application_mode(self) -> None:
        self._tell({"ended": True})


def _mouse(kind: type[events.MouseEvent], x: int, y: int, button: int = 0) -> events.MouseEvent:
    return kind(
        widget=None, x=x, y=y, delta_x=0, delta_y=0, button=button, shift=False, meta=False, ctrl=False,
        screen_x=x, screen_y=y, style=None,
    )  # fmt: skip
