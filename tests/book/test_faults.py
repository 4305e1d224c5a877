"""One fault at a time: each is found, stands at its line and key, and says what was expected."""

from __future__ import annotations

CASES = {
    "a key that does not exist, with the nearest one": (
        '[preps.a]\nname = "A"\nkepes = "3 days"\nmakes = "1 kg"\n',
        3,
        "preps.a.kepes",
        "did you mean 'keeps'",
    ),
    "a key that is like no other lists those that exist": (
        '[equipment.oven]\ncolour = "red"\n',
        2,
        "equipment.oven.colour",
        "known here are name, places, racks",
    ),
    "a top-level key that does not exist": ('timezone = "UTC"\n', 1, "timezone", "did you mean 'time_zone'"),
    "an unknown time zone": (
        'time_zone = "Europe/Dublim"\n',
        1,
        "time_zone",
        "did you mean 'Europe/Dublin'",
    ),
    "a time zone that is a folder": ('time_zone = "Europe"\n', 1, "time_zone", "no time zone is called 'Europe'"),
    "a time zone that climbs out": ('time_zone = "../../etc/passwd"\n', 1, "time_zone", "no time zone is called"),
    "an unknown rule book": ('rules = "food-code-2021"\n', 1, "rules", "did you mean 'food-code-2022'"),
    "a clock time that is none": ('day_starts = "25:00"\n', 1, "day_starts", 'a time like "17:30"'),
    "a word outside a choice": ('units = "metrics"\n', 1, "units", "did you mean 'metric'"),
    "a bell that is not yes or no": ('bell = "yes"\n', 1, "bell", "true or false"),
    "a clock of 13 hours": ("clock = 13\n", 1, "clock", "12 or 24"),
    "a chance of one and a half": ("service_level = 1.5\n", 1, "service_level", "between 0 and 1"),
    "a chance that is no number": ("enough = nan\n", 1, "enough", "expected a number"),
    "a number that would fill the memory": ("enough = 1e999999999\n", 1, "enough", "expected a number"),
    "planning ahead by nothing": ('plan_ahead = "0 days"\n', 1, "plan_ahead", "more than nothing"),
    "an id with a capital": ("[stations.Sauce]\n", 1, "stations.Sauce", "small letters"),
    "an id with a blank": ('[stations."hot line"]\n', 1, "stations.hot line", "small letters"),
    "an id of 61 letters": (f"[stations.{'a' * 61}]\n", 1, f"stations.{'a' * 61}", "60 characters at most"),
    "a section that is no table": ("stations = 3\n", 1, "stations", "expected a table"),
    "an entry that is no table": ("[stations]\nsauce = 3\n", 2, "stations.sauce", "expected a table"),
    "a name that is no text": ("[stations.a]\nname = 3\n", 2, "stations.a.name", "a text in quotes"),
    "a name of 121 letters": (f'[stations.a]\nname = "{"x" * 121}"\n', 2, "stations.a.name", "121 characters long"),
    "an empty name": ('[stations.a]\nname = " "\n', 2, "stations.a.name", "is empty"),
    "an escape code in a name": ('[stations.a]\nname = "\\u001b[31mred"\n', 2, "stations.a.name", "control character"),
    "a line break in a name": ('[stations.a]\nname = "a\\nb"\n', 2, "stations.a.name", "control character"),
    "text turned around in a name": ('[stations.a]\nname = "\\u202egnp"\n', 2, "stations.a.name", "turns text around"),
    "an escape code in a note": ('[places.a]\nnote = "\\u001b]0;x"\n', 2, "places.a.note", "control character"),
    "fewer than no cooks": ("[stations.a]\ncooks = -1\n", 2, "stations.a.cooks", "from 0 to 200"),
    "half a cook": ("[stations.a]\ncooks = 0.5\n", 2, "stations.a.cooks", "whole number"),
    "a weekday that does not exist": (
        "[stations.a]\ncooks = { frx = 2, else = 1 }\n",
        2,
        "stations.a.cooks.frx",
        "did you mean 'fri'",
    ),
    "hours without an end": ('[stations.a]\nhours = "08:00"\n', 2, "stations.a.hours", "08:00-15:00"),
    "hours that overlap": (
        '[stations.a]\nhours = "08:00-15:00, 14:00-23:00"\n',
        2,
        "stations.a.hours",
        "overlap",
    ),
    "a storage that does not exist": ('[places.a]\nstore = "cold"\n', 2, "places.a.store", "chilled, frozen"),
    "a temperature without its scale": ('[places.a]\ntemperature = "3"\n', 2, "places.a.temperature", '"160 C"'),
    "a temperature of the sun": ('[places.a]\ntemperature = "5500 C"\n', 2, "places.a.temperature", "of a kitchen"),
    "equipment with no place": ("[equipment.a]\nplaces = 0\n", 2, "equipment.a.places", "from 1 to 200"),
    "a task without a time": ("[tasks.a]\n", 1, "tasks.a", "needs `when`"),
    "a task at a wrong time": ('[tasks.a]\nwhen = "closing"\n', 2, "tasks.a.when", "did you mean 'close'"),
    "a task at a station that is not there": (
        '[tasks.a]\nwhen = "open"\nstation = "kitchn"\n',
        3,
        "tasks.a.station",
        "did you mean 'kitchen'",
    ),
    "a role that does not exist": ('[people.lm]\nrole = "chef"\n', 2, "people.lm.role", "cook, sous, closing"),
    "goods and a prep of one id": ("[goods.soubise]\n", 1, "goods.soubise", "never both"),
    "an unknown unit of goods": ('[goods.a]\nunit = "kgs"\n', 2, "goods.a.unit", "did you mean 'kg'"),
    "more usable than bought": ("[goods.a]\nusable = 1.2\n", 2, "goods.a.usable", "from 0 to 1"),
    "nothing usable": ("[goods.a]\nusable = 0\n", 2, "goods.a.usable", "more than nothing"),
    "a cost below nothing": ("[goods.a]\ncost = -1\n", 2, "goods.a.cost", "from 0"),
    "an allergen by another word": (
        '[goods.a]\nallergens = ["shellfish"]\n',
        2,
        "goods.a.allergens.1",
        "crustaceans or molluscs",
    ),
    "a share in figures of a hundred": ("[dishes.a]\nshare = 30\n", 2, "dishes.a.share", "30 % is written 0.3"),
    "a share with its sign": ('[dishes.a]\nshare = "45%"\n', 2, "dishes.a.share", "45 % is written 0.45"),
    "a number in quotes": (
        '[services.a]\nstarts = "18:00"\nends = "22:00"\ncovers = "50"\n',
        4,
        "services.a.covers",
        "without quotes",
    ),
    "hours without minutes": (
        '[stations.a]\nhours = "9-15, 16-23"\n',
        2,
        "stations.a.hours",
        'expected hours like "08:00-15:00',
    ),
    "a station that is none, of few": (
        '[tasks.a]\nwhen = "open"\nstation = "zzz"\n[stations.hot]\n[stations.cold]\n',
        3,
        "tasks.a.station",
        "known are cold, hot",
    ),
    "a name where an id belongs": (
        '[dishes.a]\nplate = { sauce-soubise = "60 g" }\n[goods.onion-sauce]\nname = "Sauce soubise"\n',
        2,
        "dishes.a.plate.sauce-soubise",
        "did you mean 'onion-sauce'",
    ),
    "goods that nobody wrote": (
        '[dishes.a]\nplate = { frisee = "20 g" }\n',
        2,
        "dishes.a.plate.frisee",
        "is written [goods.frisee]",
    ),
    "an allergen by the animal": ('[goods.a]\nallergens = ["crab"]\n', 2, "goods.a.allergens.1", "called crustaceans"),
    "no allergen at all": (
        '[goods.a]\nallergens = ["zebra"]\n',
        2,
        "goods.a.allergens.1",
        "lupin, molluscs, wheat, rye",
    ),
    "a unit by its name": ('[goods.a]\nunit = "litres"\n', 2, "goods.a.unit", "here it is l"),
    "pieces by a word": ('[goods.a]\nunit = "bunch"\n', 2, "goods.a.unit", "here it is each"),
    "a part written as a percentage": ("[goods.a]\nusable = 65\n", 2, "goods.a.usable", "65 % is written 0.65"),
    "an amount from one number to another": (
        '[preps.a]\nname = "A"\nkeeps = "3 days"\nmakes = "10-15 kg"\n',
        4,
        "preps.a.makes",
        "'10-15 kg' is from one number to another",
    ),
    "a time from one number to another": (
        '[tasks.a]\nwhen = "open"\nhands_on = "10–15 min"\n',
        3,
        "tasks.a.hands_on",
        "'10–15 min' is from one number to another",
    ),
    "an allergen that is none names the cereals and nuts too": (
        '[goods.a]\nallergens = ["bran"]\n',
        2,
        "goods.a.allergens.1",
        "wheat, rye, barley",
    ),
    "a renamed prep whose old id is still there": (
        '[preps.a]\nname = "A"\nkeeps = "3 days"\nmakes = "1 kg"\nwas = "soubise"\n',
        5,
        "preps.a.was",
        "still in the book",
    ),
    "two preps that were one": (
        '[goods.a]\nwas = "old"\n[goods.b]\nwas = "old"\n',
        4,
        "goods.b.was",
        "became 'a' already",
    ),
    "an allergen spelled wrongly": (
        '[goods.a]\nallergens = ["mlk"]\n',
        2,
        "goods.a.allergens.1",
        "did you mean 'milk'",
    ),
    "a loosened rule": (
        '[rules_of_the_house]\ndate_mark = "9 days"\n',
        2,
        "rules_of_the_house.date_mark",
        "`approved_plan`",
    ),
    "a house rule that no code has": (
        '[rules_of_the_house]\nhot_holdin = "63 C"\n',
        2,
        "rules_of_the_house.hot_holdin",
        "did you mean 'hot_holding'",
    ),
    "a house rule in the wrong unit": (
        '[rules_of_the_house]\ndate_mark = "63 C"\n',
        2,
        "rules_of_the_house.date_mark",
        "expected a duration",
    ),
}


