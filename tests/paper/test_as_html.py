"""The printed sheets: one a station, every line with its box, and every name as text."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest

from prepboard.paper.as_html import document
from prepboard.paper.lists.sheets import Line, Part, Sheet

UNKIND = '<script>alert("1")</script>\x1b[31m & "Jus"'


class Read(HTMLParser):
    """Which elements a document has, and what it says."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.words: list[str] = []
        self.outside: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.outside += [value for name, value in attrs if name in ("src", "href") and value]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def sheet(lines: int, name: str = "Jus") -> Sheet:
    part = Part("To make", tuple(Line("14:10", f"{name} {n}", "1 l", "late") for n in range(lines)), "Nothing to make.")
    return Sheet("Sauce", "Sat 31 Oct  14:22", "Dinner 18:00", (part,), "Good by a rule book.", "en", "Signed: ____")


def test_every_line_is_there_with_a_box_to_tick():
    read = Read(document([sheet(3)]))
    said = " ".join(read.words)
    assert all(f"Jus {n}" in said for n in range(3))
    assert document([sheet(3)]).count("<td class=box>") == 3
    assert "Good by a rule book." in said
    assert "Signed: ____" in said


def test_each_sheet_is_a_page_of_its_own_and_nothing_is_fetched():
    text = document([sheet(1), sheet(2)])
    assert Read(text).tags.count("section") == 2
    assert "section { break-after: page; }" in text
    assert Read(text).outside == []
    assert "url(" not in text
    assert "@import" not in text


def test_a_name_is_text_and_never_markup():
    read = Read(document([sheet(1, UNKIND)]))
    assert "script" not in read.tags
    assert '<script>alert("1")</script> & "Jus" 0' in read.words
    assert "\x1b" not in "".join(read.words)


@pytest.mark.parametrize(("lines", "size"), [(10, "few"), (60, "many"), (110, "most")])
def test_a_long_list_is_printed_in_columns_and_smaller(lines, size):
    assert f'<section class="{size}">' in document([sheet(lines)])


def test_an_empty_part_says_so():
    assert "Nothing to make." in Read(document([sheet(0)])).words
