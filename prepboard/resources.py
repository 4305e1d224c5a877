"""Where the files that travel with prepboard are: rule books and starter book (config), demo kitchen (fixtures).

In an installed prepboard they lie inside the package, in a checkout beside it.
"""

from __future__ import annotations

from pathlib import Path

from prepboard.texts import root

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    installed = _PACKAGE / "_data" / name
    return installed if installed.is_dir() else _PACKAGE.parent / name


def config_folder() -> Path:
    """The folder with `rules/`, `starter/` and starters in other languages."""
    return _folder("config")


def starter_folder(language: str) -> Path:
    """The starter book in a language; in English where it is not written in it."""
    own = config_folder() / f"starter-{root(language)}"
    return own if own.is_dir() else config_folder() / "starter"


def fixtures_folder() -> Path:
    """The folder with the demo kitchen."""
    return _folder("fixtures")
