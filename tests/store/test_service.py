"""Service: plates out, and plates that were no plates."""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.service import plate
from prepboard.store.file.who import Refused

GRAM = ML = EACH = 1_000_000


@pytest.fixture
def ready(kitchen):
    """3 kg of lamb, and two batches of jus: 600 ml of yesterday, 1.2 l of today."""
    kitchen.later(days=-1)
    done(kitchen.file, kitchen.jp, prep="lamb-jus", size=Fraction(1, 2))
    kitchen.later(days=1)
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    done(kitchen.file, kitchen.lm, prep="braised-lamb")
    return kitchen


def jus(kitchen):
    return [batch.left // ML for batch in kitchen.batches("lamb-jus")]


def test_a_plate_takes_its_portions_from_what_expires_first(ready):
    assert plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 3).text == "Pressed lamb: 3 out, Dinner"
    assert jus(ready) == [450, 1200]
    assert ready.left("braised-lamb") == (3000 - 3 * 160) * GRAM
    assert ready.state.plated == {("dinner", ready.dinner[1], "pressed-lamb"): 3}


def test_a_plate_may_come_from_two_batches(ready):
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 14)
    assert jus(ready) == [1100]


def test_guests_get_what_is_fresh_and_what_is_so_no_more_only_where_nothing_else_is_there(ready, book_folder):
    preps = book_folder / "preps.toml"
    text = preps.read_text(encoding="utf-8")
    preps.write_text(text.replace('name = "Lamb jus"', 'name = "Lamb jus"\nfresh_for = "12 h"'), encoding="utf-8")
    load_book(ready.file, ready.sous, book_folder)
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 3)
    assert jus(ready) == [600, 1050]
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 22)
    assert jus(ready) == [550]


def test_a_miscount_goes_back_to_the_batches_it_came_from_newest_first(ready):
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 14)
    did = plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", -4)
    assert did.text == "Pressed lamb: 4 fewer out"
    assert jus(ready) == [100, 1200], "100 ml to the newer batch, which was taken from last, and 100 ml to the older"
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", -10)
    assert jus(ready) == [600, 1200]
    assert ready.state.plated == {("dinner", ready.dinner[1], "pressed-lamb"): 0}


def test_plates_of_several_entries_are_taken_back_the_newest_first(ready):
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 10)
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 4)
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", -3)
    assert jus(ready) == [50, 1200]
    assert ready.select("SELECT n, back FROM plates ORDER BY number") == [(10, 0), (4, 3)]


def test_no_more_comes_back_than_went_out(ready):
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 2)
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 1, again="dropped")
    with pytest.raises(Refused, match="only 2 went out"):
        plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", -3)
    with pytest.raises(Refused, match="0 plates cannot be"):
        plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 0)


def test_a_plate_that_goes_out_again_takes_food_and_is_no_demand(ready):
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 2)
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", again="sent back cold")
    assert ready.state.plated == {("dinner", ready.dinner[1], "pressed-lamb"): 2}
    assert jus(ready) == [450, 1200]


def test_what_is_plated_without_being_on_hand_is_said_in_the_log_and_never_below_nothing(ready):
    plate(ready.file, ready.jp, ready.dinner, "lamb-toast", 2)
    (missing,) = [row for row in ready.log("missing") if row["dish"]]
    assert (missing["dish"], missing["prep"], missing["after"]) == ("lamb-toast", "onion-crisp", "4")
    plate(ready.file, ready.jp, ready.dinner, "lamb-toast", -2)
    assert ready.left("onion-crisp") == 0, "what was not there does not come back"
    assert jus(ready) == [600, 1200]


def test_a_portion_of_today_counts_in_the_place_of_the_books(ready):
    with ready.file.writing() as db:
        row = [ready.dinner[1].isoformat(), "pressed-lamb", "lamb-jus", 30 * ML]
        db.execute("INSERT INTO portions VALUES (?, ?, ?, ?)", row)
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 10)
    assert jus(ready) == [300, 1200]
    assert ready.state.portions == {(ready.dinner[1], "pressed-lamb", "lamb-jus"): 30 * ML}


def test_what_is_set_aside_for_a_service_is_for_that_one(ready):
    older = ready.batches("lamb-jus")[0]
    with ready.file.writing() as db:
        db.execute("UPDATE batches SET set_aside = 'dinner.2026-10-31' WHERE code = ?", [older.code])
    plate(ready.file, ready.jp, ready.dinner, "pressed-lamb", 2)
    assert jus(ready) == [500, 1200]
    plate(ready.file, ready.jp, ("dinner", ready.dinner[1].replace(day=30)), "pressed-lamb", 2)
    assert jus(ready) == [500, 1100]


def test_a_slip_of_a_name_is_answered_with_the_nearest(ready):
    with pytest.raises(Refused, match="no dish is called presed-lamb; did you mean pressed-lamb"):
        plate(ready.file, ready.jp, ready.dinner, "presed-lamb")
    with pytest.raises(Refused, match="no service is called diner; did you mean dinner"):
        plate(ready.file, ready.jp, ("diner", ready.dinner[1]), "pressed-lamb")
