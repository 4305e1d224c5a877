"""What README says of keys and commands is what there is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from prepboard.boards.keys import key_table
from prepboard.cli import FAMILIES

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_table_of_keys_is_the_registrys():
    assert key_table().strip() in README


@pytest.mark.parametrize("command", [name for names in FAMILIES.values() for name in names])
def test_every_command_is_named(command):
    assert f"`{command}`" in README or f"`prepboard {command}" in README


@pytest.mark.parametrize("picture", re.findall(r"\]\((fixtures/[^)]+)\)", README))
def test_every_picture_is_there(picture):
    assert (ROOT / picture).read_text(encoding="utf-8").startswith("<svg")
