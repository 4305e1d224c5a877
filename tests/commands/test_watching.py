"""`load --watch`: as a real program, beside a folder that somebody is writing in."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic, sleep
from typing import TYPE_CHECKING

import pytest

from prepboard.clock import RealClock
from prepboard.store.health.about_the_file import about
from prepboard.store.kitchen_file import KitchenFile

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


@pytest.fixture
def watched(empty: Typed, book: Path) -> Iterator[tuple[Path, subprocess.Popen[str]]]:
    folder = book
    command = [sys.executable, "-m", "prepboard", "load", str(folder), "--watch", "--file", str(file_of(empty))]
    running = subprocess.Popen(
        [*command, "--by", "LM"],
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a shell's background job ignores it
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "LANG": "C.UTF-8"},
    )
    yield folder, running
    running.kill()
    running.wait()


def until(holds: Callable[[], bool]) -> None:
    """Waits as long as a slow machine may take; what is waited for is asserted by that it comes."""
    end = monotonic() + 60
    while not holds():
        assert monotonic() < end, "it did not come in a minute"
        sleep(0.05)


def file_of(typed: Typed) -> Path:
    return typed.folder / "kitchen.db"


def test_a_saved_change_is_loaded_and_faults_stand_on_the_sous_chefs_board_until_mended(empty, watched):
    folder, running = watched
    written = next(folder.glob("*.toml"))
    assert running.stdout is not None
    assert "Skerrow Kitchen" in running.stdout.readline()
    until(lambda: "is loaded whenever" in running.stdout.readline())

    def in_file():
        opened = KitchenFile.open(file_of(empty), RealClock())
        try:
            return opened.read().book, about(opened).wrong
        finally:
            opened.close()

    good = written.read_text(encoding="utf-8")
    written.write_text(good.replace('name = "Lamb jus"', 'name = "Jus of lamb"'), encoding="utf-8")
    until(lambda: in_file()[0].preps["lamb-jus"].name == "Jus of lamb")
    written.write_text(good.replace('keeps = "4 days"', 'keeps = "4 dys"'), encoding="utf-8")
    until(lambda: "is not loaded" in " ".join(in_file()[1]))
    now, wrong = in_file()
    assert now.preps["lamb-jus"].name == "Jus of lamb", "the book before it stays"
    assert "1 fault and is not loaded" in wrong[0], wrong
    assert "4 dys" in wrong[0]
    written.write_text(good, encoding="utf-8")
    until(lambda: in_file()[0].preps["lamb-jus"].name == "Lamb jus")
    assert "is not loaded" not in " ".join(in_file()[1])
    running.send_signal(signal.SIGINT)
    assert running.wait(30) == 0
    assert "Traceback" not in running.stdout.read()
