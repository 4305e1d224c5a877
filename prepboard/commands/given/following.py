"""`show --follow`: the same list again whenever something in it is another, a line of JSON each."""

from __future__ import annotations

import io
import json
import sys
import time
from collections.abc import Callable, Mapping
from contextlib import redirect_stdout
from typing import Any

import click

from prepboard.commands.given.session import Session, tell
from prepboard.texts import _

LOOK = 0.2
"""Seconds between two looks at whether a station wrote; a look costs some millionths of a second."""
TIME_PASSES = 60.0
"""Seconds after which a list is made again though nobody wrote: what is late and what goes off moves with time."""


def follow(command: Callable[..., None], words: tuple[Any, ...], options: Mapping[str, Any]) -> None:
    """Prints the list as one line of JSON now, and again whenever anything but the time is another, until stopped."""
    if options.get("as_csv") or options.get("html"):
        raise click.UsageError(_("--follow is JSON, a line at a time"))
    session = click.get_current_context().ensure_object(Session)
    before: dict[str, Any] | None = None
    with session.file() as file:
        session.held = file
        while True:
            version = file.data_version()
            shown = _list(command, words, {**options, "as_json": True})
            if {**shown, "now": None} != before:
                tell(json.dumps(shown, ensure_ascii=False))
                sys.stdout.flush()
                before = {**shown, "now": None}
            until = time.monotonic() + TIME_PASSES
            while file.data_version() == version and time.monotonic() < until:
                time.sleep(LOOK)


def _list(command: Callable[..., None], words: tuple[Any, ...], options: dict[str, Any]) -> dict[str, Any]:
    printed = io.StringIO()
    with redirect_stdout(printed):
        command(*words, **options)
    whole: dict[str, Any] = json.loads(printed.getvalue())
    return whole
