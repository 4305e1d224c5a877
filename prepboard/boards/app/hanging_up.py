"""A terminal that went away under its board: a closed window, an ended ssh, a program that held it and was killed.

Where the terminal is the program's own, the system ends it (SIGHUP). Where it is not, or where that signal is ignored,
nobody says anything: whoever reads gets nothing again and again, and the board would spin for the night.
"""

from __future__ import annotations

import asyncio
import os
import select
import sys
from functools import partial

HUNG_UP = 128 + 1
"""What a shell says of a program that SIGHUP (1) ended; known to every system with terminals (POSIX 2.8.2)."""


def end_with_the_terminal() -> None:
    """Ends this program once its terminal is gone, as the system does where it may; to be asked in the running loop.

    Nothing wakes for it meanwhile. On systems without epoll (other than Linux) nothing is watched.
    """
    stdin = sys.__stdin__
    if stdin is None or not hasattr(select, "epoll") or not stdin.isatty():
        return
    hung_up = select.epoll()
    hung_up.register(stdin.fileno(), 0)  # That it hung up is told whatever is asked for (epoll_ctl(2), EPOLLHUP).
    asyncio.get_running_loop().add_reader(hung_up, partial(_end, hung_up))


def _end(hung_up: select.epoll) -> None:
    """At once: what is written is in the file whole or not at all, and nobody is there to be asked."""
    if hung_up.poll(0):
        os._exit(HUNG_UP)
