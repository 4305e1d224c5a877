"""Where the files that travel with prepboard are: rule books and starter book (config), demo kitchen (fixtures).

In an installed prepboard they lie inside the package, in a checkout beside it.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    installed = _PACKAGE / "_data" / name
    return installed if installed.is_dir() else _PACKAGE.parent / name


def config_folder() -> Path:
    """The folder with `rules/` and `starter/`."""
    return _folder("config")


def fixtures_folder() -> Path:
    """The folder with the demo kitchen."""
    return _folder("fixtures")
