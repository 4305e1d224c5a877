"""What takes longer than a moment says how far it is, on stderr, so that nobody takes it for hung."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread
from time import monotonic

import click

from prepboard.paper.text.plain import plain
from prepboard.texts import _

FIRST, EVERY = 1.5, 3.0
"""Seconds until the first word about it, and between two."""


@contextmanager
def progress(how_far: str = "") -> Iterator[Callable[[int, int], None]]:
    """Says how far it is for as long as the block takes. `how_far` has {n} and {of}, which the block tells by calling
    what it is given; without it, or until then, only the time is said."""
    done, at, begun = Event(), [0, 0], monotonic()

    def say() -> None:
        wait = FIRST
        while not done.wait(wait):
            wait = EVERY
            said = how_far.format(n=f"{at[0]:,}", of=f"{at[1]:,}") if how_far and at[1] else _("still at it")
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
