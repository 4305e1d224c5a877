"""The looks of the boards: dark, light, and high contrast. Every colour of prepboard stands in this file.

`late` and `discard` are the only colours that mean something, and both have a word beside them; `cursor` is the
ground under the row that keys act on, chosen so that everything stays readable on it.
"""

from __future__ import annotations

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.filter import LineFilter
from textual.theme import Theme

DARK = Theme(
    name="dark",
    dark=True,
    primary="#7fa8c9",
    accent="#7fa8c9",
    warning="#f0b04c",
    error="#ef86b4",
    foreground="#ece7dc",
    background="#15171a",
    surface="#1d2024",
    panel="#25292e",
    variables={
        "late": "#f0b04c",
        "discard": "#ef86b4",
        "cursor": "#2b3e50",
        "quiet": "#a29d93",
        "rule": "#474b50",
        "scrollbar": "#474b50",
        "scrollbar-hover": "#a29d93",
        "scrollbar-active": "#a29d93",
        "scrollbar-background": "#15171a",
        "scrollbar-background-hover": "#15171a",
        "scrollbar-background-active": "#15171a",
    },
)

LIGHT = Theme(
    name="light",
    dark=False,
    primary="#2f5f86",
    accent="#2f5f86",
    warning="#9a4a00",
    error="#a0135f",
    foreground="#1d1c1a",
    background="#faf7f0",
    surface="#f1ece1",
    panel="#e6e0d3",
    variables={
        "late": "#9a4a00",
        "discard": "#a0135f",
        "cursor": "#d3e2ef",
        "quiet": "#625d54",
        "rule": "#b9b2a4",
        "scrollbar": "#b9b2a4",
        "scrollbar-hover": "#625d54",
        "scrollbar-active": "#625d54",
        "scrollbar-background": "#faf7f0",
        "scrollbar-background-hover": "#faf7f0",
        "scrollbar-background-active": "#faf7f0",
    },
)

HIGH_CONTRAST = Theme(
    name="high-contrast",
    dark=True,
    primary="#ffffff",
    accent="#ffffff",
    warning="#ffd83d",
    error="#ff9ed2",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#101010",
    variables={
        "late": "#ffd83d",
        "discard": "#ff9ed2",
        "cursor": "#0b3a8f",
        "quiet": "#e0e0e0",
        "rule": "#ffffff",
        "scrollbar": "#ffffff",
        "scrollbar-hover": "#e0e0e0",
        "scrollbar-active": "#e0e0e0",
        "scrollbar-background": "#000000",
        "scrollbar-background-hover": "#000000",
        "scrollbar-background-active": "#000000",
    },
)


THEMES: dict[str, Theme] = {theme.name: theme for theme in (DARK, LIGHT, HIGH_CONTRAST)}

_MARKED = frozenset(Color.parse(theme.variables["cursor"]).triplet for theme in THEMES.values())
_PLAIN = Style.from_color(Color.default(), Color.default())


class NoColours(LineFilter):
    """For a terminal that was asked for none (NO_COLOR, https://no-color.org): no colour and no grey is sent. Words and
    weight say everything, and what a colour marks, the cursor's line and what is typed into, is shown reversed."""

    def apply(self, segments: list[Segment], background: object) -> list[Segment]:
        """The same text in the terminal's own two colours."""
        return [Segment(text, _without(style), control) for text, style, control in segments]


def _without(style: Style | None) -> Style | None:
    if style is None:
        return None
    marked = style.bgcolor is not None and style.bgcolor.triplet in _MARKED
    return style + _PLAIN + Style(reverse=marked != bool(style.reverse), dim=False)
