"""What recipes take and nobody wrote: said once, since one line of the book cures it everywhere."""

from __future__ import annotations

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts

TWO = "".join(
    f'[preps.{one}]\nname = "{one}"\nkeeps = "2 days"\nmakes = "1 kg"\npar = "1 kg"\nuses = {{ flour = "1 kg" }}\n'
    for one in ("bread", "pasta")
)


def test_goods_that_two_recipes_take_are_missed_once():
    with pytest.raises(Faults) as found:
        read_texts({"a.toml": TWO})
    (fault,) = found.value.faults
    assert (fault.line, fault.key) == (6, "preps.bread.uses.flour")
    assert read_texts({"a.toml": TWO + "[goods]\nflour = {}\n"})


def test_a_word_that_is_nearly_known_is_said_wherever_it_stands():
    with pytest.raises(Faults) as found:
        read_texts({"a.toml": TWO + "[goods]\nflours = {}\n"})
    assert [fault.line for fault in found.value.faults] == [6, 12]