def test_a_fault_of_the_kitchen_stands_at_its_line_and_says_what_was_expected(fault):
    for case, (text, line, key, said) in CASES.items():
        found = fault(text)
        assert (found.file, found.line, found.key) == ("a.toml", line, key), case
        assert said in found.said, case


PREP_CASES = {
    "no name": ('keeps = "1 day"\nmakes = "1 kg"', 1, "preps.a", "needs a `name`"),
    "no keeps": ('name = "A"\nmakes = "1 kg"', 1, "preps.a", "needs `keeps`"),
    "no makes and no maker": ('name = "A"\nkeeps = "1 day"', 1, "preps.a", "nothing makes it"),
    "life of no time": ('name = "A"\nmakes = "1 kg"\nkeeps = "0 days"', 4, "preps.a.keeps", "no time"),
    "half a day counted in days": ('name = "A"\nmakes = "1 kg"\nkeeps = "2.5 days"', 4, "preps.a.keeps", '"36 h"'),
    "a life that is no duration": ('name = "A"\nmakes = "1 kg"\nkeeps = "a while"', 4, "preps.a.keeps", "a duration"),
    "a life of a thousand years": (
        'name = "A"\nmakes = "1 kg"\nkeeps = "365000 days"',
        4,
        "preps.a.keeps",
        "longer than anything",
    ),
    "keeps without the storage it is in": (
        'name = "A"\nmakes = "1 kg"\nstore = "chilled"\nkeeps = { frozen = "60 days" }',
        5,
        "preps.a.keeps",
        "says nothing for chilled",
    ),
}
REST = {
    "what is bought in and has nearly the prep's own name": (
        'makes = "1 kg"\nuses = { aa = "1 kg" }',
        "preps.a.uses.aa",
        "no prep and no goods are called 'aa'; what is bought in is written [goods.aa]",
    ),
    "one word where a list belongs": ('makes = "1 kg"\nallergens = "milk"', "preps.a.allergens", "like ['milk'], not"),
    "money with its sign": (
        'makes = "1 kg"\ncost_over = "£2.50"\ncost_short = 3',
        "preps.a.cost_over",
        "money is a number by itself, like 9.50",
    ),
    "an amount without a unit": ('makes = "3"', "preps.a.makes", "needs a unit"),
    "an amount below nothing": ('makes = "-3 kg"', "preps.a.makes", "less than zero"),
    "an amount of nothing": ('makes = "0 kg"', "preps.a.makes", "is nothing"),
    "an amount beyond any kitchen": ('makes = "99999999999999 kg"', "preps.a.makes", "more than any kitchen"),
    "a decimal comma": ('makes = "1,5 kg"', "preps.a.makes", "not a comma"),
    "a unit that does not exist": ('makes = "3 kgs"', "preps.a.makes", "did you mean 'kg'"),
    "an item that does not exist": (
        'makes = "1 kg"\nuses = { soubis = "1 kg" }',
        "preps.a.uses.soubis",
        "did you mean 'soubise'",
    ),
    "a volume of something weighed": (
        'makes = "1 kg"\nuses = { soubise = "1 l" }',
        "preps.a.uses.soubise",
        "needs `density`",
    ),
    "pieces of something weighed": (
        'makes = "1 kg"\nuses = { soubise = "3 each" }',
        "preps.a.uses.soubise",
        "needs `each`",
    ),
    "itself among what comes with it": (
        'makes = "1 kg"\nalso_makes = { a = "1 kg" }',
        "preps.a.also_makes.a",
        "the prep itself",
    ),
    "driven by what it does not give": (
        'makes = "1 kg"\ndriven_by = ["soubise"]',
        "preps.a.driven_by.1",
        "not given by this recipe",
    ),
    "a smallest size above the largest": (
        'makes = "1 kg"\nsizes = { smallest = 2, largest = 1 }',
        "preps.a.sizes.largest",
        "below the smallest",
    ),
    "a largest size that no step reaches": (
        'makes = "1 kg"\nsizes = { smallest = 0.5, step = 0.5, largest = 1.8 }',
        "preps.a.sizes.largest",
        "no run comes to exactly 1.8",
    ),
    "a size of nothing": ('makes = "1 kg"\nsizes = { smallest = 0 }', "preps.a.sizes.smallest", "expected a number"),
    "a container called like a unit": (
        'makes = "1 kg"\nheld_in = { cup = "200 g" }',
        "preps.a.held_in.cup",
        "is a unit already",
    ),
    "a piece that weighs nothing": ('makes = "1 each"\neach = "0 g"', "preps.a.each", '"60 g"'),
    "a density of lead and more": ('makes = "1 l"\ndensity = 30', "preps.a.density", "no food"),
    "make_below above the par": (
        'makes = "1 kg"\npar = "1 kg"\nmake_below = "2 kg"',
        "preps.a.make_below",
        "above the par",
    ),
    "joins that are no days": ('makes = "1 kg"\njoins = "3 h"', "preps.a.joins", "whole days"),
    "one cost without the other": ('makes = "1 kg"\ncost_short = 3', "preps.a.cost_short", "`cost_over`"),
    "an unknown way of packing": ('makes = "1 kg"\npacked = "jar"', "preps.a.packed", "expected one of vacuum"),
    "a station that does not exist": ('makes = "1 kg"\nstation = "sauce"', "preps.a.station", "no station"),
    "a step without words": ('makes = "1 kg"\nsteps = [{ wait = "1 h" }]', "preps.a.steps.1", "needs `do`"),
    "a step that is no table": ('makes = "1 kg"\nsteps = ["stir"]', "preps.a.steps.1", "expected a table"),
    "steps that are no list": ('makes = "1 kg"\nsteps = "stir"', "preps.a.steps", "expected a list"),
    "a wait that ends before it is over": (
        'makes = "1 kg"\nsteps = [{ do = "x", wait = "3 h", wait_up_to = "2 h" }]',
        "preps.a.steps.1.wait_up_to",
        "shorter than `wait`",
    ),
    "a wait of ten years": (
        'makes = "1 kg"\nsteps = [{ do = "x", wait = "3650 days" }]',
        "preps.a.steps.1.wait",
        "longer than anything",
    ),
    "hands-on of two days": (
        'makes = "1 kg"\nsteps = [{ do = "x", hands_on = "2 days" }]',
        "preps.a.steps.1.hands_on",
        "longer than anything",
    ),
    "equipment that does not exist": (
        'makes = "1 kg"\nsteps = [{ do = "x", equipment = "oven" }]',
        "preps.a.steps.1.equipment",
        "no equipment",
    ),
    "racks of no equipment": (
        'makes = "1 kg"\nsteps = [{ do = "x", racks = 2 }]',
        "preps.a.steps.1.racks",
        "`equipment`",
    ),
    "a place that does not exist": (
        'makes = "1 kg"\nsteps = [{ do = "x", place = "walk-in" }]',
        "preps.a.steps.1.place",
        "no place",
    ),
    "a step that takes what the recipe does not": (
        'makes = "1 kg"\nsteps = [{ do = "x", uses = ["soubise"] }]',
        "preps.a.steps.1.uses.soubise",
        "not in this recipe",
    ),
    "an ingredient at two steps without amounts": (
        'makes = "1 kg"\nuses = { soubise = "1 kg" }\n'
        'steps = [{ do = "x", uses = ["soubise"] }, { do = "y", uses = ["soubise"] }]',
        "preps.a.steps.1.uses.soubise",
        "say how much at each",
    ),
    "step amounts that do not add up": (
        'makes = "1 kg"\nuses = { soubise = "1 kg" }\n'
        'steps = [{ do = "x", uses = { soubise = "300 g" } }, { do = "y", uses = { soubise = "600 g" } }]',
        "preps.a.steps.2.uses.soubise",
        "take 0.9 kg of 'soubise', the recipe uses 1 kg",
    ),
    "a life that starts after the first hot step": (
        'makes = "1 kg"\nsteps = [{ do = "x", at = "90 C" }, { do = "y", life_starts = true }]',
        "preps.a.steps.2.life_starts",
        "late",
    ),
    "a life that starts at the hot step itself": (
        'makes = "1 kg"\nsteps = [{ do = "x" }, { do = "y", at = "135 F", life_starts = true }]',
        "preps.a.steps.2.life_starts",
        "late",
    ),
    "a life that starts after a cold run began": (
        'makes = "1 kg"\nsteps = [{ do = "x" }, { do = "y", life_starts = true }]',
        "preps.a.steps.2.life_starts",
        "starts with the run",
    ),
    "an item both needed and taken if there": (
        'makes = "1 kg"\nuses = { soubise = "1 kg" }\ntakes_if_there = { soubise = "1 kg" }',
        "preps.a.takes_if_there.soubise",
        "stands in `uses` too",
    ),
    "something instead of what does not go in": (
        'makes = "1 kg"\ninstead = { onion = "soubise" }',
        "preps.a.instead.onion",
        "is not in this recipe's `uses`",
    ),
    "itself instead": (
        'makes = "1 kg"\nuses = { soubise = "1 kg" }\ninstead = { soubise = "a" }',
        "preps.a.instead.soubise",
        "is no other food",
    ),
    "nobody knows what instead": (
        'makes = "1 kg"\nuses = { soubise = "1 kg" }\ninstead = { soubise = "sobise" }',
        "preps.a.instead.soubise",
        "no prep and no goods are called",
    ),
}


