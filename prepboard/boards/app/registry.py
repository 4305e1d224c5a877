"""The boards there are: how each is called, what is painted before it is loaded, and how its screen is made.

A board's module is loaded when it is opened, so that its frame is on the screen first. What the screen itself must have
is checked when its class is made (`BoardScreen.__init_subclass__`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from prepboard.boards.app.first_frame import Frame
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.frame.board_screen import BoardScreen
    from prepboard.store.kitchen_file import KitchenFile

Name = Literal["station", "pars", "closing", "wall"]


class BoardKind(Struct, frozen=True):
    """One kind of board."""

    name: Name
    screen: str
    """The class, in `prepboard.boards.<name>.board`."""
    told: Callable[[tuple[str, ...], str], tuple[object, ...]]
    """What its screen is told beside the file, from stations and initials."""
    title: str = ""
    """What stands in its title; "" for the names of its stations. Put into words when shown."""
    shared_keys: tuple[str, ...] = ("board",)
    """The groups of keys in its first footer beside its own."""
    without: frozenset[str] = frozenset()
    """Actions that its footer leaves out."""

    def frame(self, stations: Sequence[str]) -> Frame:
        """What is painted before the file is open."""
        title = _(self.title) if self.title else " + ".join(name.upper() for name in stations)
        return Frame(title, self.name, shared_keys=self.shared_keys, without=self.without)

    def open(self, file: KitchenFile, stations: tuple[str, ...], by: str) -> BoardScreen:
        """The board's screen on an open file; `stations` are ids of the book."""
        module = import_module(f"prepboard.boards.{self.name}.board")
        screen: BoardScreen = getattr(module, self.screen)(file, *self.told(stations, by))
        return screen


def _one_station(stations: tuple[str, ...], by: str) -> tuple[object, ...]:
    return stations[0] if stations else "", by


KINDS: dict[Name, BoardKind] = {
    kind.name: kind
    for kind in (
        BoardKind("station", "StationScreen", lambda stations, by: (stations, by)),
        BoardKind("pars", "ParsScreen", _one_station, "PARS", without=frozenset({"undo"})),
        BoardKind("closing", "ClosingScreen", lambda stations, by: (stations, by), "CLOSING"),
        BoardKind("wall", "WallScreen", lambda stations, by: (), "WALL", shared_keys=()),
    )
}
