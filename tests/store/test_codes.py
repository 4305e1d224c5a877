"""Codes: short, not to be confused, and never given twice."""

from __future__ import annotations

from random import Random

from prepboard.store.file.codes import new_code


def test_a_code_has_three_characters_a_letter_first_and_a_digit():
    for seed in range(300):
        code = new_code(Random(seed), lambda _code: False)
        assert len(code) == 3
        assert code[0].isalpha()
        assert any(character.isdigit() for character in code)


def test_no_character_can_be_read_as_another():
    """0 and O, 1 and I and L, and the other pairs that a marker on tape makes alike."""
    random = Random(1)
    used = {character for _ in range(5000) for character in new_code(random, lambda _code: False)}
    for alike in (set("0O"), set("1IL"), set("2Z"), set("5S"), set("6G"), set("8B"), set("UV")):
        assert len(used & alike) <= 1, alike


def test_a_code_that_was_ever_used_is_not_given_again():
    taken: set[str] = set()
    random = Random(3)
    for _ in range(9000):
        code = new_code(random, taken.__contains__)
        assert code not in taken
        taken.add(code)


def test_codes_grow_when_three_characters_are_crowded():
    assert len(new_code(Random(5), lambda code: len(code) == 3)) == 4


def test_the_same_seed_gives_the_same_codes():
    first, second = Random(7), Random(7)
    assert [new_code(first, lambda _: False) for _ in range(9)] == [new_code(second, lambda _: False) for _ in range(9)]
