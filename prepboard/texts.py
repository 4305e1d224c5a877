"""The one catalogue of interface texts (gettext). A text without a translation stays as it is written in the code.

Put a sentence in whole and fill it in afterwards: `_("{name} is done").format(name=name)`.
"""

from __future__ import annotations

import gettext
from pathlib import Path

_catalogue: gettext.NullTranslations = gettext.NullTranslations()


def speak(language: str) -> None:
    """Takes the catalogue of a language ("en", "de"); English stays where none exists."""
    global _catalogue
    folder = Path(__file__).parent / "languages"
    _catalogue = gettext.translation("prepboard", folder, [language], fallback=True)


def languages() -> tuple[str, ...]:
    """The languages that texts are there for; English always."""
    folder = Path(__file__).parent / "languages"
    return ("en", *sorted(found.parent.parent.name for found in folder.glob("*/LC_MESSAGES/prepboard.mo")))


def _(text: str) -> str:
    """The text in the kitchen's language."""
    return _catalogue.gettext(text)


def some(one: str, many: str, number: int) -> str:
    """The form of a text that fits a number, filled in as {n}."""
    return _catalogue.ngettext(one, many, number).format(n=number)
