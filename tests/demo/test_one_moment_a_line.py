"""A line names one moment at which it is ready, and one state of a dish: whoever passes by shall not have to choose."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from prepboard.cli import cli


@pytest.mark.parametrize("now", ["2026-10-31T14:22", "2026-10-31T17:50", "2026-11-01T10:00"])
def test_a_line_of_a_board_says_once_when_it_is_ready(demo_file, now):
    settings = {"PREPBOARD_FILE": str(demo_file), "PREPBOARD_NOW": f"{now}+00:00"}
    stations = [line.split()[0] for line in CliRunner(env=settings).invoke(cli, []).stdout.splitlines()[1:]]
    read = [
        line
        for station in stations
        for line in CliRunner(env=settings).invoke(cli, ["station", station]).stdout.splitlines()
    ]
    assert any("ready" in line for line in read)
    for line in read:
        assert len(re.findall(r"\bready\b", line)) <= 1, line
        assert len(re.findall(r"\b(?:86|none until|not made)\b", line)) <= 1, line
