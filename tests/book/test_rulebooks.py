"""The rule books that travel along, and a kitchen's own rules on top: tighter always, looser with its own plan only."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from prepboard.book.reading.key_words import KEYS
from prepboard.book.reading.reader import Faults, read_texts
from prepboard.book.reading.rulebooks import more_is_stricter, rule_book, rule_books
from prepboard.resources import config_folder

STATUSES = {"read", "quoted", "from memory"}

PLAN = 'approved_plan = { number = "Plan 7", by = "City food office", on = "2026-03-01" }\n'


def test_the_rule_books_travel_along():
    assert rule_books() == ("food-code-2022", "fsanz", "ireland", "uk", "uk-scotland")
    assert KEYS[""]["rules"].written == ", ".join(rule_books()), "the guide names them all"
    for starter in ("starter", "starter-es"):
        text = (config_folder() / starter / "kitchen.toml").read_text(encoding="utf-8")
        (line,) = (line for line in text.splitlines() if line.startswith("rules ="))
        assert set(re.findall(r"[\w-]+", line)) >= {*rule_books()}, "so does the book that a kitchen begins with"


@pytest.mark.parametrize("name", ["food-code-2022", "fsanz", "ireland", "uk", "uk-scotland"])
def test_every_rule_names_its_section_its_source_and_how_it_was_checked(name):
    book = rule_book(name)
    assert "not the law of the place" in book.caution
    for rule in book.rules.values():
        assert rule.section
        assert rule.title
        assert rule.source
        assert rule.status in STATUSES


@pytest.mark.parametrize("name", ["food-code-2022", "fsanz", "ireland", "uk", "uk-scotland"])
def test_every_code_has_what_the_clocks_of_a_batch_need(name):
    rules = rule_book(name).rules
    stages = ("cooling_first",) if "cooling_first" in rules else ()
    assert ("cooling_first_to" in rules) is bool(stages)
    for key in ("hot_holding", "cold_holding", "cooling_to", *(f"{stage}_to" for stage in stages)):
        assert rules[key].unit == "C"
    for key in ("cooling_total", "time_control", *stages):
        assert rules[key].unit == "minutes"
        assert key == "time_control" or rules[key].value <= rules["cooling_total"].value


@pytest.mark.parametrize(
    ("key", "celsius", "fahrenheit"),
    [
        ("hot_holding", 57, 135),  # 3-501.16(A)(1)
        ("hot_holding_roasts", 54, 130),  # 3-501.16(A)(1)
        ("cold_holding", 5, 41),  # 3-501.16(A)(2)
        ("cold_holding_eggs", 7, 45),  # 3-501.16(B)
        ("cooling_first_to", 21, 70),  # 3-501.14(A)(1)
        ("cooling_to", 5, 41),  # 3-501.14(A)(2)
        ("time_control_cold_limit", 21, 70),  # 3-501.19(C)
        ("cook_whole", 63, 145),  # 3-401.11(A)(1)
        ("cook_ground", 68, 155),  # 3-401.11(A)(2)
        ("cook_poultry", 74, 165),  # 3-401.11(A)(3)
        ("reheat", 74, 165),  # 3-403.11(A)
        ("reheat_packaged", 57, 135),  # 3-403.11(C)
        ("reduced_oxygen_cold", 1, 34),  # 3-502.12(D)(2)(e)
    ],
)
def test_the_food_codes_pairs_are_its_own_rounded_figures(key, celsius, fahrenheit):
    """FDA Food Code 2022, the sections beside each row: 57 C is printed beside 135 F, though it is 134.6 F."""
    rules = rule_book("food-code-2022")
    assert (rules.degrees(key, "C"), rules.degrees(key, "F")) == (celsius, fahrenheit)


@pytest.mark.parametrize(
    ("key", "value", "unit"),
    [
        ("cooling_first", 2 * 60, "minutes"),  # 3-501.14(A)(1)
        ("cooling_total", 6 * 60, "minutes"),  # 3-501.14(A)(2), in total
        ("cooling_from_ambient", 4 * 60, "minutes"),  # 3-501.14(B)
        ("date_mark", 7, "days"),  # 3-501.17(A)
        ("time_control", 4 * 60, "minutes"),  # 3-501.19(B)
        ("time_control_cold", 6 * 60, "minutes"),  # 3-501.19(C)
        ("cook_whole_for", 15, "seconds"),  # 3-401.11(A)(1)
        ("cook_ground_for", 17, "seconds"),  # 3-401.11(A)(2)
        ("cook_ground_145_for", 3, "minutes"),  # the same, in Minnesota 4626.0340
        ("cook_ground_150_for", 1, "minutes"),  # the same
        ("roast_130_for", 112, "minutes"),  # 3-401.11(B)(2)
        ("roast_145_for", 4, "minutes"),
        ("roast_147_for", 134, "seconds"),
        ("roast_158_for", 0, "seconds"),
        ("reheat_for", 15, "seconds"),  # 3-403.11(A)
        ("reheat_within", 2 * 60, "minutes"),  # 3-403.11(D)
        ("reduced_oxygen", 30, "days"),  # 3-502.12(B)
        ("reduced_oxygen_cook_chill", 7, "days"),  # 3-502.12(D)(2)(e)
    ],
)
def test_the_food_codes_times(key, value, unit):
    """FDA Food Code 2022, the sections beside each row."""
    rule = rule_book("food-code-2022").rules[key]
    assert (rule.value, rule.unit) == (value, unit)


def test_the_roast_chart_has_its_seventeen_rows_and_falls():
    """FDA Food Code 2022, 3-401.11(B)(2): the hotter, the shorter."""
    rows = [rule for key, rule in rule_book("food-code-2022").rules.items() if key.startswith("roast_1")]
    seconds = [rule.value * (60 if rule.unit == "minutes" else 1) for rule in rows]
    assert len(rows) == 17
    assert seconds == sorted(seconds, reverse=True)


@pytest.mark.parametrize(
    ("book", "key", "value"),
    [
        ("uk", "hot_holding", 63),  # Food Hygiene (Wales) Regulations 2006, Schedule 4 para 6
        ("uk", "cold_holding", 8),  # the same, para 2
        ("uk", "time_control", 120),  # SI 2005/2059, Schedule 4 para 7(2)
        ("uk", "time_control_cold", 240),  # SR 2006/3 (NI), Schedule 4 para 5
        ("ireland", "cooling_total", 150),  # FSAI Guidance Note 15
        ("ireland", "cooling_to", 3),  # FSAI Guidance Note 15
        ("ireland", "date_mark", 5),  # FSAI Guidance Note 15
        ("ireland", "reheat", 70),  # FSAI Guidance Note 15
        ("fsanz", "hot_holding", 60),  # Standard 3.2.2
        ("fsanz", "cold_holding", 5),  # Standard 3.2.2
        ("fsanz", "cooling_first", 120),  # Standard 3.2.2 clause 7(3)
        ("fsanz", "cooling_second", 240),  # the same: a further four hours
        ("fsanz", "time_control", 240),  # FSANZ 2-hour/4-hour rule
    ],
)
def test_figures_of_the_other_codes(book, key, value):
    """Sources beside each row."""
    assert rule_book(book).rules[key].value == value


def test_a_code_that_prints_celsius_only_is_compared_exactly_in_fahrenheit():
    assert rule_book("uk").degrees("hot_holding", "F") == Fraction("145.4")


def test_a_code_without_a_day_count_has_none():
    assert rule_book("fsanz").days("date_mark") is None


def test_for_heat_more_is_stricter_and_for_everything_else_less():
    assert more_is_stricter("hot_holding", "C")
    assert more_is_stricter("reheat_for", "seconds")
    assert not more_is_stricter("cold_holding", "F")
    assert not more_is_stricter("date_mark", "days")
    assert not more_is_stricter("reheat_within", "minutes")


@pytest.mark.parametrize(
    ("rule", "key", "value"),
    [
        ('date_mark = "5 days"', "date_mark", 5),
        ("date_mark = 5", "date_mark", 5),
        ('date_mark = "7 days"', "date_mark", 7),
        ('cooling_total = "4 h"', "cooling_total", 240),
        ('hot_holding = "63 C"', "hot_holding", 63),
        ('hot_holding = "135 F"', "hot_holding", 57),
        ('cold_holding = "3 C"', "cold_holding", 3),
    ],
)
def test_a_kitchen_may_tighten_a_rule(rule, key, value, book):
    assert book(f"[rules_of_the_house]\n{rule}\n").kitchen.rules.rules[key].value == value


@pytest.mark.parametrize(
    "rule",
    [
        'date_mark = "8 days"',
        'cooling_first = "121 min"',
        'hot_holding = "134.9 F"',
        'hot_holding = "56.9 C"',
        'cold_holding = "5.1 C"',
        'reheat_within = "121 min"',
    ],
)
def test_loosening_a_rule_needs_the_kitchens_own_approved_plan(rule, book, fault):
    text = f"[rules_of_the_house]\n{rule}\n"
    assert "approved_plan" in fault(text).said
    key = rule.split()[0]
    loosened = book(PLAN + text)
    assert loosened.kitchen.approved_plan
    assert loosened.kitchen.rules.rules[key].source == "rule of the house"
    assert book().kitchen.rules.rules[key].source != "rule of the house"


def test_what_was_loosened_is_told_apart_from_what_was_tightened(book):
    rules = book(PLAN + '[rules_of_the_house]\ncold_holding = "7 C"\ndate_mark = "5 days"\n')
    (looser,) = rules.kitchen.rules.loosened
    assert (looser.key, looser.said, looser.loosened_from) == ("cold_holding", "7 °C (44.6 °F)", (5, "C"))


@pytest.mark.parametrize("name", ["food-code-2022", "fsanz", "ireland", "uk", "uk-scotland"])
def test_every_code_says_what_may_follow_a_missed_limit_in_its_own_figures(name):
    rules = rule_book(name)
    assert {"cooling_total", "hot_holding", "cold_holding"} <= set(rules.allowed)
    for key, allowed in rules.allowed.items():
        assert key in rules.rules
        assert allowed.may in {"reheat", "return", "discard"}
        assert allowed.status in STATUSES
        assert "{" not in rules.allows_next(key)
    assert rules.allows_next("cooling_from_nowhere") == "Discard it."


def test_what_follows_is_said_in_the_figures_of_the_house(book):
    rules = book('[rules_of_the_house]\nreheat = "80 C"\n').kitchen.rules
    assert rules.allows_next("cooling_first").startswith("Reheat all of it to 80 °C (176 °F) within 2 h")


def test_a_code_without_a_day_count_can_be_given_one_by_the_house(book):
    read = book('rules = "fsanz"\n[rules_of_the_house]\ndate_mark = "4 days"\n')
    assert read.kitchen.rules.days("date_mark") == 4


def test_a_house_temperature_is_known_on_both_scales(book):
    rules = book('[rules_of_the_house]\nhot_holding = "63 C"\n').kitchen.rules
    assert (rules.degrees("hot_holding", "C"), rules.degrees("hot_holding", "F")) == (63, Fraction("145.4"))


def faults_of(text):
    """What is said of a book; nothing of a good one."""
    try:
        read_texts({"a.toml": text})
    except Faults as found:
        return [one.said for one in found.faults]
    return []


PREP = '[preps.a]\nname = "A"\nkeeps = "1 day"\nmakes = "1 kg"\n'


@pytest.mark.parametrize(
    ("rules", "house"),
    [
        ("fsanz", 'time_control_cold = "12 h"'),
        ("fsanz", 'date_mark = "60 days"'),
    ],
)
def test_what_the_book_lacks_is_no_way_to_loosen_it(rules, house):
    found = faults_of(f'rules = "{rules}"\n[rules_of_the_house]\n{house}\n{PREP}')
    assert any("approved_plan" in said for said in found)


@pytest.mark.parametrize("house", ['cook_chill_storage = "1 C"', 'reheat_for = "20 s"', 'roast_145_for = "9 min"'])
def test_a_limit_that_nothing_is_held_to_is_refused(house):
    """It would stand in the book and change nothing."""
    assert any("would change nothing" in said for said in faults_of(f"[rules_of_the_house]\n{house}\n{PREP}"))


def test_every_key_is_checked_or_told_as_not_checked():
    """A key that is called checked is asked for somewhere; the rest is told apart."""
    from pathlib import Path

    import prepboard
    from prepboard.book.safety.checked import CHECKED

    folder = Path(prepboard.__file__).parent
    code = "".join(path.read_text("utf-8") for path in folder.rglob("*.py") if path.name != "checked.py")
    assert [key for key in CHECKED if f'"{key}"' not in code] == []
    keys = {key for name in rule_books() for key in rule_book(name).rules}
    assert {"roast_145_for", "reheat_for", "cook_chill_storage"} <= keys - set(CHECKED)


def test_guidance_says_into_the_cold_and_names_no_temperature():
    """UK guidance: about 90 minutes, then refrigerate (East Devon District Council); no two stages."""
    for name in ("uk", "uk-scotland"):
        rules = rule_book(name).rules
        assert "cooling_first" not in rules
        assert (rules["cooling_total"].value, rules["cooling_total"].section) == (90, "guidance")


@pytest.mark.parametrize(
    ("core", "cook_as", "fault"),
    [
        ("55 C", "", True),
        ("74 C", "", False),
        ("63 C", "fish", False),
        ("63 C", "ground", True),
        ("50 C", "undercooked", False),
    ],
)
def test_a_core_below_the_code_is_a_fault(core, cook_as, fault):
    """FDA Food Code 2022, 3-401.11(A)(1) to (3): 63 °C, 68 °C, 74 °C; a food that is not named has the highest."""
    named = f', cook_as = "{cook_as}"' if cook_as else ""
    found = faults_of(PREP + f'steps = [{{ do = "Roast", at = "180 C", core = "{core}"{named} }}]\n')
    assert any("cook_as" in said for said in found) is fault
    asked = [said for said in found if "where a lower figure is this food's" in said]
    assert bool(asked) is (fault and not cook_as), "what is written already is not asked for again"


@pytest.mark.parametrize(
    ("plated", "cooked", "fault"), [(True, False, True), (False, False, True), (False, True, False)]
)
def test_only_what_is_cooked_later_is_excused_from_the_date_mark(plated, cooked, fault):
    raw = PREP + 'ready_to_eat = false\nsteps = [{ do = "Boil", at = "95 C" }]\n'
    at = ', at = "90 C"' if cooked else ""
    user = PREP.replace("preps.a", "preps.b") + f'uses = {{ a = "1 kg" }}\nsteps = [{{ do = "x"{at} }}]\n'
    plate = '[services.s]\nstarts = "18:00"\nends = "22:00"\n[dishes.d]\nname = "D"\nplate = { a = "100 g" }\n'
    found = faults_of(raw + user + (plate if plated else ""))
    assert any("not raw" in said for said in found) is fault
