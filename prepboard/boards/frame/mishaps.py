"""What went wrong inside is kept for whoever mends it, in a file that the board names; the board itself stands."""

from __future__ import annotations

import os
import traceback
from contextlib import suppress
from datetime import datetime
from pathlib import Path

KEPT = 20
"""So many tracebacks are kept; older ones go."""


def folder() -> Path:
    """Where XDG's base directories put what a program notes of itself (XDG Base Directory Specification 0.8)."""
    state = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(state) / "prepboard" / "mishaps"


def keep_traceback(fault: BaseException, now: datetime) -> Path | None:
    """Keeps what went wrong and where; None where nothing can be written."""
    text = "".join(traceback.format_exception(fault))
    with suppress(OSError):
        here = folder()
        here.mkdir(parents=True, exist_ok=True)
        for old in sorted(here.glob("*.txt"))[: -KEPT + 1]:
            old.unlink(missing_ok=True)
        file = here / f"{now:%Y-%m-%dT%H%M%S}-{os.getpid()}.txt"
        with file.open("a", encoding="utf-8") as opened:
            opened.write(text + "\n")
        return file
    return None


def in_a_line(fault: BaseException) -> str:
    """What went wrong, as short as it was said."""
    return " ".join(str(fault).split()) or type(fault).__name__
