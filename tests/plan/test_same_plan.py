"""The same state gives the same plan, whatever the hash seed of the process that works it out."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path


def shown(path: Path, what: str, seed: str) -> str:
    env = os.environ | {"PYTHONHASHSEED": seed, "PREPBOARD_NOW": "2026-06-13T12:20+00:00"}
    command = [sys.executable, "-m", "prepboard", "--file", str(path), "show", what, "--json"]
    return subprocess.run(command, env=env, check=True, capture_output=True, text=True).stdout


def test_the_same_state_gives_the_same_plan_under_any_hash_seed(demo_file):
    """The close's lists hold the plan's lines too."""
    first = shown(demo_file, "closing", "1")
    assert len(first) > 2000
    assert shown(demo_file, "closing", "2") == first
