"""A small kitchen made by hand, so that the wording is tested without the plan and the store."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from prepboard.book.amounts import MILLION, Measure
from prepboard.book.book import (
    Book,
    Dish,
    Equipment,
    Goods,
    Kitchen,
    Life,
    Prep,
    Service,
    Station,
    Step,
    Temperature,
    Use,
    Weekly,
)
from prepboard.book.days import Days
from prepboard.book.rules import RuleBook
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch, Line, State
from prepboard.plan.shown.lines import (
    Expiring,
    Left,
    LeftPrep,
    MakeLine,
    Note,
    ParLine,
    Pull,
    Serves,
    SittingLine,
    StationWork,
    UnderWay,
)

G, ML, EACH = 1, 1, MILLION
KG = 1000 * MILLION
SATURDAY = date(2026, 10, 31)


def at(clock: str, day: date = SATURDAY) -> datetime:
    """A moment in Dublin, in winter time from 2026-10-25 on."""
    hour, minute = clock.split(":")
    return datetime(day.year, day.month, day.day, int(hour), int(minute), tzinfo=ZoneInfo("Europe/Dublin")).astimezone(
        UTC
    )


NOW = at("14:22")


@pytest.fixture
def book() -> Book:
    sauce = Station("sauce", "Sauce", 0, Weekly((1,) * 7))
    pastry = Station("pastry", "Pastry", 1, Weekly((1,) * 7))
    jus = Prep(
        "lamb-jus", "Lamb jus", 0, Measure("volume", "l"), "sauce", "chilled", {"chilled": Life(days=4)},
        makes=KG, outputs={"lamb-jus": KG, "lamb-fat": 200 * MILLION}, made_by=("lamb-jus",),
        uses=(Use("lamb-bones", 2 * KG, 0), Use("brown-stock", KG)), takes_if_there=(Use("wine", 100 * MILLION),),
        steps=(
            Step("Roast the bones", "sauce", hands_on=600, hands_on_each=300, wait=60, wait_up_to=60,
                 equipment="deck-oven", at=Temperature(Fraction(200), "C")),
            Step("Reduce", "pastry", hands_on=1200, wait=30, wait_up_to=90, note="Skim."),
        ),
        note="Do not salt.",
    )  # fmt: skip
    fat = Prep(
        "lamb-fat", "Lamb fat", 1, Measure("mass", "g"), "sauce", "chilled", {"chilled": Life(minutes=36 * 60)},
        made_by=("lamb-jus",),
    )  # fmt: skip
    stock = Prep(
        "brown-stock", "Brown stock", 2, Measure("volume", "l"), "sauce", "chilled", {"chilled": Life(days=3)},
        makes=5 * KG, outputs={"brown-stock": 5 * KG}, made_by=("brown-stock",), uses=(Use("celery", KG),),
    )  # fmt: skip
    crisp = Prep(
        "crisp", "Rye crisp", 3, Measure("count", "each"), "pastry", "ambient", {"ambient": Life(days=2)},
        makes=24 * EACH, outputs={"crisp": 24 * EACH}, made_by=("crisp",), allergens=("gluten",),
    )  # fmt: skip
    preps = {prep.id: prep for prep in (jus, fat, stock, crisp)}
    goods = {
        "lamb-bones": Goods("lamb-bones", "Lamb bones", 0, Measure("mass", "kg"), usable=Fraction(4, 5)),
        "celery": Goods("celery", "Celery", 1, Measure("mass", "kg"), allergens=("celery",)),
        "wine": Goods("wine", "Wine", 2, Measure("volume", "l"), allergens=("sulphites",)),
    }
    return Book(
        digest="x",
        kitchen=Kitchen(
            "Skerrow Kitchen", Days(ZoneInfo("Europe/Dublin"), time(4)), RuleBook("rules-a", "Rule book A", "", "")
        ),
        stations={"sauce": sauce, "pastry": pastry},
        equipment={"deck-oven": Equipment("deck-oven", "Deck oven")},
        places={},
        services={
            "dinner": Service("dinner", "Dinner", 0, time(18), time(22, 30), time(17, 30)),
            "lunch": Service("lunch", "Lunch", 1, time(12), time(15), time(12)),
        },
        dishes={"lamb": Dish("lamb", "Pressed lamb", 0, ("dinner",), plate={"lamb-jus": 45 * MILLION})},
        menus={},
        preps=preps,
        goods=goods,
        tasks={},
        people={},
    )  # fmt: skip


@pytest.fixture
def voice(book: Book) -> Voice:
    return Voice(book, NOW)


@pytest.fixture
def batch() -> Batch:
    return Batch(
        "K7F", "lamb-jus", 1_100 * MILLION, at("10:00"), SATURDAY, at("00:00", SATURDAY + timedelta(days=1)),
        "keeps", "chilled", "walk-in", "sauce", "LM",
    )  # fmt: skip


@pytest.fixture
def board(book: Book, batch: Batch) -> Board:
    line = MakeLine(
        line=Line("lamb-jus", "dinner.2026-10-31", 1),
        prep="lamb-jus",
        station="sauce",
        amount=1_200 * MILLION,
        size=Fraction(6, 5),
        outputs={"lamb-jus": 1_200 * MILLION},
        begins=at("14:22"),
        can_start_from=at("14:00"),
        ready_by=at("17:30"),
        ready_at=at("17:42"),
        ready_if_started_now=at("17:42"),
        serves=(
            Serves("dinner", None, SATURDAY, KG),
            Serves("lunch", "crisp", SATURDAY + timedelta(days=1), 200 * MILLION),
        ),
        takes=(),
        steps=(),
        use_by=None,
        par=1_500 * MILLION,
        on_hand=300 * MILLION,
        under_way=0,
        short=1_200 * MILLION,
        notes=(Note("over", {"item": "lamb-jus", "amount": 100 * MILLION}),),
    )  # fmt: skip
    run = UnderWay(
        "Q4R", "crisp", "pastry", 24 * EACH, Fraction(1), "JP", at("13:30"), 0, "Bake", "Cool", at("14:40"),
        at("15:00"), {"crisp": 24 * EACH},
    )  # fmt: skip
    return Board(
        state=State(book),
        now=NOW,
        sittings=(
            SittingLine("dinner", SATURDAY, 92, 92, at("18:00"), at("22:30"), at("17:30"), False, 0.86),
            SittingLine("lunch", SATURDAY + timedelta(days=1), 60, 60, at("12:00", date(2026, 11, 1)),
                        at("15:00", date(2026, 11, 1)), at("12:00", date(2026, 11, 1)), False, None),
        ),
        make=(line,),
        under_way=(run,),
        expiring=(Expiring(batch, True),),
        given_left=(
            Left("lamb", 24, 20, "lamb-jus", at("20:40"), False, False, "counted",
                 (LeftPrep("lamb-jus", 1_100 * MILLION, 45 * MILLION),), ends_first="lamb-jus"),
        ),
        pars=(
            ParLine("dinner", SATURDAY, 92, "lamb-jus", 1_500 * MILLION, "mix", "guess", 0.9567, KG, 300 * MILLION, 0,
                    1_200 * MILLION, False, 1_200 * MILLION),
        ),
        pull=(
            Pull("lamb-bones", "goods", 2 * KG, 2_500 * MILLION, at("08:00", date(2026, 11, 1)), False, True,
                 ("lamb-jus",)),
        ),
        work=(StationWork("sauce", at("18:00"), 218, 250),),
    )  # fmt: skip
