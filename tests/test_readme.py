"""README is short, its two commands are true, its pages and pictures are there; what it says of the first day runs."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from prepboard.boards.key_signs import key_table
from prepboard.cli import FAMILIES
from prepboard.guide.pages import TITLES, page

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
COMMANDS = re.findall(r"^    (python3 .*)$", README, re.MULTILINE)


def test_it_is_read_in_one_go():
    assert len(README.splitlines()) < 150
    assert len(README.split("\n\n")[1].split()) > 60, "the claim, in one paragraph at the top"


def test_the_two_commands_install_and_run_what_the_project_has():
    """Each begins with nothing but Python, and runs something that the installation brings."""
    demo, tests = COMMANDS
    assert demo == "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/prepboard demo"
    assert tests == "python3 -m venv .venv && .venv/bin/pip install -q -e '.[dev]' && .venv/bin/pytest"
    assert PROJECT["scripts"]["prepboard"] == "prepboard.cli:main"
    assert any(word.startswith("pytest>") for word in PROJECT["optional-dependencies"]["dev"])
    assert "demo" in FAMILIES["house.setting_up"]
    assert PROJECT["requires-python"] == ">=3.11"


def test_the_guide_has_the_registrys_table_of_keys():
    assert key_table().strip() in page("keys")


def test_every_page_of_the_guide_is_named():
    assert set(re.findall(r"`([\w-]+)`", README)) >= set(TITLES)


def test_every_command_that_is_named_is_there():
    known = {name for names in FAMILIES.values() for name in names}
    assert set(re.findall(r"prepboard ([a-z][\w-]*)", README)) - known <= {"is", "takes", "on"}


@pytest.mark.parametrize("picture", re.findall(r"\]\((fixtures/[^)]+)\)", README))
def test_every_picture_is_there(picture):
    drawn = (ROOT / picture).read_text(encoding="utf-8")
    assert drawn.startswith("<svg")
    without_remarks = re.sub(r"<!--.*?-->", "", drawn, flags=re.DOTALL)
    assert set(re.findall(r"https?://[^\s\"'<>)]+", without_remarks)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"@font-face|@import|<image|<script", drawn), "it asks the internet"
