"""The starter book in each language that it is written in: the same kitchen in other words."""

from __future__ import annotations

import re
from pathlib import Path

from languages.other_letters import WORD
from languages.test_on_screen import english_only
from languages.test_readers import started

from prepboard.book.book import Book
from prepboard.book.reading.reader import read_with_warnings
from prepboard.resources import config_folder, starter_folder


def figures(book: Book) -> list[object]:
    """All that is cooked by, without its words."""
    return [
        *((one.id, one.outputs, one.keeps, one.sizes, [use.amount for use in one.uses]) for one in book.preps.values()),
        *((one.id, one.plate, one.course) for one in book.dishes.values()),
        *((one.id, one.usable, one.allergens) for one in book.goods.values()),
        *((one.id, one.starts, one.ends, one.arrivals) for one in book.services.values()),
        *((one.id, one.hours) for one in book.stations.values()),
    ]


def test_the_spanish_starter_is_the_english_one_in_other_words() -> None:
    english, _texts, _warned = read_with_warnings(config_folder() / "starter")
    spanish, _texts, warned = read_with_warnings(starter_folder("es-MX"))
    assert warned == ()
    assert (english.kitchen.language, spanish.kitchen.language) == ("en", "es")
    assert figures(spanish) == figures(english)
    assert {one.name for one in spanish.preps.values()}.isdisjoint(one.name for one in english.preps.values())
    assert starter_folder("de") == config_folder() / "starter"


def test_new_writes_it_in_the_language_that_is_asked_for(tmp_path: Path) -> None:
    answer = started(tmp_path / "none.db", "--language", "es", "new", str(tmp_path / "libro")).communicate()[0]
    assert "libro" in answer
    written = "\n".join(path.read_text(encoding="utf-8") for path in (tmp_path / "libro").iterdir())
    remarks = [line.partition("#")[2] for line in written.splitlines() if "#" in line]
    said = {word.lower() for remark in remarks for word in WORD.findall(re.sub(r'"[^"]*"|`[^`]*`|\(\w+\)', "", remark))}
    code = {"toml", "food", "code", "ireland", "fsanz", "cook", "closing", "sous", "name", "role", "people", "language"}
    assert said & english_only() - code == set()
