"""What stays as it is while a list beside it changes.

Textual asks every widget in the same container for its lines when one of them has changed, and works out anew how each
is to look. On a board nearly all of them are as they were.
"""

from __future__ import annotations

from typing import Self

from textual.containers import Vertical
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget


class Still(Widget):
    """Answers with the lines that it gave before until it is refreshed or another part is asked for.

    Not for what scrolls.
    """

    _given: tuple[Region, list[Strip]] | None = None

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines of a part of it."""
        if self._given is None or self._given[0] != crop:
            self._given = crop, super().render_lines(crop)
        return self._given[1]

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        self._given = None
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)


class Stack(Vertical, Still):
    """Widgets below one another."""
