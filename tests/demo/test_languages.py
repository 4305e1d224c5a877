"""The demo's book in other languages: the same kitchen under other names."""

from __future__ import annotations

import tomllib

import pytest

from prepboard.book.reading.reader import read_texts
from prepboard.demo_book import demo_languages, demo_texts, demo_words

WRITTEN = ("name", "do", "note", "finish")


def _words(table: object, key: str = "") -> set[str]:
    """What people wrote for people in a book, containers too."""
    if isinstance(table, dict):
        found = set(table.get("held_in", {}))
        return found.union(*(_words(inside, name) for name, inside in table.items()))
    if isinstance(table, list):
        return set().union(*(_words(inside, key) for inside in table))
    return {table} if isinstance(table, str) and key in WRITTEN else set()


@pytest.mark.parametrize("language", demo_languages()[1:])
def test_all_that_a_cook_reads_is_written_in_it(language: str) -> None:
    known = demo_words(language)
    written = set().union(*(_words(tomllib.loads(text)) for text in demo_texts("en").values()))
    assert written - set(known) == set()
    assert all(known.values())
    assert all('"' not in words and "\\" not in words for words in known.values())


@pytest.mark.parametrize("language", demo_languages()[1:])
def test_it_is_the_same_kitchen(language: str) -> None:
    english, other = read_texts(demo_texts("en")), read_texts(demo_texts(language))
    assert other.kitchen.language == language
    for section in ("preps", "goods", "dishes", "stations", "places", "services", "equipment", "tasks"):
        assert list(getattr(other, section)) == list(getattr(english, section))
    for id_, prep in english.preps.items():
        same = other.preps[id_]
        assert (same.makes, same.uses, same.sizes) == (prep.makes, prep.uses, prep.sizes)
        assert [(step.hands_on, step.wait) for step in same.steps] == [(one.hands_on, one.wait) for one in prep.steps]
        assert list(same.measure.containers.values()) == list(prep.measure.containers.values())


def test_spanish_containers_have_spanish_plurals() -> None:
    measure = read_texts(demo_texts("es")).preps["sorrel-sauce"].measure
    assert [measure.several(name) for name in measure.containers] == ["botellas de salsa"]
