"""Labels in mm, printing commands, terminals that lack signs, and pictures that stand alone."""

from __future__ import annotations

import contextlib
import importlib.util
import io
import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from prepboard.commands.given.signs import NEAREST


@pytest.fixture
def code(typed) -> str:
    return typed.done("done", "lamb jus", "1 l").split("batch ")[1][:3]


def test_a_roll_label_is_a_page_of_its_own_size(typed, code):
    """CSS Paged Media Module Level 3, section 7: the page's size stands in `@page`."""
    page = typed.done("label", code, "--size", "62x40")
    assert "@page{size:62mm 40mm;margin:0}" in page
    assert page.count("<section>") == page.count("<svg") == 1
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")


def test_labels_stand_on_sheets(typed):
    code = typed.done("done", "lamb jus", "9 l", "--sure").split("batch ")[1][:3]
    page = typed.done("label", code, "--each", "--size", "70x40.5", "--sheet", "2x2", "--edge", "5")
    assert "@page{size:150mm 91mm;margin:0}" in page, "2 of 70 and 2 of 40.5 beside each other, and the edges"
    assert (page.count("<section>"), page.count("<svg")) == (2, 5), "9 l in sixths of 2.2 l are 5 labels, 4 a sheet"


@pytest.mark.parametrize(
    "wrong", [("--size", "62"), ("--size", "1x1"), ("--sheet", "3x7"), ("--size", "62x40", "--sheet", "3")]
)
def test_sizes_that_are_none_are_wrong_use(typed, code, wrong):
    assert "mm" in typed.refused("label", code, *wrong, code=2)


def test_a_printing_command_gets_the_page(typed, code, tmp_path):
    taken = tmp_path / "taken.html"
    command = f"{sys.executable} -c \"import sys,pathlib; pathlib.Path('{taken}').write_text(sys.stdin.read())\""
    assert "printed by" in typed.done("label", code, "--html", "--print", command)
    assert "<svg" in taken.read_text()
    assert "did not print" in typed.refused("label", code, "--print", "false")
    assert "did not print" in typed.refused("label", code, "--print", "no-such-printer-here")


@pytest.mark.parametrize("encoding", ["latin-1", "ascii"])
def test_a_terminal_that_lacks_signs_shows_the_nearest(typed, encoding):
    """A process of its own, as a terminal of that encoding starts it."""
    settings = {
        "PREPBOARD_FILE": str(typed.folder / "kitchen.db"), "PREPBOARD_NOW": typed.now, "PYTHONIOENCODING": encoding,
        "PYTHONUTF8": "0",
    }  # fmt: skip
    words = [sys.executable, "-m", "prepboard", "station", "sauce"]
    shown = subprocess.run(words, capture_output=True, env={**os.environ, **settings}, check=True).stdout.decode(
        encoding
    )
    assert "?" not in shown
    assert "-----" in shown


@pytest.mark.parametrize(
    ("settings", "encoding"),
    [({"TERM": "dumb"}, "ascii"), ({"TERM": "xterm", "PYTHONIOENCODING": "latin-1"}, "latin-1")],
)
def test_a_terminal_on_which_no_board_can_stand_gets_it_as_text(typed, settings, encoding):
    """Opened at a real terminal, of which each end is ours: nothing moves its cursor."""
    ours, theirs = pty.openpty()
    known = {"PREPBOARD_FILE": str(typed.folder / "kitchen.db"), "PREPBOARD_NOW": typed.now, "PYTHONUTF8": "0"}
    words = [sys.executable, "-m", "prepboard", "station", "sauce"]
    with subprocess.Popen(words, stdin=theirs, stdout=theirs, stderr=theirs, env={**os.environ, **known, **settings}):
        os.close(theirs)
        shown = b""
        with contextlib.suppress(OSError):  # Linux: the other end is closed.
            while part := os.read(ours, 4096):
                shown += part
    os.close(ours)
    said = shown.decode(encoding)
    assert "Lamb jus" in said
    assert "-----" in said
    assert "\x1b" not in said


def test_a_label_is_there_for_a_printers_own_program(typed, code):
    (label,) = json.loads(typed.done("label", code, "--json"))["labels"]
    assert (label["code"], label["name"]) == (code, "Lamb jus")
    assert label["use_by"].startswith("Use by")
    assert label["lines"]


def test_a_sign_that_nobody_knows_is_a_question_mark():
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii", errors="plainly")
    stream.write("½ crème brûlée → 冷")
    stream.flush()
    assert stream.buffer.getvalue() == b"1/2 creme brulee -> ?"
    assert all(said.isascii() for said in NEAREST.values())


def test_a_picture_asks_the_internet_for_nothing():
    path = Path(__file__).parents[2] / "fixtures/pictures/draw.py"
    spec = importlib.util.spec_from_file_location("draw", path)
    draw = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(draw)
    as_exported = (
        '<svg xmlns="http://www.w3.org/2000/svg"><style>@font-face { font-family: "Fira Code"; '
        'src: local("FiraCode-Regular"), url("https://cdn.example/FiraCode.woff2") format("woff2"); }\n'
        ".a { font-family: Fira Code, monospace; }</style></svg>"
    )
    offline = draw.offline(as_exported)
    assert re.findall(r"https?://[^\"' )]+", offline) == ["http://www.w3.org/2000/svg"]
    assert ".a { font-family: monospace; }" in offline
