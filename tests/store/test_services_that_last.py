"""A service is ended, and moved; plates of several dishes; more than there was; what may not be used."""

from __future__ import annotations

from datetime import time
from fractions import Fraction

import pytest

from prepboard.plan.board import plan
from prepboard.store.actions.food.making import done
from prepboard.store.actions.night.dishes import back, take_off
from prepboard.store.actions.night.service import Out, plate, plates
from prepboard.store.actions.night.services import end_service, move_service
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused


def running(kitchen) -> list[str]:
    return [one.service.id for one in plan(kitchen.state, kitchen.clock.at).served if one.lasts(kitchen.clock.at)]


def until(kitchen, hour: int, minute: int = 0):
    """The clock goes on to a time of the same day."""
    to = kitchen.clock.at.replace(hour=hour, minute=minute)
    kitchen.later(minutes=int((to - kitchen.clock.at).total_seconds() // 60))


def test_the_last_plate_is_said_once_and_not_before_the_written_end(kitchen):
    with pytest.raises(Refused, match="has not begun"):
        end_service(kitchen.file, kitchen.jp, kitchen.dinner)
    until(kitchen, 21)
    with pytest.raises(Refused, match="guests may come until then"):
        end_service(kitchen.file, kitchen.jp, kitchen.dinner)
    until(kitchen, 22, 40)
    assert running(kitchen) == ["dinner"]
    end_service(kitchen.file, kitchen.jp, kitchen.dinner)
    assert running(kitchen) == []
    with pytest.raises(Refused, match="was ended at 22:40"):
        end_service(kitchen.file, kitchen.jp, kitchen.dinner)
    undo(kitchen.file, kitchen.jp)
    assert running(kitchen) == ["dinner"]


def test_a_service_is_moved_before_it_begins_and_back(kitchen):
    did = move_service(kitchen.file, kitchen.sous, kitchen.dinner, time(19, 30))
    assert "begins at 19:30, not at 18:00" in did.text
    assert kitchen.state.tonight[kitchen.dinner].moved_to == time(19, 30)
    until(kitchen, 19, 0)
    assert running(kitchen) == []
    until(kitchen, 19, 30)
    with pytest.raises(Refused, match="began at 19:30"):
        move_service(kitchen.file, kitchen.sous, kitchen.dinner, time(20))
    undo(kitchen.file, kitchen.sous)
    assert kitchen.dinner not in kitchen.state.tonight


def test_more_plates_than_there_can_be_is_said_at_once(kitchen):
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    done(kitchen.file, kitchen.lm, prep="braised-lamb", size=Fraction(1, 3))
    did = plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 9)
    assert did.text == "Pressed lamb: 9 out, Dinner; more than was there: count the Lamb shoulder, braised"


def test_several_dishes_go_out_as_one_change(kitchen):
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    done(kitchen.file, kitchen.lm, prep="braised-lamb")
    out = [Out(kitchen.dinner, "pressed-lamb", 2), Out(kitchen.dinner, "lamb-toast", 1)]
    plates(kitchen.file, kitchen.jp, out)
    day = kitchen.dinner[1]
    assert kitchen.state.plated == {("dinner", day, "pressed-lamb"): 2, ("dinner", day, "lamb-toast"): 1}
    undo(kitchen.file, kitchen.jp)
    assert not any(kitchen.state.plated.values())


def test_since_when_a_dish_is_off_is_kept_and_for_how_long_it_was(kitchen):
    until(kitchen, 19)
    take_off(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", "no bread")
    since = kitchen.clock.at
    assert kitchen.state.tonight[kitchen.dinner].off_since == {"lamb-toast": since}
    kitchen.later(minutes=20)
    back(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast")
    assert kitchen.state.tonight[kitchen.dinner].was_off == (("lamb-toast", since, kitchen.clock.at),)
