"""An invented kitchen and a board of its afternoon, made by hand so that rows can be checked against it."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import partial
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace

os.environ.pop("NO_COLOR", None)
os.environ.pop("TEXTUAL_THEME", None)

import screens
from boards.at_a_station import another, desk, file, loaded  # noqa: F401
from conftest import any_plan, books_are_read_once
from screens import Until

from prepboard.boards.frame.live import follow
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
from prepboard.plan.given.state import Batch, Line, State
from prepboard.plan.shown.lines import (
    Expiring,
    Left,
    LeftPrep,
    MakeLine,
    Note,
    ParLine,
    Placed,
    Serves,
    SittingLine,
    StationWork,
    UnderWay,
)

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
            steps=JUS_STEPS, uses=(Use("bones", 3 * KG, 0), Use("stock", 2 * L, 1)),
            note="Mount with butter at the pass.",
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
        Dish(
            "lamb",
            "Pressed lamb shoulder",
            0,
            ("dinner",),
            finish="Glaze under the grill, 4 min.",
            plate={"jus": 40 * MILLION},
        ),
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
    renamed = {prep.id: replace(prep, called=names.get(prep.id, prep.name)) for prep in preps}
    return Book(
        digest="",
        kitchen=kitchen,
        stations={id: Station(id, id, at, NEVER) for at, id in enumerate(("sauce", "roast", "pastry"))},
        equipment={"deck": Equipment("deck", "deck oven")},
        places={"walk-in": Place("walk-in", "walk-in", "chilled")},
        services={"dinner": service, "lunch": lunch},
        dishes={dish.id: replace(dish, called=names.get(dish.id, dish.name)) for dish in dishes},
        menus={},
        preps=renamed,
        goods={good.id: good for good in goods},
        tasks={},
        people={},
    )


def make_line(prep: str, amount: int, start_by: datetime, *, station: str = "sauce", **more: object) -> MakeLine:
    late = max(NOW - start_by, timedelta())
    values: dict[str, object] = {
        "line": Line(prep, f"dinner.{DAY}", 1),
        "prep": prep,
        "station": station,
        "amount": amount,
        "size": Fraction(1),
        "outputs": {prep: amount},
        "begins": max(NOW, start_by),
        "can_start_from": max(NOW, start_by),
        "ready_by": at("17:30"),
        "ready_at": at("17:30") + late,
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


def run(code: str, prep: str, amount: int, by: str, next: str, next_at: datetime) -> UnderWay:
    started, ready, outputs = at("11:10"), at("16:40"), {prep: amount}
    return UnderWay(code, prep, "sauce", amount, Fraction(1), by, started, 1, "wait", next, next_at, ready, outputs)


def left(dish: str, plates: int, limiting: str | None, per_plate: int, prep: str, **more: object) -> Left:
    values: dict[str, object] = {
        "dish": dish,
        "plates_left": plates,
        "in_mix": plates,
        "limiting": limiting,
        "runs_out_at": None,
        "eighty_six": False,
        "taken_off": False,
        "basis": "counted",
        "preps": (LeftPrep(prep, plates * per_plate * MILLION, per_plate * MILLION),),
        "ends_first": prep if more.get("runs_out_at") else None,
    }
    return Left(**(values | more))  # type: ignore[arg-type]


def sitting(
    service: str, day: date, covers: int, starts: datetime, ends: datetime, *, running: bool = False
) -> SittingLine:
    return SittingLine(service, day, covers, covers, starts, ends, starts, running, 0.8)


def _make() -> tuple[MakeLine, ...]:
    sunday = date(2026, 11, 1)
    steps = (
        Placed(0, at("14:40"), at("14:50"), at("15:35")),
        Placed(1, at("15:35"), at("15:55"), at("17:15")),
        Placed(2, at("17:15"), at("17:30"), at("17:30")),
    )
    for_two = (Serves("dinner", None, DAY, 300 * MILLION), Serves("lunch", None, sunday, 200 * MILLION))
    return (
        make_line("soubise", 2400 * MILLION, at("14:10")),
        make_line(
            "jus",
            1200 * MILLION,
            at("14:40"),
            steps=steps,
            par=1600 * MILLION,
            on_hand=400 * MILLION,
            short=1200 * MILLION,
            notes=(Note("over", {"item": "jus", "amount": 200 * MILLION}),),
        ),
        make_line("chive-oil", 500 * MILLION, at("15:05"), serves=for_two),
        make_line("trout", 3 * KG, at("22:15"), serves=(Serves("lunch", None, sunday, 3 * KG),)),
        make_line("custard", 20 * MILLION, at("15:30"), station="pastry"),
    )


def _par_of_jus() -> ParLine:
    par, expected, on_hand, short = (amount * MILLION for amount in (1600, 1300, 400, 1200))
    return ParLine("dinner", DAY, 92, "jus", par, "mix", None, 0.951, expected, on_hand, 0, short, False, short)


@dataclass
class Maker:
    """Makes boards of the same afternoon with something different."""

    book: Book

    def __call__(self, **different: object) -> Board:
        values: dict[str, object] = {
            "state": State(book=self.book, version=1),
            "now": NOW,
            "sittings": (
                sitting("dinner", DAY, 92, at("18:00"), at("22:30")),
                sitting("lunch", date(2026, 11, 1), 70, at("12:00", 32), at("15:00", 32)),
            ),
            "make": _make(),
            "under_way": (
                run("R1", "shoulder", 3200 * MILLION, "LM", "out of the deck oven", at("15:40")),
                run("R2", "stock", 8 * L, "JP", "strain", at("16:10")),
            ),
            "expiring": (
                Expiring(batch("M2R", "crisp", 40 * MILLION, at("22:00")), False),
                Expiring(batch("K7F", "parsnip", 1100 * MILLION, at("00:00", 32)), True),
                Expiring(batch("Q9T", "soubise", 400 * MILLION, at("00:00", 33)), True),
                Expiring(batch("H8W", "custard", 14 * MILLION, at("00:00", 33), station="pastry"), True),
            ),
            "given_left": (
                left("lamb", 34, "jus", 40, "jus", runs_out_at=at("20:40")),
                left("celeriac", 61, "parsnip", 60, "parsnip"),
                left("duck", 0, None, 10, "stock", eighty_six=True, taken_off=True),
                left("custard-dish", 14, "custard", 1, "custard"),
            ),
            "pars": (_par_of_jus(),),
            "pull": (),
            "work": (StationWork("sauce", at("18:00"), 218, 130), StationWork("pastry", at("18:00"), 100, 140)),
        }
        return Board(**(values | different))  # type: ignore[arg-type]


@pytest.fixture
def until() -> Until:
    return screens.until


@pytest.fixture
def make() -> Callable[..., MakeLine]:
    """Makes a line to make: prep, amount, start-by, and whatever else differs."""
    return make_line


@pytest.fixture
def moment() -> Callable[..., datetime]:
    return at


@pytest.fixture
def parts() -> SimpleNamespace:
    """Makes the other parts of a board by hand."""
    return SimpleNamespace(batch=batch, run=run, left=left, sitting=sitting, now=NOW, day=DAY)


@pytest.fixture
def board() -> Maker:
    return Maker(a_book())


@pytest.fixture
def board_of() -> Callable[..., Maker]:
    """Boards whose preps and dishes have other names."""
    return lambda **names: Maker(a_book(**names))


@pytest.fixture(autouse=True)
def quick_hands(monkeypatch: pytest.MonkeyPatch) -> None:
    screens.quick_hands(monkeypatch)


@pytest.fixture(autouse=True)
def plans_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What others did is planned at once, and a file that was gone is looked for soon: how long a board waits has tests
    of its own."""
    monkeypatch.setattr("prepboard.boards.frame.board_screen.follow", partial(follow, retry=0.1))
    monkeypatch.setattr("prepboard.boards.frame.live.QUIET", 0.02)
    monkeypatch.setattr("prepboard.boards.frame.live.SPREAD", 0.0)


