"""Presses about what nobody has seen: figures that are not there yet, a row that only just came under the cursor."""

from __future__ import annotations

from textual.widget import Widget

from prepboard.boards.keys import ABOUT_THE_ROW
from prepboard.boards.widgets.line_list import LineList, just_changed
from prepboard.texts import _

WITHOUT_FIGURES = frozenset({"all_keys", "initials", "try_again", "quit"})
"""Actions that need no figures: they can be done while the first ones are still being worked out."""


def before_figures(meant: set[str], not_live: str) -> str:
    """What to say instead of doing one of these actions while the board has no figures; "" where it needs none.
    `not_live` says why none come."""
    if not meant - WITHOUT_FIGURES - {""}:
        return ""
    return not_live or _("The board is still being worked out; press again in a moment.")


def on_another_row(meant: set[str], focused: Widget | None) -> str:
    """What to say where the row that these actions are about only just came under the cursor by itself, or went on
    there; "" where it did not."""
    if not meant & ABOUT_THE_ROW or not isinstance(focused, LineList) or not (focused.slid or focused.went_on):
        return ""
    return _("The list moved: press again.") if focused.slid else just_changed()
