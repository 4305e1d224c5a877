"""Nothing is lost, doubled or told differently, whatever goes wrong between three kitchens and their group."""

from __future__ import annotations

import os

import pytest
from group.disasters import Drawn

EVENINGS = 400 if os.environ.get("PREPBOARD_LONG") else 8


@pytest.mark.parametrize("seed", range(EVENINGS))
async def test_drawn_evenings_end_with_one_story(group, tmp_path, seed):
    drawn = Drawn(group, tmp_path, seed)
    await drawn.walk(70)
    assert drawn.wrong() == []
    await drawn.close()
