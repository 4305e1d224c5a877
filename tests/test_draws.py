"""What is drawn for a test is the same each time, whatever else its process did before."""

from __future__ import annotations

import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st


def drawn() -> list[object]:
    seen: list[object] = []

    @settings(max_examples=100, database=None, derandomize=True)
    @given(st.lists(st.integers()), st.text())
    def draws(numbers: list[int], text: str) -> None:
        seen.append((numbers, text))

    draws()
    return seen


def test_it_is_the_same_after_a_module_of_ours_was_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pytestconfig: pytest.Config
) -> None:
    if pytestconfig.getoption("--hypothesis-profile"):
        pytest.skip("new draws are asked for")
    before = drawn()
    (tmp_path / "just_loaded.py").write_text('NUMBERS, WORDS = [7777777, 8888888, 424242], ["courgette", "quince"]\n')
    found = spec_from_file_location("just_loaded", tmp_path / "just_loaded.py")
    assert found is not None
    assert found.loader is not None
    module = module_from_spec(found)
    monkeypatch.setitem(sys.modules, "just_loaded", module)
    found.loader.exec_module(module)
    assert drawn() == before
