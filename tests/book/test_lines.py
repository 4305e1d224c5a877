"""On which line a key stands: tables, dotted keys, inline tables, arrays, and texts that look like any of these."""

from __future__ import annotations

import tomllib

import pytest
from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st

from prepboard.book.reading.toml_lines import lines_of
from prepboard.resources import config_folder, fixtures_folder

TEXT = '''# a comment with [a table] and key = "value"
name = "x # no comment"

[preps.a]   # comment
keeps = { chilled = "5 days", frozen = "60 days" }
"odd key" = 'single = [1, 2]'
dotted.key = 3
note = """
[preps.fake]
wait = 3 \\"""
"""
steps = [
  { do = "one, ] }", uses = ["b",
     "c"] },   # comment ]
  { do = "two" },
]
[[tools.list]]
a = 1
[[tools.list]]
a = 2
[tools.list.inner]
b = 1
'''


def test_every_key_of_a_text_full_of_traps():
    lines = lines_of(TEXT)
    expected = {
        ("name",): 2,
        ("preps", "a"): 4,
        ("preps", "a", "keeps", "frozen"): 5,
        ("preps", "a", "odd key"): 6,
        ("preps", "a", "dotted", "key"): 7,
        ("preps", "a", "note"): 8,
        ("preps", "a", "steps"): 12,
        ("preps", "a", "steps", 0, "do"): 13,
        ("preps", "a", "steps", 0, "uses", 1): 14,
        ("preps", "a", "steps", 1): 15,
        ("tools", "list", 0, "a"): 18,
        ("tools", "list", 1, "a"): 20,
        ("tools", "list", 1, "inner", "b"): 22,
    }
    assert {path: lines.get(path) for path in expected} == expected
    assert ("preps", "fake") not in lines


def paths(value: object, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every path in what the standard parser reads."""
    found = {path} if path else set()
    if isinstance(value, dict):
        for key, held in value.items():
            found |= paths(held, (*path, key))
    elif isinstance(value, list):
        for number, held in enumerate(value):
            found |= paths(held, (*path, number))
    return found


@pytest.mark.parametrize("folder", [config_folder(), fixtures_folder()])
def test_the_scanner_finds_the_keys_that_the_parser_finds_in_our_own_files(folder):
    files = list(folder.rglob("*.toml"))
    assert files
    for file in files:
        text = file.read_text("utf-8")
        assert set(lines_of(text)) == paths(tomllib.loads(text))


STRINGS = st.text(st.sampled_from("ab\\\"'#[]{}=,.\n é"), max_size=8)


def written(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{quoted(key)} = {written(held)}" for key, held in value.items()) + " }"
    if isinstance(value, list):
        return "[\n" + ",\n".join(written(held) for held in value) + "]"
    return quoted(value) if isinstance(value, str) else str(value)


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


VALUES = st.recursive(
    STRINGS | st.integers(-9, 99),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(STRINGS, inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(STRINGS, VALUES, max_size=5))
@settings(max_examples=drawn_of(100), deadline=None)
def test_the_scanner_finds_the_keys_that_the_parser_finds(table):
    text = "".join(f"{quoted(key)} = {written(value)}\n# [x]\n" for key, value in table.items())
    assert set(lines_of(text)) == paths(tomllib.loads(text))


@pytest.mark.parametrize("folder", [config_folder(), fixtures_folder()])
def test_tables_that_nobody_asks_for_are_stepped_over_and_the_others_are_where_they_are(folder):
    for file in folder.rglob("*.toml"):
        text = file.read_text("utf-8")
        whole = lines_of(text)
        for one in {path[:2] for path in whole if len(path) > 1}:
            part = lines_of(text, {one})
            assert {path: line for path, line in whole.items() if path[:2] == one}.items() <= part.items()
            assert part.items() <= whole.items()


@given(st.lists(VALUES, min_size=1, max_size=4))
@settings(max_examples=drawn_of(50), deadline=None)
def test_whatever_stands_in_a_table_that_nobody_asks_for_the_next_one_is_found(values):
    text = "".join(
        f"[t.a{number}]\nkey = {written(value)}\n[ t.b{number} ]\nx = 1\n" for number, value in enumerate(values)
    )
    whole = lines_of(text)
    for number in range(len(values)):
        part = lines_of(text, {("t", f"b{number}")})
        assert part["t", f"b{number}", "x"] == whole["t", f"b{number}", "x"]
        assert ("t", f"a{number}", "key") not in part
