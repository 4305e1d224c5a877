"""A few fixed days of the obedient kitchen; many drawn ones are in tests/benchmarks/obedient.py."""

from __future__ import annotations

from datetime import timedelta

import pytest
from days.obedient import Obedient, opened
from random_kitchens import NOW, text_of


@pytest.mark.parametrize(
    ("seed", "settings"),
    [
        (5, {"runs": 4}),
        (12, {"runs": 4, "tight": True, "zone": "America/Chicago"}),
    ],
)
def test_a_kitchen_that_does_what_its_board_says_sees_every_promise_come_true(tmp_path, seed, settings):
    file = opened(tmp_path, text_of(seed, **settings), NOW)
    try:
        found = Obedient(file, seed).work(NOW + timedelta(hours=36))
    finally:
        file.close()
    assert found.lines >= 2
    assert found.broken == []
