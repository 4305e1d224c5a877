"""Whatever stands in a book, its reader answers with a book or with faults, never with anything else."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from prepboard.book.checked_json import from_kept, kept_text
from prepboard.book.reading.faults import Fault
from prepboard.book.reading.reader import Faults, read_texts
from prepboard.book.reading.written import SECTIONS, BookWritten, SizesWritten, StepWritten, keys_of

VALUES = st.sampled_from(
    [
        '""',
        '"x"',
        '"a"',
        '"1"',
        '"1 kg"',
        '"0 l"',
        '"3 each"',
        '"-1 kg"',
        '"1/0 kg"',
        '"2 tub"',
        '"17:30"',
        '"24:00"',
        '"08:00-08:00"',
        '"2026-02-29"',
        '"5 days"',
        '"0 s"',
        '"36 h"',
        '"90 C"',
        '"chilled"',
        '"close"',
        '"each"',
        '"\\u202e"',
        "0",
        "1",
        "-1",
        "0.5",
        "1e400",
        "-nan",
        "inf",
        "0xffffffffffffffffffffffff",
        "true",
        "2026-02-01",
        "07:32:00",
        "[]",
        '["a"]',
        '["a", "a", 3]',
        '["wed", "wed"]',
        "[[]]",
        "{}",
        '{ a = "1 kg" }',
        '{ a = 1, "" = 2 }',
        '{ else = "1 kg", fri = 3 }',
        '{ chilled = "2 days" }',
        "{ smallest = 2, largest = 1, step = 0.3 }",
        '{ "17:30" = 1 }',
        '{ "00:30" = 0.5, "24:00" = 0.5 }',
        '{ tub = "1 tub" }',
        '{ tub = "300 g", each = "1 l" }',
    ]
)


def table(keys: list[str]) -> st.SearchStrategy[dict[str, str]]:
    return st.dictionaries(st.sampled_from(keys), VALUES, max_size=6)


STEP = table(keys_of(StepWritten)).map(
    lambda keys: "{ " + ", ".join(f"{key} = {value}" for key, value in keys.items()) + " }"
)
SIZES = table(keys_of(SizesWritten)).map(
    lambda keys: "{ " + ", ".join(f"{key} = {value}" for key, value in keys.items()) + " }"
)

OWN = table([key for key in keys_of(BookWritten) if key not in SECTIONS])
TABLES = {section: table(keys_of(model)) for section, model in SECTIONS.items()}
IDS = st.lists(st.sampled_from(["a", "b", "x"]), max_size=3, unique=True)
STEPS = st.lists(STEP, max_size=3)


@st.composite
def books(draw: st.DrawFn) -> str:
    own = draw(OWN)
    lines = [f"{key} = {value}" for key, value in own.items()]
    for section, keys_of_it in TABLES.items():
        for id_ in draw(IDS):
            keys = draw(keys_of_it)
            if section == "preps":
                keys = {"name": '"A"', "keeps": '"2 days"', "makes": '"1 kg"'} | keys
                if draw(st.booleans()):
                    keys["steps"] = "[" + ", ".join(draw(STEPS)) + "]"
                    keys["sizes"] = draw(SIZES)
            lines.append(f"[{section}.{id_}]")
            lines += [f"{key} = {value}" for key, value in keys.items()]
    return "\n".join(lines)


@given(books())
@settings(max_examples=80, deadline=None)
def test_a_book_of_any_values_is_read_or_refused_with_lines(text):
    faults: tuple[Fault, ...] = ()
    try:
        book = read_texts({"a.toml": text})
        assert {prep for group in book.together for prep in group} == set(book.preps)
        assert repr(from_kept(kept_text(book))) == repr(book)
    except Faults as refused:
        faults = refused.faults
    for fault in faults:
        assert fault.said
        assert 0 <= fault.line <= text.count("\n") + 1
        assert "\u202e" not in str(fault)
