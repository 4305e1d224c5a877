"""Portions in ounces: sixteen of five are five pounds, on the plate as in the batch."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from conftest import kitchen_file

from prepboard.store.actions.food.making import done
from prepboard.store.actions.night.service import plate
from prepboard.store.file.who import Who

BOOK = """
time_zone = "UTC"
ready_before = "0 min"
[services.party]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
counts = { steak = 16 }
[dishes.steak]
name = "Steak"
services = ["party"]
plate = { steak-cut = "5 oz" }
[preps.steak-cut]
name = "Steak, cut"
makes = "5 lb"
keeps = "3 days"
"""


def test_the_last_of_sixteen_plates_is_there_and_nothing_is_left(tmp_path: Path):
    who = Who("LM", "kitchen")
    file = kitchen_file(tmp_path, datetime(2026, 10, 31, 18, 0, tzinfo=UTC), who, kitchen=BOOK)
    done(file, who, prep="steak-cut", outputs={"steak-cut": 2_267_961_850})
    said = [plate(file, who, ("party", date(2026, 10, 31)), "steak", 1).text for _n in range(16)]
    assert not any("more than was there" in text for text in said)
    assert file.read().batches == ()
    file.close()
