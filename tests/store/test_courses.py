"""A course of a function goes out at once: all its dishes, as one change."""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction

import pytest

from prepboard.plan.given.state import Tonight
from prepboard.store.actions.food.making import done
from prepboard.store.actions.night.courses import Seen, send_course
from prepboard.store.actions.night.dishes import take_off
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.services import NewService, add_service
from prepboard.store.actions.night.tonight import count_for
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused

FEAST = ("lantern-dinner", date(2026, 10, 31))
LANTERN = NewService("Lantern dinner", time(19), time(20), 50, counts={"pressed-lamb": 12, "lamb-toast": 30})


@pytest.fixture
def feast(kitchen):
    add_service(kitchen.file, kitchen.sous, FEAST[1], LANTERN)
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    done(kitchen.file, kitchen.lm, prep="braised-lamb", size=Fraction(2))
    return kitchen


def out(kitchen) -> dict[str, int]:
    return {dish: n for (_service, _day, dish), n in kitchen.state.plated.items() if n}


def test_a_course_goes_out_whole_and_comes_back_by_one_undo(feast):
    """12 plates of 50 ml and 160 g: the toast is another course's."""
    jus, lamb = feast.left("lamb-jus"), feast.left("braised-lamb")
    did = send_course(feast.file, feast.lm, FEAST, "main")
    assert did.text == "Pressed lamb: 12 out, Lantern dinner"
    assert out(feast) == {"pressed-lamb": 12}
    assert (jus - feast.left("lamb-jus"), lamb - feast.left("braised-lamb")) == (600_000_000, 1_920_000_000)
    undo(feast.file, feast.lm)
    assert (out(feast), feast.left("lamb-jus"), feast.left("braised-lamb")) == ({}, jus, lamb)


def test_all_dishes_of_a_course_are_one_change(feast):
    count_for(feast.file, feast.sous, FEAST, "lamb-toast", 40)
    feast.file.read()
    send_course(feast.file, feast.lm, FEAST, "first")
    assert out(feast) == {"lamb-toast": 40}, "as it was counted tonight"


def test_what_is_out_already_does_not_go_out_again(feast):
    plate(feast.file, feast.lm, FEAST, "pressed-lamb", 5)
    plate(feast.file, feast.lm, FEAST, "pressed-lamb", 1, again="dropped")
    assert send_course(feast.file, feast.lm, FEAST, "main").text.startswith("Pressed lamb: 7 out")
    with pytest.raises(Refused, match="all of it is out already"):
        send_course(feast.file, feast.jp, FEAST, "main")
    assert out(feast) == {"pressed-lamb": 12}


def test_two_benches_that_press_at_once_send_it_once(feast):
    seen = Seen({"pressed-lamb": 12}, Tonight())
    plate(feast.file, feast.lm, FEAST, "pressed-lamb", 5)
    with pytest.raises(Refused, match="look again"):
        send_course(feast.file, feast.jp, FEAST, "main", shown=seen)
    assert out(feast) == {"pressed-lamb": 5}


def test_a_dish_that_is_off_stays(feast):
    take_off(feast.file, feast.lm, FEAST, "pressed-lamb", "not good enough")
    with pytest.raises(Refused, match="out already"):
        send_course(feast.file, feast.jp, FEAST, "main")


@pytest.mark.parametrize(("sitting", "course"), [(FEAST, "sweet"), (("dinner", FEAST[1]), "main")])
def test_only_a_functions_counted_courses_can_be_sent(sitting, course, feast):
    with pytest.raises(Refused, match=f"counts no dish of a course {course}"):
        send_course(feast.file, feast.jp, sitting, course)
