"""What comes within the plan's span while nobody presses anything."""

from __future__ import annotations

from datetime import timedelta

import pytest
from days.obedient import COOK, opened
from random_kitchens import NOW

from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.plan.shown.lines import Note
from prepboard.store.actions.food.stock import count

HAM_AND_BARLEY = """
time_zone = "UTC"
rules = "food-code-2022"
ready_before = "0 min"
[stations.hot]
name = "Hot"
hours = "16:00-18:00, 19:00-20:00"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "16:00"
covers = 40
[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 1
plate = { barley = "50 g" }
[dishes.ham]
name = "Ham"
services = ["lunch"]
share = 1
plate = { ham = "50 g" }
[preps.barley]
name = "Barley"
station = "hot"
keeps = "3 days"
makes = "4 kg"
steps = [{ do = "Cook", hands_on = "1 h" }]
[preps.ham]
name = "Ham"
station = "hot"
keeps = "270 min"
makes = "4 kg"
steps = [{ do = "Cure", hands_on = "30 min", wait = "18 h", wait_up_to = "20 h" }]
[preps.salad]
name = "Salad"
station = "hot"
keeps = "3 days"
makes = "4 kg"
"""
"""Ham lasts to the end of lunch if it is begun at 17:00 or later, and is there for it by 17:30; barley lies there."""

HOUR = timedelta(hours=1)


def moved(line) -> list[Note]:
    return [note for note in line.notes if note.kind == "moved"]


@pytest.mark.parametrize("presses", [False, True])
def test_what_comes_late_has_others_make_way_for_it_at_once(tmp_path, presses):
    """Lunch comes within the plan's span at 12:00, two hours after the last press: the ham is not said to be an hour
    and a half late until somebody presses something, and the barley stays where it makes way, in time."""
    file = opened(tmp_path, HAM_AND_BARLEY, NOW)
    try:
        boards, said = [plan(file.read(), file.clock.at)], []
        for hours in (2, 2.5, 8, 26):
            file.clock.at = NOW + hours * HOUR
            if presses and hours == 8:
                count(file, COOK, "salad", 10**9, made_at=file.clock.at)
            boards.append(plan(file.read(), file.clock.at))
            said.append([note_text(note, Voice.of(boards[-1])) for line in boards[-1].make for note in moved(line)])
    finally:
        file.close()
    first, *others = [{line.prep: f"{line.begins:%d %H:%M}" for line in board.make if line.steps} for board in boards]
    assert first == {"barley": "31 17:00"}
    assert others == [{"barley": "31 16:30", "ham": "31 17:30"}] * 4
    assert not any(line.late_minutes for board in boards for line in board.make)
    why = "moved from Sat 17:00: another service came into sight"
    assert said == ([[], [], [why], []] if presses else [[], [], [], []])
