"""The Textual application around a board: themes, the palette, and a clean end."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from textual import events
from textual.app import App, SystemCommand
from textual.screen import ModalScreen, Screen
from textual.widgets import Input

from prepboard.boards.app.first_frame import Frame, OpenBoard, Opening
from prepboard.boards.app.themes import DARK, THEMES, without_colour
from prepboard.boards.frame.looks import keep_look, kept_look
from prepboard.boards.keys import of
from prepboard.boards.questions.scanned import Scanned
from prepboard.texts import _


class BoardApp(App[None]):
    """Shows one board until it is closed. `remembered_as` names the board whose look is kept; empty keeps none."""

    TITLE = "prepboard"

    def __init__(self, first: Screen[Any], theme: str | None = None, *, remembered_as: str = "") -> None:
        # Textual reads the style sheets of screens that are pushed; this one is there from the start.
        super().__init__(css_path=[*first.css_path])
        self._first, self._remembered_as = first, remembered_as
        self._scanned = Scanned()
        for each in THEMES.values():
            self.register_theme(without_colour(each) if self.no_color else each)
        look = theme or (kept_look(remembered_as) if remembered_as else None) or ""
        self.theme = look if look in THEMES else DARK.name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DARK.variables

    def get_default_screen(self) -> Screen[Any]:
        return self._first

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """The palette: the keys of the board in sight, and the looks."""
        board_name = getattr(screen, "board_name", None)
        groups = (board_name, *getattr(screen, "shared_keys", ())) if board_name else ("line",)
        where = screen.focused if board_name and screen.focused else screen
        for key in of(*groups):
            target = where if hasattr(where, f"action_{key.action}") else screen
            yield SystemCommand(_(key.label), _(key.help), partial(target.run_action, key.action))
        for theme in THEMES.values():
            title = _("look: {name}").format(name=theme.name)
            yield SystemCommand(title, _("change the colours"), partial(self._look, theme.name))

    async def on_event(self, event: events.Event) -> None:
        """Every press and every tap comes by here first."""
        if isinstance(event, events.Key | events.MouseDown):
            for pressed in [screen.pressed for screen in self.screen_stack if hasattr(screen, "pressed")]:
                pressed()
            if isinstance(event, events.Key) and not event.is_forwarded and self._is_taken(event):
                return
        await super().on_event(event)

    def _is_taken(self, key: events.Key) -> bool:
        """Whether a key goes no further."""
        too_early = getattr(self.screen, "too_early", None)
        return self._is_scanned(key) or bool(too_early and too_early(key.key))

    def _is_scanned(self, key: events.Key) -> bool:
        """Whether a key is part of a code that a scanner types; its Enter opens the batch, on whatever board."""
        if isinstance(self.screen, ModalScreen) or isinstance(self.screen.focused, Input):
            return False
        if key.key != "enter":
            return key.is_printable and self._scanned.takes(key.character or "")
        code = self._scanned.ends()
        if not code:
            return False
        from prepboard.boards.frame.board_screen import BoardScreen

        boards = [screen for screen in self.screen_stack if isinstance(screen, BoardScreen)]
        if boards:
            boards[-1].open_batch(code)
        return bool(boards)

    def _look(self, theme: str) -> None:
        self.theme = theme
        if self._remembered_as:
            keep_look(self._remembered_as, theme)


def run_board(frame: Frame, open_board: OpenBoard, *, remembered_as: str = "") -> None:
    """Paints a frame at once, opens the board behind it, and returns when that is closed.

    Raises what `open_board` raised, once the terminal is a terminal again.
    """
    opening = Opening(frame, open_board)
    BoardApp(opening, remembered_as=remembered_as).run()
    if opening.fault:
        raise opening.fault
