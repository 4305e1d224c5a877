"""Lines of text that stay where they are: titles, headings, messages, and the keys at the bottom."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Self

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from prepboard.boards.key_signs import hint
from prepboard.boards.keys import Key, of
from prepboard.boards.widgets.row import Piece, clean, filled, headed
from prepboard.boards.widgets.still import GivenLines

Draw = Callable[[int], list[list[Piece]]]
"""Lines for a width."""


class PlainLine(Widget):
    """One or more lines of literal text; nothing is drawn again unless it changed."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "plain-line--strong",
        "plain-line--dim",
        "plain-line--late",
        "plain-line--discard",
    }
    DEFAULT_CSS = """
    PlainLine {
        height: auto;
        & > .plain-line--strong { text-style: bold; }
        & > .plain-line--dim { color: $quiet; }
        & > .plain-line--late { color: $late; text-style: bold; }
        & > .plain-line--discard { color: $discard; text-style: bold; }
    }
    """

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        self.given = GivenLines()
        super().__init__(id=id, classes=classes)
        self._said: object = None
        self._draw: Draw = _nothing
        self._tall: dict[int, int] = {}
        """How many lines that are, by width."""

    def say(self, *pieces: Piece) -> None:
        """Shows one line."""
        self.show(pieces, lambda width: [filled([(clean(text), tone) for text, tone in pieces], width)])

    def say_heading(self, heading: str, aside: tuple[str, ...], brief: str = "") -> None:
        """Shows a heading, and at its right what there is room for; `brief` says all of it in fewer words."""
        self.show((heading, aside, brief), lambda width: [headed(heading, aside, width, brief)])

    def show(self, said: object, draw: Draw) -> None:
        """Shows what `draw` makes of the width; `said` tells whether it is anything new."""
        if said != self._said:
            width = self.size.width or self.app.size.width
            before = self.lines_at(width)
            self._said, self._draw, self._tall = said, draw, {}
            after = self.lines_at(width)
            if before or after:
                self.refresh(layout=after != before)

    def lines_at(self, width: int) -> int:
        """Lines that are shown at a width."""
        if width not in self._tall:
            self._tall[width] = len(self._draw(width))
        return self._tall[width]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return self.lines_at(width)

    @property
    def text(self) -> str:
        """All that is shown, for those who listen to a screen."""
        return "\n".join("".join(text for text, _tone in line).rstrip() for line in self._draw(self.size.width))

    def render_lines(self, crop: Region) -> list[Strip]:
        return self.given.of(crop, super().render_lines)

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        self.given.forget()
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def render_line(self, y: int) -> Strip:
        """One line of the terminal."""
        lines = self._draw(self.size.width)
        pieces = filled(lines[y] if y < len(lines) else [], self.size.width)
        base = self.rich_style
        return Strip([Segment(text, base + self._tone(tone)) for text, tone in pieces if text], self.size.width)

    def _tone(self, tone: str) -> Style:
        if tone == "plain":
            return Style.null()
        return self.get_component_rich_style(f"plain-line--{tone}", partial=True)


def _nothing(width: int) -> list[list[Piece]]:
    return [filled([], width)]


class KeyLine(PlainLine):
    """The footer: the few keys that matter here. A tap on one does what the key does."""

    @dataclass
    class HintTapped(Message):
        """A tap on a key in the footer."""

        action: str

    def __init__(self, *boards: str, id: str | None = None, without: frozenset[str] = frozenset()) -> None:
        super().__init__(id=id)
        self.keys = [key for key in of(*boards) if key.footer and key.action not in without]

    def on_mount(self) -> None:
        self.display = not self.app.is_web  # A page has buttons of its own for these keys, high enough for fingers.
        self.put(self.keys)

    def put(self, keys: list[Key]) -> None:
        """Shows other keys: those that matter where the cursor is now. The last one always stays."""
        self.keys = keys
        self.show(tuple(keys), lambda width: [filled(self._pieces(width), width)])

    def _hints(self, width: int) -> list[tuple[Key, str, str]]:
        """The keys with what is written for each: short words, and then fewer keys, where there is little room.

        The last key leads to all of them, so it always stays.
        """
        written = self._written(short=False)
        if _cells(written) > width:
            written = self._written(short=True)
        while _cells(written) > width and len(written) > 1:
            del written[-2]
        return written

    def _written(self, *, short: bool) -> list[tuple[Key, str, str]]:
        hints = [(key, *hint(key, short=short)) for key in self.keys]
        return [(key, name, f" {word}" + ("  " if short else "   ")) for key, name, word in hints]

    def _pieces(self, width: int) -> list[Piece]:
        pieces: list[Piece] = [(" ", "plain")]
        for _key, name, word in self._hints(width):
            pieces += [(name, "strong"), (word, "dim")]
        return pieces

    def on_click(self, event: events.Click) -> None:
        at = 1
        for key, name, word in self._hints(self.size.width):
            at += cell_len(name + word)
            if event.x < at:
                self.post_message(self.HintTapped(key.action))
                return


def _cells(written: list[tuple[Key, str, str]]) -> int:
    return sum(cell_len(name + word) for _key, name, word in written)
