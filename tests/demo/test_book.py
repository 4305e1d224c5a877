"""The demo's recipe book: it loads without a fault and holds one of every kind of thing a kitchen writes down."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import time

import pytest

from prepboard.book.book import Book, Prep
from prepboard.book.reading.reader import read_book
from prepboard.book.safety.allergens import EU, GROUPS, listed
from prepboard.demo import TODAY, demo_folder


@pytest.fixture(scope="module")
def book() -> Book:
    return read_book(demo_folder())[0]


def takers(book: Book, items: Iterable[str]) -> set[str]:
    """The preps whose recipes take any of these."""
    wanted = set(items)
    return {prep.id for prep in book.preps.values() if any(use.item in wanted for use in prep.uses)}


def steps_at(book: Book, equipment: str) -> set[tuple[object, object]]:
    return {
        (step.at.degrees, step.at.unit)
        for prep in book.preps.values()
        for step in prep.steps
        if step.equipment == equipment and step.at
    }


def test_there_are_benches_enough_and_one_has_a_split_shift(book: Book) -> None:
    assert len(book.stations) >= 4
    saturdays = [station.hours.on(TODAY) for station in book.stations.values() if station.hours]
    assert any(windows and len(windows) > 1 for windows in saturdays)
    assert any(len(set(station.cooks.days)) > 1 for station in book.stations.values())


def test_the_card_has_three_courses_a_set_menu_and_bread_for_more_than_everybody(book: Book) -> None:
    assert len(book.dishes) >= 10
    assert len({dish.course for dish in book.dishes.values() if dish.course}) >= 3
    assert len(book.menus) >= 1
    assert all(len(menu.dishes) == 3 for menu in book.menus.values())
    assert any(dish.share > 1 and dish.course is None for dish in book.dishes.values())


def test_a_function_with_counts_lies_within_the_week_ahead(book: Book) -> None:
    functions = [service for service in book.services.values() if service.on]
    assert functions
    for service in functions:
        assert service.on is not None
        assert 0 <= (service.on - TODAY).days <= 7
        assert service.counts
        assert service.over > 0


def test_two_runs_give_several_things_that_feed_four_other_preps(book: Book) -> None:
    feeding = {
        prep.id for prep in book.preps.values() if len(prep.outputs) > 1 and len(takers(book, prep.outputs)) >= 4
    }
    assert len(feeding) >= 2


def test_yolks_and_whites_both_decide_how_many_eggs_are_parted(book: Book) -> None:
    both = [prep for prep in book.preps.values() if len(prep.driven_by) == 2]
    assert any(set(prep.driven_by) == {"egg-yolks", "egg-whites"} for prep in both)


def test_one_base_is_split_into_three(book: Book) -> None:
    variants = [book.preps[prep] for prep in takers(book, ["ice-base"])]
    assert len(variants) == 3
    assert {prep.store for prep in variants} == {"frozen"}


def test_lives_run_from_two_and_a_half_hours_to_months(book: Book) -> None:
    lives = {prep.id: prep.keeps[prep.store] for prep in book.preps.values()}
    assert sum(life.minutes is not None for life in lives.values()) >= 5
    assert len(book.preps) >= 35

    def in_store(store: str) -> list[Prep]:
        return [prep for prep in book.preps.values() if prep.store == store]

    for store in ("chilled", "frozen", "ambient", "hot", "time"):
        assert in_store(store), store
    for store in ("hot", "time"):
        assert all(lives[prep.id].minutes for prep in in_store(store))


def test_frozen_things_say_how_long_they_thaw(book: Book) -> None:
    assert any(prep.store == "frozen" and prep.thaw for prep in book.preps.values())
    assert sum(goods.store == "frozen" and goods.thaw > 0 for goods in book.goods.values()) >= 2


def test_the_deck_oven_is_shared_at_several_temperatures(book: Book) -> None:
    assert book.equipment["deck-oven"].racks > 1
    assert len(steps_at(book, "deck-oven")) >= 3


def test_some_runs_wait_overnight_and_may_wait_longer(book: Book) -> None:
    overnight = {
        prep.id for prep in book.preps.values() if any(step.wait_up_to > step.wait >= 8 * 60 for step in prep.steps)
    }
    assert len(overnight) >= 3


def test_standing_pars_follow_the_weekday_and_wait_for_a_low(book: Book) -> None:
    standing = [prep for prep in book.preps.values() if prep.par]
    assert any(prep.par and len(set(prep.par.days)) > 2 for prep in standing)
    assert all(prep.make_below for prep in standing)
    assert any(prep.joins for prep in book.preps.values())


def test_what_needs_no_date_mark_says_why(book: Book) -> None:
    assert sum(bool(prep.exempt) for prep in book.preps.values()) >= 2


def test_containers_density_and_pieces_are_there(book: Book) -> None:
    measures = [prep.measure for prep in book.preps.values()]
    assert sum(bool(measure.containers) for measure in measures) >= 5
    assert any(measure.density for measure in measures)
    assert any(measure.each for measure in measures)


def test_every_dish_has_allergens_of_the_annex_from_what_is_bought(book: Book) -> None:
    """Names of Regulation (EU) 1169/2011, Annex II, come up from the goods through the recipes."""

    def below(item: str) -> set[str]:
        if item in book.goods:
            return set(book.goods[item].allergens)
        prep = book.preps[item]
        recipe = book.preps[prep.made_by[0]]
        return set(prep.allergens).union(*(below(use.item) for use in recipe.uses))

    on_plates = {dish.id: listed(set().union(*map(below, dish.plate)), "eu") for dish in book.dishes.values()}
    assert "fish" in on_plates["trout-starter"]
    assert "hazelnuts" in on_plates["asparagus-starter"]
    assert set().union(*on_plates.values()) <= set(EU) | set(GROUPS)
    assert len(set().union(*on_plates.values())) >= 7


def test_raw_fish_that_nobody_cooks_is_date_marked_and_raw_fish_for_the_pan_is_not(book: Book) -> None:
    assert book.preps["cured-trout"].ready_to_eat
    assert not book.preps["zander-portions"].ready_to_eat
    assert not book.preps["salted-breasts"].ready_to_eat


def test_peelings_that_are_only_boiled_are_not_eaten_and_hand_no_date_on(book: Book) -> None:
    users = [prep for prep in book.preps.values() if any(use.item == "asparagus-peelings" for use in prep.uses)]
    assert [prep.id for prep in users] == ["asparagus-broth"]
    assert not book.preps["asparagus-peelings"].ready_to_eat


def test_everything_written_down_is_used(book: Book) -> None:
    used = {use.item for prep in book.preps.values() for use in (*prep.uses, *prep.takes_if_there)}
    used |= {item for dish in book.dishes.values() for item in dish.plate}
    assert {*book.preps, *book.goods} <= used


def test_prices_and_costs_are_there(book: Book) -> None:
    assert all(goods.cost for goods in book.goods.values())
    assert all(dish.price for dish in book.dishes.values() if dish.course)


def test_somebody_may_do_everything(book: Book) -> None:
    assert {person.role for person in book.people.values()} == {"sous", "closing", "cook"}
    assert {type(task.when) for task in book.tasks.values()} == {str, time}
