"""What IF YOU SAVE promises is what the board says once it is saved: over drawn changes of every kind."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from conftest import kitchen_file

from prepboard.boards.pars.adding import OfTheBook, Own, with_sitting
from prepboard.boards.pars.saving_words import if_you_save
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.difference import difference
from prepboard.plan.changing.drafts import lay_over, set_to
from prepboard.plan.given.numbers import Change, Number, Value
from prepboard.store.actions.food import making
from prepboard.store.actions.night import numbers, services
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 15, 0, tzinfo=UTC)
SATURDAY, SUNDAY = date(2026, 10, 31), date(2026, 11, 1)
DINNER, LUNCH = ("dinner", SATURDAY), ("lunch", SUNDAY)
SOUS = Who("DK", "sauce")
L = 10**9

BOOK = """
name = "Tin Larder"
time_zone = "UTC"
ready_before = "0 min"
rules = "food-code-2022"
[stations.sauce]
[stations.pastry]
[equipment.oven]
name = "Deck oven"
places = 1
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 62
[services.lunch]
name = "Lunch"
on = "2026-11-01"
starts = "12:00"
ends = "15:00"
covers = 40
[goods.leeks]
name = "Leeks"
[preps.jus]
name = "Lamb jus"
station = "sauce"
keeps = "5 days"
makes = "2 l"
steps = [{ do = "Reduce", hands_on = "20 min", wait = "1 h" }]
[preps.rolls]
name = "Milk rolls"
station = "pastry"
keeps = "1 day"
makes = "40 each"
steps = [{ do = "Shape", hands_on = "40 min" }, { do = "Bake", wait = "50 min", equipment = "oven", at = "200 C" }]
[preps.meringue]
name = "Meringues"
station = "pastry"
keeps = "5 days"
makes = "30 each"
steps = [{ do = "Dry", wait = "2 h 30 min", equipment = "oven", at = "95 C" }]
[preps.terrine]
name = "Leek terrine"
station = "sauce"
keeps = "5 days"
makes = "10 each"
uses = { leeks = "2 kg" }
steps = [{ do = "Press", hands_on_each = "10 min", wait = "2 h 10 min" }]
[preps.stock]
name = "Brown stock"
station = "sauce"
keeps = "5 days"
makes = "8 l"
par = "5 l"
steps = [{ do = "Simmer", hands_on = "10 min", wait = "1 h" }]
[dishes.lamb]
name = "Pressed lamb"
services = ["dinner", "lunch"]
course = "main"
share = 0.5
plate = { jus = "50 ml" }
[dishes.leek]
name = "Leek"
services = ["dinner", "lunch"]
course = "main"
share = 0.25
plate = { terrine = "1 each" }
[dishes.bread]
name = "Bread"
services = ["dinner", "lunch"]
share = 0.9
plate = { rolls = "1 each" }
[dishes.cloud]
name = "Cloud"
services = ["dinner", "lunch"]
course = "sweet"
share = 0.3
plate = { meringue = "1 each" }
"""


@pytest.fixture
def file(tmp_path: Path) -> Iterator[KitchenFile]:
    """At 15:00 on a Saturday; meringues have stood in the only oven since 14:40."""
    opened = kitchen_file(tmp_path, NOW - timedelta(minutes=20), SOUS, kitchen=BOOK)
    making.start(opened, SOUS, "meringue", Fraction(1))
    opened.clock.at = NOW
    yield opened
    opened.close()


def drawn(random: Random) -> tuple[Number, Value]:
    """A change that a sous chef may type."""
    kinds: dict[str, tuple[Number, Value]] = {
        "covers": (Number("covers", random.choice([DINNER, LUNCH])), random.randrange(0, 160)),
        "oven": (Number("equipment", item="oven", day=SATURDAY), 0),
        "cooks": (Number("hands", item=random.choice(["sauce", "pastry"]), day=SATURDAY), random.randrange(3)),
        "goods": (Number("missing", item="leeks"), NOW + timedelta(minutes=random.randrange(10, 300))),
        "off": (Number("off", DINNER, random.choice(["lamb", "leek", "bread"])), "dropped"),
        "give": (Number("given", item=random.choice(["jus", "terrine"]), day=SATURDAY), "pastry"),
        "portion": (Number("portion", item="jus", day=SATURDAY, on="lamb"), random.randrange(10, 90) * 10**6),
        "par": (Number("par", DINNER, "terrine"), random.randrange(0, 60) * 10**6),
        "percent": (Number("percent", random.choice([DINNER, LUNCH])), random.randrange(-40, 60)),
    }
    return kinds[random.choice(sorted(kinds))]


def said(before: Board, after: Board) -> list[str]:
    return [text for text, _tone in if_you_save(before, after, DINNER)]


def test_what_a_draft_promises_holds_after_saving(file: KitchenFile) -> None:
    """Forty drawn changes, one after the other, each saved on top of those before."""
    random, kinds = Random(20), set()
    for _n in range(40):
        state = file.read()
        number, to = drawn(random)
        if set_to(state, number) == to:
            continue
        kinds.add(number.of)
        before = plan(state, NOW)
        change = Change(number, set_to(state, number), to)
        promised = said(before, plan(lay_over(state, [change]), NOW))
        numbers.save(file, SOUS, [change], sure=True)
        assert said(before, plan(file.read(), NOW)) == promised, change
    assert len(kinds) == 9


def test_a_service_more_is_previewed_as_it_is_saved(file: KitchenFile) -> None:
    for asked in (OfTheBook("dinner", 30), Own("Late table", time(22, 30), time(23, 45), 20)):
        state = file.read()
        before = plan(state, NOW)
        ahead, sitting = with_sitting(state, LUNCH if isinstance(asked, OfTheBook) else DINNER, asked)
        promised = said(before, plan(ahead, NOW))
        if isinstance(asked, OfTheBook):
            services.hold(file, SOUS, sitting, asked.covers)
        else:
            new = services.NewService(asked.name, asked.starts, asked.ends, asked.covers, like="dinner")
            services.add_service(file, SOUS, sitting[1], new)
        assert said(before, plan(file.read(), NOW)) == promised


def test_a_dead_oven_says_who_gets_no_rolls_and_what_stands_in_it(file: KitchenFile) -> None:
    """Meringues are in the only oven to 17:10; without it there are no rolls at all. 62 guests, 0.9 rolls a guest."""
    state = file.read()
    before = plan(state, NOW)
    dead = plan(lay_over(state, [Change(Number("equipment", item="oven", day=SATURDAY), None, 0)]), NOW)
    lines = said(before, dead)
    assert lines[0] == "Dinner: no Milk rolls; 56 guests"
    (inside,) = [line for line in lines if "Meringues" in line and "Deck oven" in line]
    assert "is in the Deck oven to 17:10" in inside


def test_a_line_that_is_late_already_and_gets_worse_is_named(file: KitchenFile) -> None:
    file.clock.at = late = NOW + timedelta(hours=2)  # type: ignore[attr-defined]
    state = file.read()
    before = plan(state, late)
    worse = plan(lay_over(state, [Change(Number("covers", DINNER), None, 150)]), late)
    assert any(line.prep == "terrine" and line.late_minutes for line in before.make)
    assert any("Leek terrine" in line for line in said(before, worse))
    later = {one.line.prep: (one.before, one.line.late_minutes) for one in difference(before, worse).later}
    assert 0 < later["terrine"][0] < later["terrine"][1]
