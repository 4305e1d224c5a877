"""Whatever goes wrong at whichever moment of a shipper's work, one story is told at the end.

Some moments with all tests, those among them at which something was lost once; all of them with PREPBOARD_LONG.
"""

from __future__ import annotations

import os
from itertools import count
from pathlib import Path

import pytest
from group.conftest import KITCHENS, Group
from group.stops import WRONG, Stopped

SOME = (
    ("central", "file back", 57, 0), ("north", "file back", 71, 0), ("central", "file and server back", 29, 0),
    ("central", "server and file back", 57, 0), ("north", "server and file back", 64, 1), ("south", "killed", 20, 0),
    ("south", "file back, killed", 48, 1), ("north", "twin", 31, 0), ("south", "clock back", 40, 0),
)  # fmt: skip
"""Whose shipper, what goes wrong, at its which moment, of which hour the copies are."""


async def story(group: Group, folder: Path, whom: str, wrong: str, at: int, hour: int) -> tuple[list[str], int]:
    """What is wrong with it, and how many moments that shipper had."""
    evening = Stopped(group, folder, at, wrong, whom, hour)
    try:
        await evening.evening()
        return evening.wrong(), evening.moment
    finally:
        await evening.close()


@pytest.mark.parametrize(("whom", "wrong", "at", "hour"), SOME)
async def test_one_moment(group: Group, tmp_path: Path, whom: str, wrong: str, at: int, hour: int) -> None:
    said, moments = await story(group, tmp_path, whom, wrong, at, hour)
    assert said == []
    assert moments >= at, "that moment never came"


@pytest.mark.skipif(not os.environ.get("PREPBOARD_LONG"), reason="an hour of a processor: set PREPBOARD_LONG")
@pytest.mark.parametrize("hour", [0, 1])
@pytest.mark.parametrize("wrong", WRONG)
@pytest.mark.parametrize("whom", KITCHENS)
async def test_all_moments(group: Group, tmp_path: Path, whom: str, wrong: str, hour: int) -> None:
    for at in count(1):
        said, moments = await story(group, tmp_path / str(at), whom, wrong, at, hour)
        assert said == [], f"at moment {at}"
        if moments < at:
            return
