"""Text to be read whose lines keep their place when they are wrapped: what goes on hangs below where its words began.

Without that a second line of "par 27 for 92 covers ..." stands further left than the first, and reads as a line of
its own.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from rich.cells import cell_len
from textual.content import Content
from textual.css.styles import RulesMap
from textual.strip import Strip
from textual.style import Style
from textual.visual import RenderOptions, Visual

from prepboard.boards.widgets.row import clean
from prepboard.paper.text.layout import wrap

_FIRST_COLUMN = re.compile(r"\S(?:\S| (?! ))*  +(?=\S)")
"""A number, an amount or a time, and the blanks up to the words beside it."""

_AT_MOST = 16
"""Cells that a first column may take for what follows to hang below the words beside it."""

Block = tuple[str, Sequence[str]]
"""A heading (empty for none) and its lines."""


class Hanging(Visual):
    """Blocks of lines below their headings, each line indented by two cells and wrapped to the width there is."""

    def __init__(self, blocks: Sequence[Block]) -> None:
        self._blocks = tuple((clean(heading), tuple(map(clean, lines))) for heading, lines in blocks)
        self._drawn = lru_cache(maxsize=2)(self._draw)

    def __str__(self) -> str:
        """All of it, nothing wrapped, for those who listen to a screen."""
        return self._drawn(None).plain

    def get_optimal_width(self, rules: RulesMap, container_width: int) -> int:
        return self._drawn(None).get_optimal_width(rules, container_width)

    def get_height(self, rules: RulesMap, width: int) -> int:
        return self._drawn(width).get_height(rules, width)

    def render_strips(self, width: int, height: int | None, style: Style, options: RenderOptions) -> list[Strip]:
        return self._drawn(width).render_strips(width, height, style, options)

    def _draw(self, width: int | None) -> Content:
        parts: list[tuple[str, str] | str] = []
        for heading, lines in self._blocks:
            if parts:
                parts.append("\n")
            if heading:
                parts.append((f"{heading}\n", "bold"))
            parts += [f"{part}\n" for line in lines for part in hung(f"  {line}", width)]
        return Content.assemble(*parts)


def hung(line: str, width: int | None) -> list[str]:
    """The line wrapped to so many cells; what goes on stands two cells further in, or below the words beside a first
    column. Without a width it is one line."""
    if width is None or cell_len(line) <= width:
        return [line]
    words = line.lstrip(" ")
    indent = len(line) - len(words)
    column = _FIRST_COLUMN.match(words)
    beside = cell_len(column[0]) if column else 0
    hang = indent + (beside if 0 < beside <= min(_AT_MOST, width // 3) else 2)
    start = " " * indent
    if column and hang == indent + beside:
        start, words = start + column[0], words[column.end() :]
    first = wrap(words, width - cell_len(start))[0]
    rest = words[len(first) :].lstrip(" ")
    return [start + first, *(" " * hang + part.lstrip(" ") for part in wrap(rest, width - hang) if part)]
