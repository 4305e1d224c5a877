"""The Textual application around a board: themes, the palette, and a clean end."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from textual import events
from textual.app import App, SystemCommand
from textual.screen import Screen

from prepboard.boards.board_screen import BoardScreen
from prepboard.boards.keys import of
from prepboard.boards.themes import DARK, THEMES, without_colour
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file import KitchenFile


class BoardApp(App[None]):
    """Shows one board until it is closed."""

    TITLE = "prepboard"

    def __init__(self, board: BoardScreen, theme: str | None = None) -> None:
        # Textual reads the style sheets of screens that are pushed; this one is there from the start.
        super().__init__(css_path=[*board.css_path])
        self._board = board
        for each in THEMES.values():
            self.register_theme(without_colour(each) if self.no_color else each)
        self.theme = theme if theme in THEMES else DARK.name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DARK.variables

    def get_default_screen(self) -> Screen[None]:
        return self._board

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: the keys of the board in sight, and the looks."""
        groups = (screen.board_name, *screen.shared_keys) if isinstance(screen, BoardScreen) else ("line",)
        where = screen.focused if isinstance(screen, BoardScreen) and screen.focused else screen
        for key in of(*groups):
            target = where if hasattr(where, f"action_{key.action}") else screen
            yield SystemCommand(_(key.label), _(key.help), partial(target.run_action, key.action))
        for theme in THEMES.values():
            title = _("look: {name}").format(name=theme.name)
            yield SystemCommand(title, _("change the colours"), partial(self._look, theme.name))

    async def on_event(self, event: events.Event) -> None:
        """Every press and every tap comes by here first."""
        if isinstance(event, events.Key | events.MouseDown):
            self._board.pressed()
        await super().on_event(event)

    def _look(self, theme: str) -> None:
        self.theme = theme


def run_station(file: KitchenFile, stations: tuple[str, ...], by: str, theme: str | None = None) -> None:
    """Opens the board of a station, or of several in one, and returns when it is closed."""
    from prepboard.boards.station import StationScreen

    BoardApp(StationScreen(file, stations, by), theme).run()


def run_wall(file: KitchenFile, theme: str | None = None) -> None:
    """Opens the wall, and returns when it is closed."""
    from prepboard.boards.wall import WallScreen

    BoardApp(WallScreen(file), theme).run()
