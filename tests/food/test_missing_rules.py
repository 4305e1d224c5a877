"""Rules that a book alone decides, and one list of those that nothing here decides."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.book.safety.silent import SILENT
from prepboard.book.safety.unshown import unshown
from prepboard.store.actions.food.shelf import Delivery, deliver
from prepboard.store.file.who import Refused

FISH = """
{top}
[dishes.plate]
services = ["dinner"]
share = 0.5
plate = {{ tartare = "80 g" }}
{finish}
[services.dinner]
starts = "18:00"
ends = "22:00"
[preps.tartare]
name = "Tartare"
keeps = "1 day"
makes = "1 kg"
uses = {{ tuna = "1 kg" }}
{prep}
[goods.tuna]
name = "Tuna"
store = "chilled"
allergens = ["{what}"]
ready_to_eat = false
{goods}
"""


def fish(top="", prep="", goods="", what="fish", finish=""):
    return read_texts({"a.toml": FISH.format(top=top, prep=prep, goods=goods, what=what, finish=finish)})


def said(book):
    return [text for _section, _id, text in unshown(book)]


@pytest.mark.parametrize(
    ("rules", "figures"),
    [
        ("food-code-2022", "-20 °C (-4 °F) for 7 days, 3-402.11"),
        ("uk", "-20 °C (-4 °F) for 1 day, Regulation (EC) 853/2004"),
    ],
)
def test_fish_that_no_step_cooks_is_asked_about(rules, figures):
    """FDA Food Code 2022, 3-402.11, and Regulation (EC) 853/2004, both from memory."""
    (text,) = said(fish(f'rules = "{rules}"'))
    assert figures.replace("1 day", "24 h") in text
    assert "Tuna" in text


def test_a_finish_does_not_answer_for_fish():
    assert len(said(fish(finish='finish = "Olive oil, last"'))) == 1
    assert said(fish(what="eggs", finish='finish = "Fry"')) == []
    assert "guests are told" in said(fish(what="eggs"))[0]


@pytest.mark.parametrize("how", ["frozen", "farmed", "species", "cooked"])
def test_a_word_with_a_name_and_a_day_answers_for_it(how):
    assert said(fish(goods=f'parasites = {{ how = "{how}", by = "Quay Fish", on = "2026-09-02" }}')) == []
    with pytest.raises(Faults, match="whose word"):
        fish(goods=f'parasites = {{ how = "{how}" }}')


def test_a_core_is_what_shows_that_it_was_cooked():
    assert "without a `core`" in said(fish(prep='steps = [{ do = "Bake", wait = "9 min", at = "180 C" }]'))[0]
    cooked = 'steps = [{ do = "Bake", wait = "9 min", at = "180 C", core = "63 C", cook_as = "fish" }]'
    assert said(fish(prep=cooked)) == []


def test_what_is_cooked_less_than_the_code_asks_is_told():
    less = 'steps = [{ do = "Sear", wait = "1 min", at = "180 C", core = "40 C", cook_as = "undercooked" }]'
    assert any("less than the code asks" in text for text in said(fish(prep=less)))


def test_raw_fish_that_is_packed_without_oxygen_stays_frozen():
    """FDA Food Code 2022, 3-502.12(C)."""
    with pytest.raises(Faults, match=r"3-502\.12\(C\)"):
        fish(prep='packed = "vacuum"')
    with pytest.raises(Faults, match=r"3-502\.12\(C\)"):
        fish(prep='packed = "vacuum"', what="crustaceans")
    fish(prep='packed = "vacuum"', what="eggs")
    fish(prep='packed = "vacuum"\nsteps = [{ do = "Poach", wait = "1 h", at = "80 C", core = "75 C" }]')
    frozen = FISH.replace('keeps = "1 day"', 'store = "frozen"\nkeeps = {{ frozen = "30 days" }}')
    read_texts({"a.toml": frozen.format(top="", prep='packed = "vacuum"', goods="", what="fish", finish="")})


def test_a_delivery_that_is_too_warm_is_sent_back(fda):
    """FDA Food Code 2022, 3-202.11(A), from memory: 5 °C or below."""
    litre = 10**9
    fda.go("08:00")
    with pytest.raises(Refused, match="send it back"):
        deliver(fda.file, fda.who, "cream", litre, Delivery(degrees=Fraction(6), supplier="Hill dairy"))
    assert (
        "Hill dairy"
        in deliver(fda.file, fda.who, "cream", litre, Delivery(degrees=Fraction(5), supplier="Hill dairy")).text
    )


def test_what_is_not_checked_stands_in_one_list_and_in_the_readme():
    readme = " ".join((Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8").split())
    assert [few for few in SILENT if few not in readme] == []
    assert len(SILENT) > 10
