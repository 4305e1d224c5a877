"""What is different today: kept for its day, over a reload of the book, and taken back by undo."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from prepboard.plan.board import plan
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.dishes import back, portion, take_off
from prepboard.store.actions.night.services import NewService, add_service, cancel, hold
from prepboard.store.actions.night.today import arrived, equip, give, hands, missing, stay
from prepboard.store.actions.night.tonight import standing
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Unsure

TODAY = date(2026, 10, 31)
ML = 1_000_000
LATE = NewService("Late table", time(22, 30), time(1, 0), 20, like="dinner")
LANTERN = NewService("Lantern dinner", time(19), time(20), 50, counts={"pressed-lamb": 40})

ACTIONS = {
    "hands": lambda kitchen: hands(kitchen.file, kitchen.sous, TODAY, "sauce", 0),
    "equip": lambda kitchen: equip(kitchen.file, kitchen.sous, TODAY, "oven", 0),
    "give": lambda kitchen: give(kitchen.file, kitchen.sous, TODAY, "lamb-jus", "roast"),
    "stay": lambda kitchen: stay(kitchen.file, kitchen.sous, TODAY, "pass", time(15), 20),
    "missing": lambda kitchen: missing(kitchen.file, kitchen.jp, "bones"),
    "86": lambda kitchen: take_off(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", "burnt"),
    "portion": lambda kitchen: portion(kitchen.file, kitchen.sous, kitchen.dinner, "pressed-lamb", "lamb-jus", 40 * ML),
    "add": lambda kitchen: add_service(kitchen.file, kitchen.sous, TODAY, LATE),
    "cancel": lambda kitchen: cancel(kitchen.file, kitchen.sous, kitchen.dinner),
    "standing": lambda kitchen: standing(kitchen.file, kitchen.sous, "brown-stock", 5000 * ML, {4, 5}),
}


@pytest.fixture
def kitchen(empty, book_folder):
    with (book_folder / "kitchen.toml").open("a", encoding="utf-8") as book:
        book.write('\n[equipment.oven]\nname = "Oven"\nplaces = 2\n')
        book.write('[stations.pass]\nname = "Pass"\nhours = "08:00-15:00"\n')
    empty.once("an oven", lambda: load_book(empty.file, empty.sous, book_folder))
    return empty


def different(kitchen) -> tuple[object, ...]:
    state = kitchen.state
    return (
        state.hands, state.equipment, state.given, state.staying, state.missing, state.tonight, state.portions,
        state.added, state.standing_on, tuple(state.book.services),
    )  # fmt: skip


@pytest.mark.parametrize("did", ACTIONS)
def test_it_is_kept_over_a_reload_and_gone_after_undo(kitchen, book_folder: Path, did: str):
    before = different(kitchen)
    done = ACTIONS[did](kitchen)
    after = different(kitchen)
    assert after != before
    with (book_folder / "goods.toml").open("a", encoding="utf-8") as book:
        book.write('\n[goods.thyme]\nname = "Thyme"\nunit = "g"\n')
    load_book(kitchen.file, kitchen.lm, book_folder)
    assert different(kitchen) == after
    undo(kitchen.file, kitchen.jp if did in ("missing", "86") else kitchen.sous)
    assert different(kitchen) == before
    assert kitchen.log("undo")[0]["before"] == done.text


@pytest.mark.parametrize("did", sorted(set(ACTIONS) - {"missing", "86", "equip"}))
def test_a_cook_may_not_do_what_is_the_sous_chefs(staffed, did: str):
    staffed.sous = staffed.jp
    with pytest.raises(Refused, match="only a sous chef may do that"):
        ACTIONS[did](staffed)


def test_hands_and_ovens_are_those_of_the_day_until_they_are_the_books_again(kitchen):
    hands(kitchen.file, kitchen.sous, TODAY, "sauce", 0)
    equip(kitchen.file, kitchen.sous, TODAY, "oven", 1)
    assert (kitchen.state.hands, kitchen.state.equipment) == ({("sauce", TODAY): 0}, {("oven", TODAY): 1})
    (line,) = kitchen.log("equip")
    assert (line["before"], line["after"], line["why"]) == ("2", "1", "oven 2026-10-31")
    hands(kitchen.file, kitchen.sous, TODAY, "sauce", 1)
    equip(kitchen.file, kitchen.sous, TODAY, "oven", None)
    assert (kitchen.state.hands, kitchen.state.equipment) == ({}, {})


def test_a_prep_goes_to_another_bench_and_back(kitchen):
    give(kitchen.file, kitchen.sous, TODAY, "lamb-jus", "roast")
    assert kitchen.state.given == {("lamb-jus", TODAY): "roast"}
    with pytest.raises(Refused, match="made by Roast already"):
        give(kitchen.file, kitchen.sous, TODAY, "lamb-jus", "roast")
    give(kitchen.file, kitchen.sous, TODAY, "lamb-jus", "sauce")
    assert kitchen.state.given == {}
    with pytest.raises(Refused, match="no station is called rost; did you mean roast"):
        give(kitchen.file, kitchen.sous, TODAY, "lamb-jus", "rost")


def test_goods_are_missing_until_they_arrive(kitchen):
    comes = datetime(2026, 10, 31, 16, tzinfo=UTC)
    missing(kitchen.file, kitchen.jp, "bones", comes)
    kitchen.later(hours=3)
    assert kitchen.state.missing == {"bones": comes}, "said to come at 16:00 is not there at 17:00"
    with pytest.raises(Refused, match="16:00 is over"):
        missing(kitchen.file, kitchen.jp, "shallot", comes)
    arrived(kitchen.file, kitchen.lm, "bones")
    assert kitchen.state.missing == {}
    with pytest.raises(Refused, match="was not missing"):
        arrived(kitchen.file, kitchen.lm, "bones")


def test_a_dish_is_taken_off_once_and_comes_back(kitchen):
    with pytest.raises(Refused, match="say why"):
        take_off(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", " ")
    take_off(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", "burnt")
    assert kitchen.state.tonight[kitchen.dinner].why_off == {"lamb-toast": "burnt"}
    with pytest.raises(Refused, match="off already: burnt"):
        take_off(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast", "again")
    back(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast")
    assert kitchen.state.tonight.get(kitchen.dinner) is None
    with pytest.raises(Refused, match="nobody took"):
        back(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast")


def test_a_portion_far_above_the_books_is_asked_for_once_more(kitchen):
    with pytest.raises(Unsure):
        portion(kitchen.file, kitchen.sous, kitchen.dinner, "pressed-lamb", "lamb-jus", 200 * ML)
    portion(kitchen.file, kitchen.sous, kitchen.dinner, "pressed-lamb", "lamb-jus", 200 * ML, sure=True)
    assert kitchen.state.portions == {(TODAY, "pressed-lamb", "lamb-jus"): 200 * ML}
    portion(kitchen.file, kitchen.sous, kitchen.dinner, "pressed-lamb", "lamb-jus", None)
    assert kitchen.state.portions == {}
    with pytest.raises(Refused, match="no Onion crisp is on a plate of Pressed lamb"):
        portion(kitchen.file, kitchen.sous, kitchen.dinner, "pressed-lamb", "onion-crisp", ML)


def test_a_sitting_like_another_has_its_dishes(kitchen):
    add_service(kitchen.file, kitchen.sous, TODAY, LATE)
    book = kitchen.book
    late = book.services["late-table"]
    assert (late.on, late.starts, late.ends, late.covers.on(TODAY)) == (TODAY, time(22, 30), time(1), 20)
    assert [dish.id for dish in book.dishes.values() if "late-table" in dish.services] == ["pressed-lamb", "lamb-toast"]
    assert kitchen.file.read().book is book, "it is put together once"


def test_a_function_has_counts_and_checks_them(kitchen):
    add_service(kitchen.file, kitchen.sous, TODAY, LANTERN)
    book = kitchen.book
    assert book.services["lantern-dinner"].counts == {"pressed-lamb": 40}
    assert "lantern-dinner" not in book.dishes["lamb-toast"].services
    many = NewService("Other", time(19), time(20), 30, counts={"pressed-lamb": 31})
    with pytest.raises(Refused, match="the counts of main come to 31, and 30 guests come"):
        add_service(kitchen.file, kitchen.sous, TODAY, many)
    with pytest.raises(Refused, match="what is served at Empty"):
        add_service(kitchen.file, kitchen.sous, TODAY, NewService("Empty", time(19), time(20), 5))
    with pytest.raises(Refused, match="there is a service Dinner already"):
        add_service(kitchen.file, kitchen.sous, TODAY, NewService("Dinner", time(19), time(20), 5, like="dinner"))


def test_a_cancelled_sitting_can_be_held_after_all(kitchen):
    cancel(kitchen.file, kitchen.sous, kitchen.dinner)
    assert kitchen.state.tonight[kitchen.dinner].cancelled
    with pytest.raises(Refused, match="cancelled already"):
        cancel(kitchen.file, kitchen.sous, kitchen.dinner)
    hold(kitchen.file, kitchen.sous, kitchen.dinner, covers=30)
    assert not kitchen.state.tonight[kitchen.dinner].cancelled
    assert kitchen.state.tonight[kitchen.dinner].covers == 30
    with pytest.raises(Refused, match="held already"):
        hold(kitchen.file, kitchen.sous, kitchen.dinner)


def test_a_service_of_the_book_is_held_on_a_day_without_it(kitchen, book_folder: Path):
    text = (book_folder / "kitchen.toml").read_text(encoding="utf-8")
    closed = text.replace('"mon", "tue"', '"tue"')
    (book_folder / "kitchen.toml").write_text(closed, encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    monday = TODAY + timedelta(days=2)
    assert not kitchen.book.services["dinner"].held_on(monday)
    hold(kitchen.file, kitchen.sous, ("dinner", monday), covers=25)
    assert kitchen.book.services["dinner"].held_on(monday)
    assert not kitchen.book.services["dinner"].held_on(monday + timedelta(days=7))


def test_what_a_new_book_has_lost_stays_and_harms_nothing(kitchen, book_folder: Path):
    for did in ACTIONS.values():
        did(kitchen)
    add_service(kitchen.file, kitchen.sous, TODAY, LANTERN)
    (book_folder / "dishes.toml").unlink()
    (book_folder / "goods.toml").unlink()
    (book_folder / "preps.toml").write_text('[preps.tea]\nname = "Tea"\nkeeps = "1 day"\nmakes = "1 l"\n')
    text = (book_folder / "kitchen.toml").read_text(encoding="utf-8")
    text = text.replace("stations.pass", "stations.bar")
    text = text.replace("stations.sauce", "stations.cold").replace("services.dinner", "services.lunch")
    (book_folder / "kitchen.toml").write_text(text.replace("equipment.oven", "equipment.hob"), encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    state = kitchen.state
    assert (set(state.hands), set(state.missing)) == ({("sauce", TODAY)}, {"bones"})
    gone = {change.kind for change in plan(state, kitchen.clock.at).changes if not change.known}
    assert gone == {"hands", "equipment", "given", "staying", "missing", "portion", "cancelled", "taken off"}
    arrived(kitchen.file, kitchen.sous, "bones")
    assert not kitchen.state.missing


def test_a_standing_par_of_weekdays_goes_with_the_one_of_all_days(kitchen):
    standing(kitchen.file, kitchen.sous, "brown-stock", 5000 * ML, {4, 5})
    assert kitchen.state.standing_on == {("brown-stock", 4): 5000 * ML, ("brown-stock", 5): 5000 * ML}
    standing(kitchen.file, kitchen.sous, "brown-stock", None, {4})
    assert kitchen.state.standing_on == {("brown-stock", 5): 5000 * ML}
    standing(kitchen.file, kitchen.sous, "brown-stock", None)
    assert kitchen.state.standing_on == {}
