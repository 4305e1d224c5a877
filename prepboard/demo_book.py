"""The demo's book in the languages that there are for it: names, steps and notes beside the English ones."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from pathlib import Path

from prepboard.book.reading.folder import texts_of
from prepboard.resources import fixtures_folder
from prepboard.texts import ENGLISH, root

QUOTED = re.compile(r'"([^"\n]*)"')


def demo_folder() -> Path:
    """The demo kitchen's recipe book, and beside it the story of its week."""
    return fixtures_folder() / "demo"


def demo_languages() -> tuple[str, ...]:
    """The languages that the demo's book is written in."""
    return (ENGLISH, *sorted(path.stem for path in demo_folder().glob("??.csv")))


def demo_words(language: str) -> Mapping[str, str]:
    """What people wrote in the demo, English to that language; nothing for English, and where it is not written."""
    path = demo_folder() / f"{root(language)}.csv"
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as lines:
        return {row["english"]: row[root(language)] for row in csv.DictReader(lines)}


def demo_texts(language: str) -> dict[str, str]:
    """The texts of the demo's book: ids, figures and order are the same in every language."""
    texts, _faults = texts_of(demo_folder())
    words = demo_words(language)
    if not words:
        return texts
    texts["kitchen.toml"] = texts["kitchen.toml"].replace('language = "en"', f'language = "{root(language)}"')
    return {name: QUOTED.sub(lambda found: f'"{words.get(found[1], found[1])}"', text) for name, text in texts.items()}
