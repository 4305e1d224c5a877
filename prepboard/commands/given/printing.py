"""How a list is printed: as text, as JSON, or as CSV, and as wide as the terminal."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from prepboard.book.names import plain_names
from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.session import tell
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.paper.text.saying import Voice


_NARROWEST = 24
_NO_TERMINAL = (100, 24)
"""Columns and lines where no terminal says how wide it is."""


def width() -> int:
    """The cells of a line: the terminal's, or what COLUMNS says, or 100."""
    return max(_NARROWEST, shutil.get_terminal_size(_NO_TERMINAL).columns)


def print_as(
    what: str,
    voice: Voice,
    value: Callable[[], Any],
    text: Callable[[], str],
    besides: dict[str, Any] | None = None,
    *,
    as_json: bool,
    as_csv: bool,
) -> None:
    """Prints one WHAT in the form that was asked for; `value` is what scripts and spreadsheets get, with
    the plain names of the book."""
    if as_json and as_csv:
        raise click.UsageError(_("--json or --csv, not both"))
    if as_json:
        from prepboard.paper.as_json import envelope

        with plain_names():
            tell(envelope(what, value(), voice, besides))
    elif as_csv:
        from prepboard.paper.as_csv import table

        with plain_names():
            tell(table(what, value()).removesuffix("\n"))
    else:
        tell(text())


def title(kitchen: Kitchen) -> str:
    """The station's name, else the kitchen's."""
    found = kitchen.book.stations.get(kitchen.who.station)
    return found.name if found else kitchen.book.kitchen.name


def voice_of(kitchen: Kitchen) -> Voice:
    from prepboard.paper.text.saying import Voice

    return Voice(kitchen.book, kitchen.now, kitchen.state.clock_set_by_hand, kitchen.state.new_at)
