"""An import waits inside a function only where a start would pay for it: what is loaded anyway stands at the top."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import prepboard

ROOT = Path(prepboard.__file__).parent
LATE = {"cli.py", "commands", "boards", "guide"}
"""Rooms whose starts are measured (`prepboard --help`, `show make`, a board's first paint): their imports may wait."""

LATE_ELSEWHERE = {
    ("store/kitchen_file.py", "prepboard.store.file.migrations"): "a start that migrates nothing loads no sqlite_utils",
    ("store/health/health.py", "prepboard.book.reading.faults"): "boards look after the file, and read no book",
    ("store/health/health.py", "prepboard.book.reading.reader"): "boards look after the file, and read no book",
    ("store/file/checked.py", "prepboard.book.reading.reader"): "the checks and their models: a start does without",
    ("store/file/notices.py", "inotify_simple"): "Linux alone has it",
    ("store/file/permissions.py", "grp"): "not every system has it",
    ("store/file/permissions.py", "pwd"): "not every system has it",
    ("group/own_server.py", "pwd"): "not every system has it",
    ("group/own_server.py", "pgserver"): "one of three places where a PostgreSQL may be",
    ("store/watch.py", "watchfiles"): "where notices are there, nobody loads it",
    ("paper/records/label.py", "segno"): "a label without a code draws none",
}
"""Elsewhere an import waits for these alone, and why."""


@cache
def files() -> dict[str, ast.Module]:
    return {_name(path): ast.parse(path.read_text(encoding="utf-8")) for path in ROOT.rglob("*.py")}


def _name(path: Path) -> str:
    return ".".join(("prepboard", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")


def _imported(node: ast.stmt, known: frozenset[str]) -> Iterator[str]:
    """The modules that an import loads."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        yield node.module
        yield from (inner for alias in node.names if (inner := f"{node.module}.{alias.name}") in known)


def _at_the_top(tree: ast.Module, known: frozenset[str]) -> set[str]:
    return {module for node in tree.body for module in _imported(node, known)}


def _in_functions(tree: ast.Module, known: frozenset[str]) -> set[str]:
    found, todo = set[str](), [(node, False) for node in tree.body]
    while todo:
        node, inside = todo.pop()
        if inside:
            found.update(_imported(node, known))
        inside |= isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        todo += [(below, inside) for below in _statements(node)]
    return found


def _statements(node: ast.stmt) -> Iterator[ast.stmt]:
    """What stands right below a statement: an import is never part of an expression."""
    for block in ("body", "orelse", "finalbody"):
        yield from getattr(node, block, ())
    for below in (*getattr(node, "handlers", ()), *getattr(node, "cases", ())):
        yield from below.body


def test_what_is_loaded_anyway_is_imported_at_the_top() -> None:
    trees = files()
    known = frozenset(trees)
    top = {name: _at_the_top(tree, known) for name, tree in trees.items()}

    @cache
    def loaded(name: str) -> frozenset[str]:
        """What a module loads with itself."""
        found, todo = set[str](), [name]
        while todo:
            for module in top.get(todo.pop(), ()):
                if module not in found:
                    found.add(module)
                    todo.append(module)
        return frozenset(found)

    late = {
        f"{name}: {module}"
        for name, tree in trees.items()
        for module in _in_functions(tree, known)
        if module in loaded(name) and module in known
    }
    assert sorted(late) == []


def test_an_import_waits_only_where_starts_are_measured_or_a_reason_stands_here() -> None:
    trees = files()
    known = frozenset(trees)
    found = {
        (path.relative_to(ROOT).as_posix(), module)
        for path in ROOT.rglob("*.py")
        if path.relative_to(ROOT).parts[0] not in LATE
        for module in _in_functions(trees[_name(path)], known)
    }
    assert found == set(LATE_ELSEWHERE)
