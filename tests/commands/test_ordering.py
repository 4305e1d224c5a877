"""What to buy: in packs, by supplier, with the last moment; less what is counted; and what came."""

from __future__ import annotations

import csv
import io
import json

import pytest

BOOK = """
name = "Tin Larder"
time_zone = "UTC"
ready_before = "0 min"
day_starts = "04:00"
rules = "food-code-2022"
[stations.sauce]
[services.dinner]
name = "Dinner"
days = ["sat", "sun", "mon", "tue"]
starts = "18:00"
ends = "22:00"
covers = 40
[preps.puree]
name = "Leek purée"
station = "sauce"
keeps = "1 day"
makes = "1 kg"
uses = { leeks = "1.6 kg", cream = "200 ml" }
steps = [{ do = "Cook", hands_on = "20 min", wait = "30 min" }]
[dishes.plate]
name = "Leeks"
services = ["dinner"]
share = 1
plate = { puree = "100 g", cress = "1 each" }
[goods.leeks]
name = "Leeks"
unit = "kg"
usable = 0.8
supplier = "Coll Growers"
pack = "5 kg"
order_by = "17:00"
lead = "1 day"
[goods.cream]
name = "Cream"
unit = "l"
store = "chilled"
supplier = "Dairy van"
order_by = "11:00"
[goods.cress]
name = "Cress"
unit = "each"
"""
HALVES = BOOK.replace('cress = "1 each"', 'cress = "0.51 each"').replace("covers = 40", "covers = 41")


@pytest.fixture
def larder(typed):
    """The book of leeks, read in; a Saturday at 14:22. Forty guests a night take 4 kg and more of purée."""
    book = typed.folder / "larder"
    book.mkdir()
    (book / "kitchen.toml").write_text(BOOK, encoding="utf-8")
    typed.done("load", str(book))
    return typed


def lines(typed, *more):
    return {line["goods"]: line for line in json.loads(typed.done("order", "--json", *more))["order"]}


def test_goods_are_ordered_in_packs_by_supplier_with_the_last_moment(larder):
    """Purée of 10 kg for two nights is 16 kg of leeks trimmed, 20 kg bought: four sacks. For Saturday's it is too late:
    leeks ordered by 17:00 come the next day."""
    found = lines(larder)
    leeks, cream = found["leeks"], found["cream"]
    assert leeks["supplier"] == "Coll Growers"
    assert leeks["packs"] * 5 == leeks["amount"]["amount"] >= leeks["needed"]["amount"]
    assert leeks["amount"]["amount"] - leeks["needed"]["amount"] < 5, "no pack more than is short"
    assert (leeks["order_by"], leeks["too_late"]) == ("2026-10-30T17:00:00+00:00", True)
    assert (cream["packs"], cream["too_late"], cream["there"]) == (None, True, None)
    assert found["cress"]["amount"]["amount"] == 40 * 3, "what plates take as they are expected, three nights"


def test_nobody_sells_half_a_pot_of_cress(larder):
    """Three sittings of 41 guests take .51 each: 62.73 pots."""
    (larder.folder / "larder" / "kitchen.toml").write_text(HALVES, encoding="utf-8")
    larder.done("load", str(larder.folder / "larder"))
    assert lines(larder)["cress"]["amount"]["amount"] == 63


def test_what_is_counted_and_delivered_is_not_ordered_again(larder):
    needed = lines(larder)["leeks"]["needed"]["amount"]
    larder.done("count", "leeks", "2 kg")
    assert lines(larder)["leeks"]["there"]["amount"] == 2
    assert "leeks" in larder.done("delivered", "leeks", f"{needed} kg", "--lot", "L7", "--from", "Coll Growers").lower()
    assert "leeks" not in lines(larder)
    larder.done("undo")
    assert "leeks" in lines(larder)


def test_a_count_that_lasts_to_sunday_leaves_the_order_for_later(larder):
    """Leeks for tonight are there: the first that lack are Sunday's, ordered by tonight's 17:00."""
    first = lines(larder, "--days", "1")["leeks"]["needed"]["amount"]
    larder.done("count", "leeks", f"{first / 2:g} kg")
    leeks = lines(larder)["leeks"]
    assert (leeks["order_by"], leeks["too_late"]) == ("2026-10-31T17:00:00+00:00", False)


def test_what_comes_too_warm_or_past_its_date_is_sent_back(larder):
    assert "must be 5 °C (41 °F) or colder: send it back" in larder.refused(
        "delivered", "cream", "4 l", "--temp", "9 C"
    )
    assert "past the maker's date" in larder.refused("delivered", "cream", "4 l", "--use-by", "2026-10-30")
    assert "delivered" in larder.done("delivered", "cream", "4 l", "--temp", "4 C")


def test_the_list_is_printed_and_goes_into_a_spreadsheet(larder):
    text = larder.done("order")
    assert "COLL GROWERS" in text
    assert "× 5 kg" in text
    assert "NO SUPPLIER IN THE BOOK" in text
    rows = list(csv.DictReader(io.StringIO(larder.done("order", "--csv"))))
    assert {row["goods"] for row in rows} == {"leeks", "cream", "cress"}