def test_a_prep_that_lacks_what_it_needs(fault):
    for case, (text, line, key, said) in PREP_CASES.items():
        found = fault(f"[preps.a]\n{text}\n")
        assert (found.line, found.key) == (line, key), case
        assert said in found.said, case


def test_a_fault_of_a_prep_stands_at_its_key(fault):
    for case, (text, key, said) in REST.items():
        found = fault(f'[preps.a]\nname = "A"\nkeeps = "3 days"\n{text}\n')
        assert found.key == key, case
        line = next(number for number, line in enumerate(text.split("\n"), 1) if line.startswith(key.split(".")[2]))
        assert found.line == 3 + line, case
        assert said in found.said, case


def test_steps_of_a_prep_without_a_recipe_are_refused(fault):
    """What comes with another prep's run has no steps of its own."""
    found = fault(
        """
        [preps.braise]
        name = "Braise"
        keeps = "3 days"
        makes = "2 kg"
        also_makes = { liquor = "1 l" }
        [preps.liquor]
        name = "Liquor"
        keeps = "3 days"
        steps = [{ do = "strain" }]
        """
    )
    assert (found.line, found.key) == (9, "preps.liquor.steps")
    assert "`makes`" in found.said


def test_even_the_smallest_run_must_fit_its_equipment(fault):
    found = fault(
        """
        [equipment.oven]
        places = 1
        racks = 2
        [preps.a]
        name = "A"
        keeps = "1 day"
        makes = "1 kg"
        steps = [{ do = "Bake", equipment = "oven", racks = 3 }]
        """
    )
    assert found.key == "preps.a.steps.1.racks"
