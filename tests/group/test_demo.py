"""The demo of a group: three kitchens that know of one another what really went over the line."""

from __future__ import annotations

import pytest

from prepboard.group.demo import lay
from prepboard.group.own_server import NoServer, own_server
from prepboard.store.kitchen_file import KitchenFile


async def test_a_van_is_on_the_road_and_a_lot_is_held_back(tmp_path):
    folder = tmp_path / "pg"
    folder.mkdir()
    for above in (tmp_path, *tmp_path.parents[:3]):
        above.chmod(0o755)  # where PostgreSQL runs as nobody, it has to reach its folder
    try:
        with own_server(folder) as office:
            laid = await lay(tmp_path, office)
    except NoServer as fault:
        pytest.skip(str(fault))
    states = {}
    for name, path in laid.files.items():
        file = KitchenFile.open(path)
        state = file.read()
        states[name] = sorted(one.state for one in state.transfers)
        if name == "quay":
            held = [batch for batch in state.batches if not batch.answer(file.clock.now()).may]
            assert [batch.prep for batch in held] == ["celeriac-cream"]
        file.close()
    assert states == {
        "central": ["on the van", "on the van", "received", "received"],
        "quay": ["received", "received"],
        "hill": ["on the van", "on the van"],
    }
