"""What takes longer than a moment says how far it is, on a terminal's stderr, so that nobody takes it for hung. A pipe
and a cron job hear nothing of it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread
from time import monotonic

import click

from prepboard.paper.text.plain import plain
from prepboard.texts import _, grouped

FIRST, EVERY = 1.5, 3.0
"""Seconds until the first word about it, and between two."""


def somebody_looks() -> bool:
    """Whether stderr is a terminal."""
    return sys.stderr.isatty()


def _nobody_hears(n: int, of: int) -> None:
    """What is told to nobody."""


@contextmanager
def progress(how_far: str = "") -> Iterator[Callable[[int, int], None]]:
    """Says what is done for as long as the block takes. `how_far` may have {n} and {of}, which the block tells by
    calling what it is given; without it, or until then, only the time is said."""
    if not somebody_looks():
        yield _nobody_hears
        return
    done, at, begun = Event(), [0, 0], monotonic()

    def say() -> None:
        wait = FIRST
        while not done.wait(wait):
            wait = EVERY
            known = how_far and (at[1] or "{n}" not in how_far)
            said = how_far.format(n=grouped(at[0]), of=grouped(at[1])) if known else _("still at it")
            seconds = _("{n} s so far").format(n=round(monotonic() - begun))
            click.echo(plain(f"prepboard: {said}, {seconds}"), err=True)

    def tell(n: int, of: int) -> None:
        at[:] = n, of

    speaking = Thread(target=say, daemon=True)
    speaking.start()
    try:
        yield tell
    finally:
        done.set()
        speaking.join()
