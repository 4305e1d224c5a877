"""A page of the guide in another language says the same commands, examples and keys as the English one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import prepboard.guide

HERE = Path(prepboard.guide.__path__[0])
PAGES = sorted(page for page in HERE.glob("*/*.md"))


def examples(text: str) -> tuple[list[str], list[str], list[str]]:
    """Blocks, indented lines and placeholders of a page, in order."""
    return (
        re.findall(r"```.*?```", text, re.DOTALL),
        re.findall(r"^ {4}.*$", text, re.MULTILINE),
        re.findall(r"<!--.*?-->", text),
    )


def words(text: str) -> set[str]:
    """What stands in code signs within a line: commands, options, keys of the book."""
    return set(re.findall(r"`[^`]+`", text.replace("\n", " ")))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: f"{page.parent.name}/{page.stem}")
def test_its_commands_and_examples_are_those_of_the_english_page(page: Path) -> None:
    own, english = page.read_text("utf-8"), (HERE / page.name).read_text("utf-8")
    assert examples(own) == examples(english)
    blocks = re.compile(r"```.*?```", re.DOTALL)
    # A button of the page in a browser is named as it stands there.
    assert words(blocks.sub("", own)) ^ words(blocks.sub("", english)) <= {"`keyboard`", "`teclado`"}


def test_a_language_has_all_pages_or_none() -> None:
    pages = {page.name for page in HERE.glob("*.md")}
    for folder in {page.parent for page in PAGES}:
        assert {page.name for page in folder.glob("*.md")} == pages, folder.name
