"""Nothing that a page could not mean reaches a board."""

from __future__ import annotations

import json

import pytest
from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st

from prepboard.boards.web.messages import LONGEST, Bad, read

GOOD = [
    {"do": "join", "page": "12345678-9", "width": 80, "height": 24},
    {"do": "pong", "ping": 3},
    {"do": "key", "key": "s", "ping": 3, "age": 20},
    {"do": "key", "key": "é"},
    {"do": "key", "key": "enter"},
    {"do": "tap", "x": 0, "y": 23},
    {"do": "sign", "pad": 0, "sign": "LM"},
    {"do": "scroll", "x": 1, "y": 1, "by": -3},
    {"do": "size", "width": 44, "height": 24},
]


@pytest.mark.parametrize("message", GOOD, ids=str)
def test_what_a_page_says_is_taken(message):
    assert read(json.dumps(message)) == message


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "null",
        "{",
        '{"do": "quit"}',
        '{"do": ["key"], "key": "s"}',
        '{"do": "key"}',
        '{"do": "key", "key": "ctrl+q"}',
        '{"do": "key", "key": "\\u001b"}',
        '{"do": "key", "key": "rm -rf"}',
        '{"do": "key", "key": "s", "more": 1}',
        '{"do": "tap", "x": -1, "y": 2}',
        '{"do": "tap", "x": true, "y": 2}',
        '{"do": "tap", "x": 1e9, "y": 2}',
        '{"do": "size", "width": 100000, "height": 24}',
        '{"do": "join", "page": "../../etc", "width": 80, "height": 24}',
        '{"do": "key", "key": "s", "ping": -1}',
        '"\ud800"',
    ],
)
def test_what_no_page_says_is_refused(text):
    with pytest.raises(Bad):
        read(text)


def test_bytes_and_what_is_too_long_are_refused():
    with pytest.raises(Bad):
        read(b'{"do": "pong", "ping": 3}')
    with pytest.raises(Bad):
        read(json.dumps({"do": "sign", "pad": 0, "sign": "x" * LONGEST}))


@settings(max_examples=drawn_of(100))
@given(st.text() | st.recursive(st.none() | st.booleans() | st.integers() | st.text(), st.lists).map(json.dumps))
def test_anything_is_read_or_refused_and_nothing_else(text):
    try:
        found = read(text)
    except Bad:
        return
    assert found["do"] in {"join", "pong", "key", "tap", "sign", "scroll", "size"}
