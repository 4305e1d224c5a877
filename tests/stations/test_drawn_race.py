"""Four stations press drawn keys on drawn rows, each while the others act; the ten thousand of them are drawn in
tests/benchmarks/drawn_race.py, by real processes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from random import Random

import pytest
from stations.pressing import BEGINS, ONLY_LOOKS, STATIONS, Hand, opened_kitchen, twice, when

from prepboard.boards.closing.keys import ClosingKeys
from prepboard.boards.keys import of
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.station.keys import StationKeys
from prepboard.clock import FixedClock
from prepboard.store.actions.night import dishes
from prepboard.store.food import running
from prepboard.store.health.health import check
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction import shown

PRESSES, SEED = 80, 4
FINDING = (7, 5, 12)
"""Draws that meet what nobody saw within some fifty presses; the second and third for when the first no longer does."""


@contextmanager
def four(folder: Path, seed: int) -> Iterator[list[Hand]]:
    """Four people on one file; while a question of one stands, another one may press."""
    clock, chance = FixedClock(BEGINS), Random(seed)
    open_file = partial(KitchenFile.open, clock=clock, random=chance)
    path = opened_kitchen(folder, open_file)
    hands: list[Hand] = []
    depth = [0]

    async def others() -> None:
        if depth[0] < 2 and chance.random() < 0.5:
            depth[0] += 1
            await chance.choice([hand for hand in hands if not hand.busy]).press()
            depth[0] -= 1

    for at, by in enumerate(("jp", "lm", "ab", "dk")):
        hands.append(Hand(open_file(path), STATIONS[at % 2], by, seed * 10 + at, others))
    yield hands
    for hand in hands:
        hand.file.close()


async def race(hands: list[Hand], presses: int, seed: int) -> list[str]:
    """What was met unseen in so many presses; ends with the first."""
    chance, found = Random(seed), []
    while not found and (pressed := sum(hand.pressed.total() for hand in hands)) < presses:
        hands[0].file.clock.at = when(pressed / presses)
        await chance.choice(hands).press()
        found = [one for hand in hands for one in hand.unseen]
    return found


async def test_no_press_does_what_its_presser_did_not_see(tmp_path: Path) -> None:
    with four(tmp_path, SEED) as hands:
        assert await race(hands, PRESSES, SEED) == []
        assert twice(hands[0].file) == []
        assert check(hands[0].file) == []
        done = sum((hand.done for hand in hands), Counter())
        refused = sum((hand.refused for hand in hands), Counter())
        assert done.total() > PRESSES // 4
        assert refused["moved"] > 0


def test_every_key_of_a_bench_an_opened_line_and_the_close_is_drawn_but_those_that_only_look():
    """A key that comes later is drawn by itself, or stands among those that look."""
    keys = {key.action for group in ("station", "line", "closing") for key in of(group)}
    assert keys >= ONLY_LOOKS
    acting = keys - ONLY_LOOKS
    boards = (StationKeys, LineScreen, ClosingKeys)
    assert {name for name in acting if any(hasattr(one, f"action_{name}") for one in boards)} == acting


async def test_without_what_was_shown_the_race_finds_such_presses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for where in (shown, running, dishes):
        monkeypatch.setattr(where, "refuse_moved", lambda *_row, **_key: None)
    found: list[str] = []
    for seed in FINDING:
        (tmp_path / str(seed)).mkdir()
        with four(tmp_path / str(seed), seed) as hands:
            found = await race(hands, PRESSES, seed)
        if found:
            break
    assert found != []
