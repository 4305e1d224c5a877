"""An invented kitchen and a board of its afternoon, made by hand so that rows can be checked against it."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

os.environ.pop("NO_COLOR", None)
os.environ.pop("TEXTUAL_THEME", None)

from prepboard.book.amounts import MILLION, Measure
from prepboard.book.book import (
    Book,
    Dish,
    Equipment,
    Goods,
    Kitchen,
    Life,
    Place,
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
from prepboard.plan.board import Board
from prepboard.plan.lines import (
    Expiring,
    Left,
    LeftPrep,
    MakeLine,
    Note,
    ParLine,
    Placed,
    Serves,
    SittingLine,
    UnderWay,
    Work,
)
from prepboard.plan.state import Batch, Line, State

DAY = date(2026, 10, 31)
NOW = datetime(2026, 10, 31, 14, 22, tzinfo=UTC)
NEVER: Weekly[int] = Weekly((None,) * 7)


def at(clock: str, day: int = 31) -> datetime:
    """A moment of the kitchen's day; its clock is UTC's. Day 32 is the first of November."""
    hour, minute = map(int, clock.split(":"))
    on = date(2026, 10, day) if day <= 31 else date(2026, 11, day - 31)
    return datetime.combine(on, time(hour, minute), UTC)


def _prep(order: int, id: str, name: str, measure: Measure, station: str = "sauce", **more: object) -> Prep:
    keeps = {"chilled": Life(days=3)}
    return Prep(id, name, order, measure, station, "chilled", keeps, **more)  # type: ignore[arg-type]


MASS, VOLUME, COUNT = Measure("mass", "kg"), Measure("volume", "l"), Measure("count", "each")
KG = L = 1000 * MILLION

JUS_STEPS = (
    Step("roast the bones", "roast", hands_on=600, wait=45, equipment="deck", at=Temperature(Fraction(220), "C")),
    Step("simmer and skim", "sauce", hands_on=1200, wait=120, wait_up_to=240, note="never a rolling boil"),
    Step("strain, reduce to a coat", "sauce", hands_on=900, core=Temperature(Fraction(75), "C")),
)


def a_book(**names: str) -> Book:
    """The book; a name may be replaced by its id, to try unkind ones."""
    preps = [
        _prep(0, "soubise", "Onion soubise", VOLUME),
        _prep(
            1, "jus", "Lamb jus", VOLUME, outputs={"jus": 1200 * MILLION}, makes=1200 * MILLION, made_by=("jus",),
            steps=JUS_STEPS, uses=(Use("bones", 3 * KG, 0), Use("stock", 2 * L, 1)), note="Mount with butter at the pass.",
        ),
        _prep(2, "chive-oil", "Chive oil", VOLUME),
        _prep(3, "trout", "Cured trout", MASS),
        _prep(4, "shoulder", "Lamb shoulder, braised", MASS),
        _prep(5, "stock", "Brown stock", VOLUME, allergens=("celery",)),
        _prep(6, "crisp", "Onion crisp", COUNT),
        _prep(7, "parsnip", "Parsnip purée", MASS),
        _prep(8, "custard", "Custard", COUNT, station="pastry"),
    ]  # fmt: skip
    dishes = [
        Dish("lamb", "Pressed lamb shoulder", 0, ("dinner",), finish="Glaze under the grill, 4 min."),
        Dish("celeriac", "Celeriac and hazelnut", 1, ("dinner",)),
        Dish("duck", "Duck leg", 2, ("dinner",)),
        Dish("custard-dish", "Burnt custard", 3, ("dinner",)),
    ]
    goods = [Goods("bones", "Lamb bones", 0, MASS, usable=Fraction(1))]
    service = Service("dinner", "dinner", 0, time(18), time(22, 30), time(17, 30))
    lunch = Service("lunch", "lunch", 1, time(12), time(15), time(11, 30))
    kitchen = Kitchen(
        "The Tin Larder",
        Days(ZoneInfo("UTC"), time(4)),
        RuleBook("demo", "A made-up rule book", "It is a help and not the law of the place.", "invented"),
    )
    renamed = {prep.id: replace(prep, name=names.get(prep.id, prep.name)) for prep in preps}
    return Book(
        digest="",
        kitchen=kitchen,
        stations={id: Station(id, id, at, NEVER) for at, id in enumerate(("sauce", "roast", "pastry"))},
        equipment={"deck": Equipment("deck", "deck oven")},
        places={"walk-in": Place("walk-in", "walk-in", "chilled")},
        services={"dinner": service, "lunch": lunch},
        dishes={dish.id: dish for dish in dishes},
        menus={},
        preps=renamed,
        goods={good.id: good for good in goods},
        tasks={},
        people={},
    )


def make_line(prep: str, amount: int, start_by: datetime, *, station: str = "sauce", **more: object) -> MakeLine:
    late = max(0, int((NOW - start_by).total_seconds() // 60))
    values: dict[str, object] = {
        "line": Line(prep, f"dinner.{DAY}", 1),
        "prep": prep,
        "station": station,
        "amount": amount,
        "size": Fraction(1),
        "outputs": {prep: amount},
        "start_by": start_by,
        "can_start_from": start_by,
        "ready_by": at("17:30"),
        "late_minutes": late,
        "ready_if_started_now": at("17:42"),
        "serves": (Serves("dinner", None, DAY, amount),),
        "takes": (),
        "steps": (),
        "use_by": at("00:00", 33),
        "par": amount,
        "on_hand": 0,
        "under_way": 0,
        "short": amount,
    }
    return MakeLine(**(values | more))  # type: ignore[arg-type]


def batch(code: str, prep: str, left: int, use_by: datetime | None, *, station: str = "sauce", **more: str) -> Batch:
    return Batch(
        code,
        prep,
        left,
        at("10:05", 29),
        date(2026, 10, 29),
        use_by,
        "keeps",
        "chilled",
        "walk-in",
        station,
        "LM",
        **more,
    )


def _under_way() -> tuple[UnderWay, ...]:
    def run(code: str, prep: str, amount: int, by: str, next: str, next_at: datetime) -> UnderWay:
        return UnderWay(
            code,
            prep,
            "sauce",
            amount,
            Fraction(1),
            by,
            at("11:10"),
            1,
            "wait",
            next,
            next_at,
            at("16:40"),
            {prep: amount},
        )

    return (
        run("R1", "shoulder", 3200 * KG // 1000, "LM", "out of the deck oven", at("15:40")),
        run("R2", "stock", 8 * L, "JP", "strain", at("16:10")),
    )


def _make() -> tuple[MakeLine, ...]:
    steps = (
        Placed(0, at("14:40"), at("14:50"), at("15:35")),
        Placed(1, at("15:35"), at("15:55"), at("17:15")),
        Placed(2, at("17:15"), at("17:30"), at("17:30")),
    )
    sunday = date(2026, 11, 1)
    return (
        make_line("soubise", 2400 * MILLION, at("14:10")),
        make_line(
            "jus", 1200 * MILLION, at("14:40"), steps=steps, par=1600 * MILLION, on_hand=400 * MILLION, short=1200 * MILLION,
            notes=(Note("over", {"item": "jus", "amount": 200 * MILLION}),),
        ),
        make_line(
            "chive-oil", 500 * MILLION, at("15:05"),
            serves=(Serves("dinner", None, DAY, 300 * MILLION), Serves("lunch", None, sunday, 200 * MILLION)),
        ),
        make_line("trout", 3 * KG, at("22:15"), serves=(Serves("lunch", None, sunday, 3 * KG),)),
        make_line("custard", 20 * MILLION, at("15:30"), station="pastry"),
    )  # fmt: skip


@dataclass
class Maker:
    """Makes boards of the same afternoon with something different."""

    book: Book

    def __call__(self, **different: object) -> Board:
        book = self.book
        state = State(book=book, version=1)
        values: dict[str, object] = {
            "state": state,
            "now": NOW,
            "sittings": (
                SittingLine("dinner", DAY, 92, 92, at("18:00"), at("22:30"), at("17:30"), False, 0.81),
                SittingLine("lunch", date(2026, 11, 1), 70, 70, at("12:00", 32), at("15:00", 32), at("11:30", 32), False, 0.9),
            ),
            "make": _make(),
            "under_way": _under_way(),
            "expiring": (
                Expiring(batch("M2R", "crisp", 40 * MILLION, at("22:00")), False),
                Expiring(batch("K7F", "parsnip", 1100 * MILLION, at("00:00", 32)), True),
                Expiring(batch("Q9T", "soubise", 400 * MILLION, at("00:00", 33)), True),
                Expiring(batch("H8W", "custard", 14 * MILLION, at("00:00", 33), station="pastry"), True),
            ),
            "left": (
                Left("lamb", 34, 34, "jus", at("20:40"), False, False, "counted", (LeftPrep("jus", 400 * MILLION, 40 * MILLION),)),
                Left("celeriac", 61, 61, "parsnip", None, False, False, "counted", (LeftPrep("parsnip", 1100 * MILLION, 60 * MILLION),)),
                Left("duck", 0, 0, None, None, True, True, "counted", (LeftPrep("stock", 0, 10 * MILLION),)),
                Left("custard-dish", 14, 14, "custard", None, False, False, "counted", (LeftPrep("custard", 14 * MILLION, MILLION),)),
            ),
            "pars": (ParLine("dinner", DAY, 92, "jus", 1600 * MILLION, "mix", None, 0.951, 1300 * MILLION, 400 * MILLION, 0, 1200 * MILLION, False, 1200 * MILLION),),
            "pull": (),
            "work": (Work("sauce", at("18:00"), 218, 130), Work("pastry", at("18:00"), 100, 140)),
        }  # fmt: skip
        return Board(**(values | different))  # type: ignore[arg-type]


@pytest.fixture
def board() -> Maker:
    return Maker(a_book())


@pytest.fixture
def board_of() -> Callable[..., Maker]:
    """Boards whose preps have other names."""
    return lambda **names: Maker(a_book(**names))
