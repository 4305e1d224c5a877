"""Whatever may be wrong with a book, and whatever may be hardly meant in it, is said in the reader's language."""

from __future__ import annotations

import re
from pathlib import Path
from textwrap import dedent

import pytest
from book.conftest import SOUBISE
from book.test_faults import CASES, PREP_CASES, REST
from book.test_warnings import CASES as MEANT
from book.test_warnings import SOUND
from languages.other_letters import WORD, Recording, left_over
from languages.pseudo import speaking, theirs

from prepboard.book.amounts import UNITS
from prepboard.book.reading.key_words import KEYS
from prepboard.book.reading.reader import Faults, read_texts, read_with_warnings
from prepboard.book.reading.rulebooks import rule_books
from prepboard.book.safety import allergens

PREP = '[preps.a]\nname = "A"\nkeeps = "3 days"\n'
QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"|`[^`]*`")
"""What somebody wrote or may write."""

CHOSEN = (
    *("mon", "tue", "wed", "thu", "fri", "sat", "sun"), *("chilled", "frozen", "ambient", "hot", "time"),
    *("cook", "sous", "closing"), "vacuum", "kitchen",
)  # fmt: skip
WRONG = {
    **{name: case[0] for name, case in CASES.items()},
    **{name: f"[preps.a]\n{case[0]}\n" for name, case in PREP_CASES.items()},
    **{name: f"{PREP}{case[0]}\n" for name, case in REST.items()},
}


def test_a_fault_says_nothing_that_is_not_a_text() -> None:
    said = Recording()
    found = {}
    with speaking(said):
        for name, text in WRONG.items():
            with pytest.raises(Faults) as caught:
                read_texts({"a.toml": dedent(text).removeprefix("\n"), "z.toml": SOUBISE})
            for fault in caught.value.faults:
                assert theirs(fault.said), name
                if words := left_over(QUOTED.sub("", fault.said), typed(text)):
                    found[name] = words, fault.said
    assert found == {}
    assert said.unknown == set()


def test_a_warning_says_nothing_that_is_not_a_text(tmp_path: Path) -> None:
    said = Recording()
    found = {}
    with speaking(said):
        for name, (text, _where) in MEANT.items():
            (tmp_path / "a.toml").write_text(text)
            (tmp_path / "z.toml").write_text(SOUND)
            for warning in read_with_warnings(tmp_path)[2]:
                assert theirs(warning.said), name
                if words := left_over(QUOTED.sub("", warning.said), typed(text + SOUND)):
                    found[name] = words, warning.said
    assert found == {}
    assert said.unknown == set()


def typed(text: str) -> frozenset[str]:
    """What a book wrote, and what it may write: its keys, and the words that one of several is chosen by."""
    keys = (*KEYS, *(key for table in KEYS.values() for key in table))
    chosen = (*UNITS, *rule_books(), *allergens.EU, *allergens.US, *allergens.GROUPS, *allergens.BEYOND, *CHOSEN)
    return frozenset(word.lower() for word in WORD.findall(" ".join((text, *keys, *chosen))))
