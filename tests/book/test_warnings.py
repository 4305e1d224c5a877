"""What a book may say and hardly means is named with its line, and the book is read all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from prepboard.book.reading.reader import read_texts, read_with_warnings
from prepboard.resources import config_folder, fixtures_folder

SOUND = """
[preps.soubise]
name = "Soubise"
keeps = "3 days"
makes = "2 kg"
par = "1 kg"
steps = [{ do = "Sweat", hands_on = "20 min" }]
"""
STEP = 'steps = [{ do = "Mix", hands_on = "5 min" }]\n'

CASES = {
    "a prep that nothing takes": (
        '[preps.relish]\nname = "Relish"\nkeeps = "5 days"\nmakes = "1 kg"\n' + STEP,
        (1, "preps.relish", "nothing takes it"),
    ),
    "goods that nothing takes": ("[goods.salt]\n", (1, "goods.salt", "nothing takes it")),
    "two preps of one name": (
        '[preps.a]\nname = "SOUBISE"\nkeeps = "5 days"\nmakes = "1 kg"\npar = "1 kg"\n' + STEP,
        (3, "preps.soubise.name", "tell them apart"),
    ),
    "a soak longer than its life": (
        '[preps.peas]\nname = "Peas"\nkeeps = "2 days"\nmakes = "1 kg"\npar = "1 kg"\n'
        'steps = [{ do = "Soak", wait = "36 h", place = "chilled" }]\n',
        (3, "preps.peas.keeps", "of 2 days hardly any of it is left when it is done"),
    ),
    "a pickling longer than the life that the rule book leaves it": (
        '[preps.plums]\nname = "Plums"\nkeeps = "60 days"\nready_to_eat = true\nmakes = "1 kg"\npar = "1 kg"\n'
        'steps = [{ do = "Pot", hands_on = "20 min", wait = "8 days", place = "chilled" }]\n',
        (3, "preps.plums.keeps", "of the 7 days that the rule book food-code-2022 leaves it hardly any is left"),
    ),
    "hours on a brine of three days": (
        '[preps.brisket]\nname = "Brisket"\nkeeps = "12 h"\nmakes = "1 kg"\npar = "1 kg"\n'
        'steps = [{ do = "Brine", wait = "3 days", place = "chilled" }]\n',
        (3, "preps.brisket.keeps", "hours count from when it is ready"),
    ),
    "a thaw longer than its life after it": (
        '[preps.duck]\nname = "Duck"\nstore = "frozen"\nkeeps = "60 days"\nthaw = "3 days"\nmakes = "1 kg"\n'
        'par = "1 kg"\nsteps = [{ do = "Draw", hands_on = "10 min" }]\n',
        (4, "preps.duck.keeps", "it takes 3 days to thaw, and is good for 1 day then"),
    ),
    "a life that the rule book cuts": (
        '[preps.rillettes]\nname = "Rillettes"\nkeeps = "10 days"\nready_to_eat = true\nmakes = "1 kg"\npar = "1 kg"\n'
        + STEP,
        (3, "preps.rillettes.keeps", "cuts it to 7 days, with day 1 counted; longer with `exempt`"),
    ),
    "a marinade of which nobody says whether it is eaten as it is": (
        '[preps.marinade]\nname = "Marinated lamb"\nkeeps = "4 days"\nmakes = "1 kg"\n'
        + STEP
        + '[preps.braise]\nname = "Braise"\nkeeps = "5 days"\nmakes = "1 kg"\npar = "1 kg"\n'
        'uses = { marinade = "1 kg" }\nsteps = [{ do = "Braise", at = "160 C", wait = "3 h" }]\n',
        (1, "preps.marinade", "loses up to 3 days by it"),
    ),
    "a dish and a prep of one id": (
        'dishes.soubise.name = "Soubise on toast"\n',
        (1, "dishes.soubise.name", "is a prep too"),
    ),
    "a function's dish that names other services": (
        '[services.dinner]\nstarts = "18:00"\nends = "22:00"\n'
        '[services.party]\non = "2026-12-12"\nstarts = "18:00"\nends = "22:00"\ncovers = 40\ncounts = { toast = 40 }\n'
        '[services.lunch]\nstarts = "12:00"\nends = "14:00"\n'
        '[dishes.toast]\nservices = ["lunch"]\n',
        (9, "services.party.counts.toast", "names its own services and not this one"),
    ),
    "freshness of what guests never get": (
        '[preps.dip]\nname = "Dip"\nkeeps = "5 days"\nmakes = "1 kg"\npar = "1 kg"\nfresh_for = "4 h"\n' + STEP,
        (6, "preps.dip.fresh_for", "stands on none"),
    ),
    "recipes that take no time": (
        '[preps.dip]\nname = "Dip"\nkeeps = "5 days"\nmakes = "1 kg"\npar = "1 kg"\n'
        '[preps.oil]\nname = "Oil"\nkeeps = "5 days"\nmakes = "1 kg"\npar = "1 kg"\n',
        (1, "preps.dip", "as if it took no time (dip, oil)"),
    ),
    "a soak that nobody puts on": (
        '[stations.hot]\nhours = "09:00-15:00"\n[preps.beans]\nname = "Beans"\nkeeps = "5 days"\nmakes = "1 kg"\n'
        'par = "1 kg"\nsteps = [{ do = "Soak", wait = "12 h" }, { do = "Boil", hands_on = "5 min" }]\n',
        (8, "preps.beans.steps", "also when nobody is there"),
    ),
    "fresh food that nobody says is kept cold": (
        '[goods]\ncream = { unit = "l", allergens = ["milk"] }\npowder = { stable = "dry", allergens = ["milk"] }\n'
        'trout = { store = "chilled", allergens = ["fish"], parasites = { how = "farmed", by = "A", '
        'on = "2026-09-02" } }\n'
        'cod = { allergens = ["fish"] }\n[dishes.a]\n'
        'plate = { cream = "1 ml", powder = "1 g", trout = "1 g", cod = "1 g" }\n',
        (2, "goods.cream", 'counts as kept at room temperature; write store = "chilled" or `stable` (cream, cod)'),
    ),
    "a language without texts": ('language = "pt"\n', (1, "language", "speak English")),
}


def warned(folder: Path, text: str) -> list[tuple[int, str, str]]:
    (folder / "a.toml").write_text(text, encoding="utf-8")
    (folder / "z.toml").write_text(SOUND, encoding="utf-8")
    _book, _texts, warnings = read_with_warnings(folder)
    return [(one.line, one.key, one.said) for one in warnings]


@pytest.mark.parametrize("case", CASES)
def test_a_warning_stands_at_its_line_and_says_what_follows(case, tmp_path):
    text, (line, key, said) = CASES[case]
    ((at, where, why),) = warned(tmp_path, text)
    assert at == line
    assert key.startswith(where)
    assert said in why


def test_a_sound_book_warns_of_nothing(tmp_path):
    assert warned(tmp_path, "") == []
    hot = (
        '[preps.ham]\nname = "Ham"\nkeeps = "3 days"\nmakes = "1 kg"\npar = "1 kg"\nsteps = [\n'
        '  { do = "Brine", wait = "5 days", place = "chilled" },\n'
        '  { do = "Boil", wait = "2 h", at = "80 C" }, { do = "Chill", wait = "2 h", cools = true }]\n'
    )
    assert warned(tmp_path, hot) == [], "day 1 is the day of the boil: FDA Food Code 2022, 3-501.17(A)"
    leaves = '[preps.leaves]\nname = "Leaves"\nkeeps = "1 day"\nmakes = "1 kg"\npar = "1 kg"\n'
    assert warned(tmp_path, leaves + STEP) == [], "picked in the morning it is good all evening"


@pytest.mark.parametrize("folder", [config_folder() / "starter", fixtures_folder() / "demo"], ids=["starter", "demo"])
def test_the_books_that_travel_warn_of_nothing(folder):
    assert read_with_warnings(folder)[2] == ()


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("cereals containing gluten", "gluten"), ("Sulphur dioxide and sulphites", "sulphites"),
        ("Sesame seeds", "sesame"), ("Milk", "milk"), ("wheat", "wheat"),
    ],
)  # fmt: skip
def test_allergens_are_named_short_or_in_the_words_of_the_regulation(written, read):
    """EU Regulation 1169/2011, Annex II, points 1, 7, 11 and 12."""
    book = read_texts({"a.toml": SOUND, "b.toml": f'[goods.a]\nallergens = ["{written}"]\n'})
    assert book.goods["a"].allergens == (read,)
