"""What DEVELOPERS.md says of folders and functions is so. PREPBOARD_FILES=write writes its list of files anew."""

from __future__ import annotations

import os
import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
TOLD = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
WAYS = re.findall(r"`([\w/]+\.(?:py|js)):(\w+)`", TOLD)
"""Of the two ways, and of what is decided where."""


def test_both_ways_and_where_it_is_decided_are_told():
    assert len(WAYS) > 45


def test_each_step_of_a_way_is_a_function_of_its_file():
    not_there = [
        (file, function)
        for file, function in WAYS
        if not re.search(
            rf"(def|class|function) {function}\b|^(    )?{function}(: .*)?( = |$)",
            (ROOT / "prepboard" / file).read_text(encoding="utf-8"),
            re.M,
        )
    ]
    assert not_there == []


def test_every_folder_of_code_stands_on_the_map():
    """Folders of a single subject (the migrations) are named with the folder above."""
    folders = {path.parent.relative_to(ROOT / "prepboard") for path in (ROOT / "prepboard").rglob("*/*.py")}
    assert len(folders) > 50
    above = {folder.parent if folder.name == "migrations" else folder for folder in folders}
    written = {one: (f"`{one}/", f"`prepboard/{one}/", f"`{one.name}/`") for one in above}
    assert [one for one, ways in sorted(written.items()) if not any(way in TOLD for way in ways)] == []


def test_each_file_says_in_its_first_line_what_it_is_about():
    files = {path.relative_to(ROOT): _read(str(path.relative_to(ROOT))) for path in (ROOT / "prepboard").rglob("*.py")}
    assert len(files) > 400
    assert [str(path) for path, text in sorted(files.items()) if text and not text.startswith('"""')] == []


FILES = "## All files"


def test_all_files_are_listed_folder_by_folder():
    """What a file is called is known without looking; migrations are named by what they are."""
    listed = "\n".join(_listed())
    if os.environ.get("PREPBOARD_FILES") == "write":
        before, heading, _ = TOLD.partition(FILES)
        intro = _.partition("\n- ")[0]
        (ROOT / "DEVELOPERS.md").write_text(f"{before}{heading}{intro}\n{listed}\n", encoding="utf-8")
    _, _, there = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition(FILES)
    assert there.partition("\n- ")[2] == listed[2:] + "\n", "write it anew: PREPBOARD_FILES=write"


def _listed() -> list[str]:
    room = ROOT / "prepboard"
    folders: dict[str, list[str]] = {}
    for path in sorted(room.rglob("*.py")):
        if path.stem not in ("__init__", "__main__") and path.parent.name != "migrations":
            folders.setdefault(path.parent.relative_to(room.parent).as_posix(), []).append(_offers(path))
    return [f"- `{folder}/` {'; '.join(names)}" for folder, names in sorted(folders.items())]


def _offers(path: Path) -> str:
    """A file, and what others may call or look up in it, in its order: functions, kinds and what it lays down."""
    public = r"^(?:(?:async )?(?:def|class) ([A-Za-z]\w*)|([A-Z][A-Z0-9]+(?:_[A-Z0-9]+)*)(?:: .*)? = )"
    here = map("".join, re.findall(public, path.read_text(encoding="utf-8"), re.MULTILINE))
    return f"**{path.stem}** {', '.join(here)}".strip()


READINGS = re.split(r"\n- ", TOLD.partition("## Readings taken")[2].partition("\n## ")[0])[1:]


def test_readings_are_listed():
    assert len(READINGS) > 40


def test_each_reading_that_was_taken_names_the_tests_that_hold_it():
    named = {one: re.findall(r"`(tests/[\w/]*test_\w+\.py)`", " ".join(one.split())) for one in READINGS}
    assert [one for one, paths in named.items() if not paths] == [], "which test holds it?"
    paths = {path for held in named.values() for path in held}
    assert [path for path in sorted(paths) if "def test_" not in _read(path)] == []


def _read(path: str) -> str:
    """The text of a file of the project; of one that is not there, none."""
    return (ROOT / path).read_text(encoding="utf-8") if (ROOT / path).exists() else ""


NAMED = sorted(
    set(re.findall(r"`((?:[\w-]+/)+[\w*-]+\.(?:py|toml|md))`", TOLD))
    - {"prepboard/languages/xx/LC_MESSAGES/prepboard.mo"}
)


def test_every_file_that_is_named_is_there():
    """Below the project, or below prepboard/; a star stands for several."""
    assert len(NAMED) > 100
    assert [path for path in NAMED if not [*ROOT.glob(path), *(ROOT / "prepboard").glob(path)]] == []
