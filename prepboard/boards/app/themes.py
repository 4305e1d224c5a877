"""The looks of the boards: dark, light, and high contrast. Every colour of prepboard stands in this file.

`late` and `discard` are the only colours that mean something, and both have a word beside them; `cursor` is the
ground under the row that keys act on, chosen so that everything stays readable on it.
"""

from __future__ import annotations

from dataclasses import replace

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


def without_colour(theme: Theme) -> Theme:
    """The theme for a terminal that was asked for no colours (NO_COLOR): words and weight say everything.

    A colour that became grey would make what is late paler than all else.
    """
    plain = {"late": theme.foreground or "", "discard": theme.foreground or ""}
    return replace(theme, variables=theme.variables | plain)


THEMES: dict[str, Theme] = {theme.name: theme for theme in (DARK, LIGHT, HIGH_CONTRAST)}
