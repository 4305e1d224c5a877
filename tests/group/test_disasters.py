"""Nothing is lost, doubled or told differently, whatever goes wrong between three kitchens and their group."""

from __future__ import annotations

import pytest
from group.disasters import Drawn


@pytest.mark.parametrize("seed", range(40))
async def test_drawn_evenings_end_with_one_story(group, tmp_path, seed):
    drawn = Drawn(group, tmp_path, seed)
    await drawn.walk(70)
    assert drawn.wrong() == []
    await drawn.close()
