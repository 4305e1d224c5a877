"""What stays as it is while a list beside it changes.

Textual asks every widget in the same container for its lines when one of them has changed, and works out anew how each
is to look. On a board nearly all of them are as they were.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Self

from textual.containers import Vertical
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget


class GivenLines:
    """The lines that a widget gave, until it is refreshed or another part is asked for. Not for what scrolls."""

    def __init__(self) -> None:
        self._given: tuple[Region, list[Strip]] | None = None

    def of(self, crop: Region, render: Callable[[Region], list[Strip]]) -> list[Strip]:
        """The lines of a part of it: those given before, else newly made."""
        if self._given is None or self._given[0] != crop:
            self._given = crop, render(crop)
        return self._given[1]

    def forget(self) -> None:
        """The widget is refreshed: its lines are made anew."""
        self._given = None


class Stack(Vertical):
    """Widgets below one another."""

    def __init__(self, *children: Widget, id: str | None = None, classes: str | None = None) -> None:
        self.given = GivenLines()
        super().__init__(*children, id=id, classes=classes)

    def render_lines(self, crop: Region) -> list[Strip]:
        return self.given.of(crop, super().render_lines)

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        self.given.forget()
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)
