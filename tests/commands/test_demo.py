"""The demo prints its boards where there is no terminal, and keeps its file only when asked."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from prepboard.demo import NOW

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


def test_the_demo_prints_a_board_for_each_station_and_keeps_its_file(
    empty: Typed, made_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How it is built has tests of its own (tests/demo)."""
    built: list[dict[str, object]] = []

    def build(path: Path, **how: object) -> None:
        built.append(how)
        shutil.copy(made_demo, path)

    monkeypatch.setattr("prepboard.demo.build", build)
    kept = empty.folder / "demo.db"
    result = empty("demo", "--keep", str(kept), PREPBOARD_NOW="")
    assert result.exit_code == 0, result.stderr
    assert result.stdout.count("TO MAKE") >= 3
    assert built == [{"at": NOW, "language": "en"}]
    assert "clock set by hand" in result.stdout
    assert str(kept) in result.stdout
    assert empty("show", "make", "--json", "--file", str(kept), PREPBOARD_NOW="").exit_code == 0
    assert "is there already" in empty.refused("demo", "--keep", str(kept))


def test_a_demo_that_fails_leaves_no_half_made_file(empty: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    from prepboard import demo

    def stops(*_args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(demo, "load_texts", stops)
    kept = empty.folder / "demo.db"
    assert empty.refused("demo", "--keep", str(kept)) == "No space left on device"
    assert list(empty.folder.iterdir()) == []
