"""How the tool speaks, as far as a machine can hold it: no word of the tool's own reckoning, one word for one thing."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "prepboard"

NEVER = (
    "below nothing",
    "write more of it",
    "taken back",
    "good past",
    "past use-by",
    "how that presses",
    "ends first",
    "cools in time",
    "not needed within",
    "would by itself",
    "as the code allows",
    "there is no goods",
    "for good",
    "learned anew",
    "not taken off",
    "in fact",
    "Made together",
)
"""Words that said something wrong, or what only the tool's own reckoning knows."""


@cache
def texts() -> list[tuple[str, str]]:
    """All that the catalogue holds: (where, text)."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("_", "some"):
                for said in node.args:
                    if isinstance(said, ast.Constant) and isinstance(said.value, str):
                        found.append((f"{path.relative_to(PACKAGE)}, line {said.lineno}", said.value))
    return found


def test_the_texts_are_found() -> None:
    assert len(texts()) > 1000


def test_no_text_says_any_of_these() -> None:
    assert [(where, word) for where, text in texts() for word in NEVER if word in text] == []


def test_late_is_only_what_is_ready_late() -> None:
    """A begin that passed is no lateness: a text that calls something late says of what is ready."""
    late = [text for _where, text in texts() if text.startswith("late {")]
    assert late == []


def test_pieces_carry_no_unit_in_any_text() -> None:
    assert [text for _where, text in texts() if "} each" in text or text == "each"] == []
