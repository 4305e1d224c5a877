"""A shipper with a fault in it is found by the drawn evenings: else they would prove nothing."""

from __future__ import annotations

from uuid import uuid4

import pytest
from group.disasters import Drawn

from prepboard.group import hearing, shipper, shipping
from prepboard.group.line import Line
from prepboard.store.actions.group import hearing as acts
from prepboard.store.actions.group import receiving
from prepboard.store.group.heard import HeardTo, keep_heard
from prepboard.store.kitchen_file import KitchenFile

SEEDS = range(8)
"""Those that the suite draws (test_disasters.py)."""


async def found(group, folder, seed: int) -> bool:
    """Whether a drawn evening ends otherwise than with one story."""
    drawn = Drawn(group, folder / str(seed), seed)
    try:
        await drawn.walk(70)
        return bool(drawn.wrong())
    except AssertionError:
        return True
    finally:
        await drawn.close()


def no_branch(monkeypatch):
    """A file that was set back ships as if nothing had happened."""
    monkeypatch.setattr(shipping, "_is_ours", lambda file, standing: True)


def nothing_of_its_own(monkeypatch):
    """What the group knows of a kitchen's own dispatches and receipts is not taken in."""
    for kind in ("own sent", "own back", "own got"):
        monkeypatch.setitem(hearing.KINDS, kind, lambda file, word: None)


def half_without_data(monkeypatch):
    """A receipt goes out without what came."""
    whole = shipping._as_json

    def lacking(one):
        said = whole(one)
        for half in said["halves"]:
            half["word"].pop("sent", None)
        return said

    monkeypatch.setattr(shipping, "_as_json", lacking)


def one_bad_item_stops_the_rest(monkeypatch):
    """What cannot be taken in is not acknowledged, and comes again and again."""

    async def hear(file: KitchenFile, line: Line) -> hearing.Heard:
        taken_in = 0
        while news := await line.ask("hear", 100):
            for number, kind, _about, word, token in news:
                if hearing.take_in(file, kind, word):
                    return hearing.Heard(taken_in, {})
                taken_in += 1
                keep_heard(file, HeardTo(number, token))
                await line.ask("heard", number, {})
        return hearing.Heard(taken_in, {})

    monkeypatch.setattr(shipper, "hear", hear)


def random_ids(monkeypatch):
    """What is heard twice is written down twice, under ids that do not follow from what it is about."""
    monkeypatch.setattr(acts, "derived", lambda *_of: str(uuid4()))
    monkeypatch.setattr(receiving, "receipt_id", lambda _transfer, _turn: str(uuid4()))


FAULTS = (random_ids, no_branch, nothing_of_its_own, half_without_data, one_bad_item_stops_the_rest)


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
async def test_it_is_found(group, tmp_path, monkeypatch, fault):
    fault(monkeypatch)
    for seed in SEEDS:
        if await found(group, tmp_path, seed):
            return
    raise AssertionError(f"{fault.__doc__} Nobody noticed in {len(SEEDS)} evenings")
