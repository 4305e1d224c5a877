"""Which look a station's board had last, remembered on this machine: what is dark in a cellar is light at a window."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from pathlib import Path


def _file() -> Path:
    """Where XDG's base directories put what a program remembers (XDG Base Directory Specification 0.8)."""
    state = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(state) / "prepboard" / "looks.json"


def last_look(board: str) -> str | None:
    """The name of the look that this board had last; None when none is known."""
    look = _kept().get(board)
    return look if isinstance(look, str) else None


def keep_as_last(board: str, look: str) -> None:
    """Remembers a look; where nothing can be written nothing is remembered."""
    with suppress(OSError):
        file = _file()
        file.parent.mkdir(parents=True, exist_ok=True)
        part = file.with_name(f"{file.name}.{os.getpid()}")
        part.write_text(json.dumps({**_kept(), board: look}), encoding="utf-8")
        part.replace(file)


def _kept() -> dict[str, object]:
    with suppress(OSError, ValueError):
        kept = json.loads(_file().read_text(encoding="utf-8"))
        if isinstance(kept, dict):
            return kept
    return {}
