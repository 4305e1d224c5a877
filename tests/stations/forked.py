"""A station as a process of its own, forked from one that has read all sources once for all of them."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection

FORKS = get_context("forkserver")
FORKS.set_forkserver_preload(
    ["prepboard.store.actions.loading", "prepboard.store.actions.food.making", "prepboard.store.actions.night.service"]
)


class Station:
    """A process that runs some lines of Python, and what it hears and says."""

    def __init__(self, code: str, *arguments: str) -> None:
        hears, to_it = FORKS.Pipe(duplex=False)
        from_it, says = FORKS.Pipe(duplex=False)
        its_faults, fails = FORKS.Pipe(duplex=False)
        self._process = FORKS.Process(target=_run, args=(code, arguments, hears, says, fails), daemon=True)
        self._process.start()
        for its in (hears, says, fails):
            its.close()
        self.stdin = os.fdopen(os.dup(to_it.fileno()), "w")
        self.stdout, self.stderr = (os.fdopen(os.dup(one.fileno())) for one in (from_it, its_faults))
        for one in (to_it, from_it, its_faults):
            one.close()

    def kill(self) -> None:
        self._process.kill()

    def to_its_end(self) -> tuple[str, str]:
        """What it said, and what went wrong in it, once it has ended."""
        self.stdin.close()
        said = self.stdout.read(), self.stderr.read()
        self._process.join(60)
        return said

    def close(self) -> None:
        """Nothing is left of it."""
        self.kill()
        self._process.join()
        for one in (self.stdin, self.stdout, self.stderr):
            with suppress(BrokenPipeError):
                one.close()


def _run(code: str, arguments: tuple[str, ...], *ends: Connection) -> None:
    for fd, end in enumerate(ends):
        os.dup2(end.fileno(), fd)
        end.close()
    sys.stdin, sys.stdout, sys.stderr = (os.fdopen(fd, how) for fd, how in ((0, "r"), (1, "w"), (2, "w")))
    sys.argv = ["station", *arguments]
    exec(code, {"__name__": "__main__"})
