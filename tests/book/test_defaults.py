"""What a book need not say, and what it then means."""

from __future__ import annotations

from datetime import time
from fractions import Fraction

from prepboard.book.book import Life, Sizes, Temperature, Use
from prepboard.book.reading.reader import read_texts

TWELVE_LINES = """
[preps.stock]
name = "Brown stock"
keeps = "4 days"
makes = "6 l"
par = "5 l"
[preps.jus]
name = "Jus"
keeps = "3 days"
makes = "1 l"
par = { fri = "1.5 l", else = "1 l" }
uses = { stock = "5 l" }
"""


def test_a_book_of_twelve_lines_with_two_preps_and_standing_pars_is_a_book():
    book = read_texts({"a.toml": TWELVE_LINES})
    jus = book.preps["jus"]
    assert jus.par is not None
    assert jus.par.days == (*(4 * [10**9]), 1_500_000_000, 10**9, 10**9)
    assert book.together == (("jus",), ("stock",))


def test_there_is_one_station_and_one_place_for_each_storage_without_any():
    book = read_texts({"a.toml": TWELVE_LINES})
    assert [(station.id, station.name) for station in book.stations.values()] == [("kitchen", "Kitchen")]
    assert book.stations["kitchen"].hours is None
    assert book.stations["kitchen"].cooks.days == (1,) * 7
    assert {place.store for place in book.places.values()} == {"chilled", "frozen", "ambient", "hot", "time"}
    assert book.preps["jus"].station == "kitchen"


def test_a_place_of_the_book_takes_the_place_of_the_default_one_of_its_storage(book):
    places = book('[places.walk-in]\nstore = "chilled"\ntemperature = "3 C"\n').places
    assert [place.id for place in places.values() if place.store == "chilled"] == ["walk-in"]
    assert places["walk-in"].temperature == Temperature(Fraction(3), "C")


def test_every_storage_has_a_place_even_where_its_word_names_another(book):
    places = book('[places.chilled]\nstore = "frozen"\n').places
    assert {place.store for place in places.values()} == {"chilled", "frozen", "ambient", "hot", "time"}
    assert places["chilled-store"].store == "chilled"


def test_the_kitchens_own_defaults(book):
    kitchen = book().kitchen
    assert kitchen.days.starts == time(4)
    assert (kitchen.service_level, kitchen.enough, kitchen.plan_ahead) == (0.95, 0.85, 2880)
    assert (kitchen.units, kitchen.clock, kitchen.allergens, kitchen.bell) == ("metric", 24, "eu", True)
    assert kitchen.rules.id == "food-code-2022"


def test_names_default_to_the_id_in_words(book):
    read = book(
        "[stations.garde-manger]\n[equipment.deck-oven]\n[places.walk-in]\n[goods.lamb-shoulder]\n[dishes.baked-cream]\n"
        '[tasks.clean-fryer]\nwhen = "close"\n[people.lm]\n'
    )
    assert read.stations["garde-manger"].name == "Garde manger"
    assert read.equipment["deck-oven"].name == "Deck oven"
    assert read.places["walk-in"].name == "Walk in"
    assert read.goods["lamb-shoulder"].name == "Lamb shoulder"
    assert read.dishes["baked-cream"].name == "Baked cream"
    assert read.tasks["clean-fryer"].name == "Clean fryer"
    assert (read.people["lm"].name, read.people["lm"].role) == ("LM", "cook")


def test_a_prep_without_a_station_is_at_the_first_of_the_book(book):
    assert book("[stations.sauce]\n[stations.roast]\n").preps["soubise"].station == "sauce"


def test_hours_by_weekday_close_the_days_that_are_not_named(book):
    read = book(
        '[stations.sauce]\nhours = { fri = "08:00-15:00, 16:00-01:00", sat = "closed" }\n'
        "[stations.roast]\ncooks = { fri = 2, sat = 2, else = 1 }\n"
    )
    hours = read.stations["sauce"].hours
    assert hours is not None
    assert hours.days[4] == ((time(8), time(15)), (time(16), time(1)))
    assert hours.days[:4] == ((),) * 4
    assert hours.days[5] == ()
    assert read.stations["roast"].cooks.days == (1, 1, 1, 1, 2, 2, 1)


def test_keeps_as_one_text_is_for_the_preps_own_storage(book):
    read = book(
        '[preps.a]\nname = "A"\nstore = "frozen"\nkeeps = "60 days"\nmakes = "1 kg"\n'
        '[preps.b]\nname = "B"\nkeeps = { chilled = "5 days", frozen = "60 days" }\nmakes = "1 kg"\n'
        '[preps.c]\nname = "C"\nkeeps = { ambient = "36 h" }\nmakes = "1 kg"\n'
    )
    assert read.preps["a"].keeps == {"frozen": Life(days=60)}
    assert read.preps["b"].store == "chilled"
    assert read.preps["b"].keeps["frozen"] == Life(days=60)
    assert (read.preps["c"].store, read.preps["c"].keeps) == ("ambient", {"ambient": Life(minutes=36 * 60)})


def test_heat_does_not_wait_cold_as_long_as_it_keeps_and_anything_else_a_quarter_more(book):
    read = book(
        """
        [equipment.oven]
        [preps.a]
        name = "A"
        keeps = "2 days"
        makes = "1 kg"
        steps = [
          { do = "Leave", wait = "6 h" },
          { do = "Trim" },
          { do = "Bake", wait = "3 h", equipment = "oven" },
          { do = "Simmer", wait = "1 h", at = "95 C" },
          { do = "Roast", wait = "1 h", core = "74 C" },
          { do = "Chill", wait = "2 h", cools = true },
          { do = "Rest", wait = "2 h", place = "chilled" },
          { do = "Set", wait = "6 h", wait_up_to = "8 h" },
          { do = "Ripen", wait = "3 days" },
        ]
        """
    )
    assert [step.wait_up_to for step in read.preps["a"].steps] == [450, 15, 180, 60, 60, 2880, 2880, 480, 4320]