OF_PLANS = ("test_batch_keys", "test_helping", "test_helps_hold", "test_pars", "test_promises", "test_timeline_agrees")
"""Tests of what plans promise, and of what they come to."""


_BOOKS: dict[bool, dict[str, Book]] = {True: {}, False: {}}
"""With them what was planned of them: by whether that is a good plan."""


@pytest.fixture(autouse=True)
def books_and_plans_are_remembered(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Generator[None]:
    """Boards that tests open one after the other on one kitchen share its book, and with it what was planned of it:
    each would work out anew with which plan the one before it began. Keys, words and places on the screen do not ask
    how good a plan is."""
    monkeypatch.setattr("prepboard.plan.memory.BOOKS", 8)
    monkeypatch.setattr("prepboard.plan.outline.turn_page", lambda _now: None)
    of_plans = request.module.__name__.rpartition(".")[2] in OF_PLANS
    with books_are_read_once(_BOOKS[of_plans]), nullcontext() if of_plans else any_plan():
        yield


DRAWN_AT_ONCE = ("test_mishaps", "test_cells", "test_still")
"""Tests of the drawing itself."""


@pytest.fixture(autouse=True)
def drawn_when_come_to(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if request.module.__name__.rpartition(".")[2] not in DRAWN_AT_ONCE:
        screens.draw_when_come_to(monkeypatch)


@pytest.fixture(autouse=True)
def falls(monkeypatch: pytest.MonkeyPatch) -> None:
    """What goes wrong inside ends a test, as it must not end a board."""
    monkeypatch.setattr("prepboard.boards.frame.board_screen.STANDS", False)
