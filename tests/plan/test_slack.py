"""Slack: what a service needs is ready so long before it that one phone call makes nothing late."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from conftest import Kitchen

TEXT = """
[stations.hot]
name = "Hot"
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 40
[preps.stock]
name = "Stock"
station = "hot"
keeps = "3 days"
makes = "2 l"
steps = [{ do = "Skim", hands_on = "10 min", wait = "30 min", wait_up_to = "8 h" }]
[preps.jus]
name = "Jus"
station = "hot"
keeps = "3 days"
makes = "2 l"
uses = { stock = "2 l" }
steps = [{ do = "Reduce", hands_on = "20 min" }]
[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 1
plate = { jus = "40 ml" }
"""


def begins(kitchen: Kitchen, now: str = "2026-10-31 12:00") -> dict[str, str]:
    return {line.prep: f"{line.begins:%H:%M}" for line in kitchen.plan(now).make if line.begins.day == 31}


@pytest.mark.parametrize(
    ("settings", "prep", "jus", "stock"),
    [
        ("", "", "17:25", "16:45"),
        ('ready_before = "15 min"', "", "17:25", "16:45"),
        ('ready_before = "40 min"', "", "17:00", "16:20"),
        ('ready_before = "40 min"', 'ready_before = "0 min"', "17:40", "17:00"),
    ],
)
def test_it_is_the_kitchens_unless_the_prep_says_its_own_and_no_run_that_others_take_has_any(
    settings: str, prep: str, jus: str, stock: str
) -> None:
    """By hand: set by 18:00, 20 minutes of work before that; the stock's 40 minutes end as the jus begins."""
    text = TEXT.replace("uses = {", f"{prep}\nuses = {{")
    found = Kitchen(text, settings=f"{settings or '# by default, ready_before is 15 min'}\n")
    assert begins(found) == {"jus": jus, "stock": stock}


def test_what_eats_of_it_is_not_late(moment: Callable[[str], datetime]) -> None:
    """At 17:36, with the stock there, the jus is ready at 17:56: nothing is wrong yet. At 17:45 it is 5 min late."""
    kitchen = Kitchen(TEXT, settings='ready_before = "15 min"\n')
    kitchen.on_hand("stock", "4 l")
    line = next(line for line in kitchen.plan("2026-10-31 17:36").make if line.prep == "jus")
    assert (line.ready_at, line.late_minutes) == (moment("2026-10-31 17:56"), 0)
    assert line.ready_by == moment("2026-10-31 18:00")
    line = next(line for line in kitchen.plan("2026-10-31 17:45").make if line.prep == "jus")
    assert line.late_minutes == 5