def test_what_comes_with_a_maker_has_its_station_and_storage(book):
    read = book(
        """
        [stations.roast]
        [stations.sauce]
        [preps.braise]
        name = "Braise"
        station = "sauce"
        store = "frozen"
        keeps = "60 days"
        makes = "3 kg"
        also_makes = { liquor = "4 l", fat = "300 g" }
        [preps.liquor]
        name = "Liquor"
        keeps = "30 days"
        [preps.fat]
        name = "Fat"
        keeps = "20 days"
        station = "roast"
        store = "chilled"
        """
    )
    liquor, fat = read.preps["liquor"], read.preps["fat"]
    assert (liquor.station, liquor.store, liquor.measure.unit) == ("sauce", "frozen", "l")
    assert (fat.station, fat.store) == ("roast", "chilled")
    assert liquor.outputs == {}
    assert liquor.makes is None
    assert liquor.made_by == ("braise",)
    assert read.preps["braise"].outputs == {"braise": 3_000_000_000, "liquor": 4_000_000_000, "fat": 300_000_000}
    assert read.preps["braise"].driven_by == ("braise",)


def test_a_preps_own_recipe_stands_first_among_its_makers(book):
    read = book(
        """
        [preps.roast]
        name = "Roast"
        keeps = "1 day"
        makes = "1 kg"
        also_makes = { stock = "1 l" }
        [preps.stock]
        name = "Stock"
        keeps = "1 day"
        makes = "6 l"
        """
    )
    assert read.preps["stock"].made_by == ("stock", "roast")


def test_sizes_are_whole_recipes_unless_said(book):
    read = book(
        '[preps.a]\nname = "A"\nkeeps = "1 day"\nmakes = "1 kg"\nsizes = { smallest = 0.5, largest = 2 }\n'
        '[preps.b]\nname = "B"\nkeeps = "1 day"\nmakes = "1 kg"\nsizes = { largest = 3 }\n'
    )
    assert read.preps["soubise"].sizes == Sizes(Fraction(1), Fraction(1), None)
    assert read.preps["a"].sizes == Sizes(Fraction(1, 2), Fraction(1, 2), Fraction(2))
    assert read.preps["b"].sizes == Sizes(Fraction(1), Fraction(1), Fraction(3))


def test_joins_counts_days_and_none_joins_nothing(book):
    text = '[preps.{id}]\nname = "A"\nkeeps = "4 days"\nmakes = "1 kg"\n'
    read = book(text.format(id="a") + 'joins = "2 days"\n' + text.format(id="b") + 'joins = "none"\n')
    assert [read.preps[id_].joins for id_ in ("soubise", "a", "b")] == [0, 2, None]


def test_an_ingredient_is_taken_at_the_step_that_names_it(book):
    read = book(
        """
        [goods.onion]
        [goods.salt]
        [preps.a]
        name = "A"
        keeps = "1 day"
        makes = "1 kg"
        uses = { onion = "1 kg", soubise = "500 g", salt = "20 g" }
        takes_if_there = { stock = "1 l" }
        steps = [
          { do = "Sweat", uses = { onion = "800 g", soubise = "500 g" } },
          { do = "Finish", uses = { onion = "0.2 kg" } },
          { do = "Let down", uses = ["stock"] },
        ]
        [preps.stock]
        name = "Stock"
        keeps = "1 day"
        makes = "6 l"
        uses = { a = "100 g" }
        """
    )
    a = read.preps["a"]
    assert a.uses == (
        Use("onion", 800_000_000, 0),
        Use("onion", 200_000_000, 1),
        Use("soubise", 500_000_000, 0),
        Use("salt", 20_000_000, None),
    )
    assert a.takes_if_there == (Use("stock", 1_000_000_000, 2),)


def test_containers_are_units_of_their_prep_everywhere(book):
    read = book(
        """
        [preps.jus]
        name = "Jus"
        keeps = "3 days"
        makes = "2 deep sixth"
        held_in = { "deep sixth" = "2.2 l" }
        par = "1½ deep sixth"
        make_below = "1 deep sixth"
        [dishes.lamb]
        plate = { jus = "1/44 deep sixth" }
        """
    )
    jus = read.preps["jus"]
    assert (jus.measure.kind, jus.measure.unit) == ("volume", "l")
    assert (jus.makes, jus.make_below) == (4_400_000_000, 2_200_000_000)
    assert jus.par is not None
    assert jus.par.days[0] == 3_300_000_000
    assert read.dishes["lamb"].plate == {"jus": 50_000_000}


def test_a_bare_number_is_meant_in_the_items_own_unit(book):
    assert book("[dishes.a]\nplate = { soubise = 0.06 }\n").dishes["a"].plate == {"soubise": 60_000_000}


def test_hands_on_is_kept_in_seconds_and_waits_in_minutes_rounded_up(book):
    read = book(
        '[preps.a]\nname = "A"\nkeeps = "1 day"\nmakes = "1 kg"\n'
        'steps = [{ do = "Fry", hands_on = "30 s", hands_on_each = "1½ min", wait = "30 s" }]\n'
    )
    step = read.preps["a"].steps[0]
    assert (step.hands_on, step.hands_on_each, step.wait) == (30, 90, 1)
    assert step.hands_minutes(Fraction(2)) == 4
