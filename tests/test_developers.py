"""What DEVELOPERS.md says of folders and functions is so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOLD = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
WAYS = re.findall(r"`([\w/]+\.py):(\w+)`", TOLD)
"""Of the two ways, and of what is decided where."""


def test_both_ways_and_where_it_is_decided_are_told():
    assert len(WAYS) > 45


@pytest.mark.parametrize(("file", "function"), WAYS)
def test_each_step_of_a_way_is_a_function_of_its_file(file, function):
    assert re.search(rf"(def|class) {function}\(", (ROOT / "prepboard" / file).read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "folder",
    sorted({path.parent.relative_to(ROOT / "prepboard") for path in (ROOT / "prepboard").rglob("*/*.py")}),
    ids=str,
)
def test_every_folder_of_code_stands_on_the_map(folder):
    """Folders of a single subject (the migrations) are named with the folder above."""
    above = folder.parent if folder.name == "migrations" else folder
    assert f"`{above}/" in TOLD or f"`prepboard/{above}/" in TOLD or f"`{above.name}/`" in TOLD


READINGS = re.split(r"\n- ", TOLD.partition("## Readings taken")[2].partition("\n## ")[0])[1:]


def test_readings_are_listed():
    assert len(READINGS) > 40


@pytest.mark.parametrize("reading", READINGS, ids=lambda text: " ".join(text.split()[:6]))
def test_each_reading_that_was_taken_names_the_tests_that_hold_it(reading):
    named = re.findall(r"`(tests/[\w/]*test_\w+\.py)`", " ".join(reading.split()))
    assert named, "which test holds it?"
    for path in named:
        assert "def test_" in (ROOT / path).read_text(encoding="utf-8")


NAMED = sorted(
    set(re.findall(r"`((?:[\w-]+/)+[\w*-]+\.(?:py|toml|md))`", TOLD))
    - {"prepboard/languages/xx/LC_MESSAGES/prepboard.mo"}
)


@pytest.mark.parametrize("path", NAMED)
def test_every_file_that_is_named_is_there(path):
    """Below the project, or below prepboard/; a star stands for several."""
    assert [*ROOT.glob(path), *(ROOT / "prepboard").glob(path)]
