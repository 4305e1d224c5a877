"""Probes: what each read in ice or boiling water, and which readings one out of tolerance touches.

FDA Food Code 2022, 4-203.11 (from memory): ±1 °C, or ±2 °F. Ice melts at 0 °C, 32 °F; water boils at 100 °C, 212 °F.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.store.actions.food.probes import check_probe
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check


def probe(kitchen, degrees, water="ice", unit="C", name="Blue"):
    return check_probe(kitchen.file, kitchen.jp, name, water, Fraction(degrees), unit).text


def walk_in(kitchen, degrees="3", name="Blue"):
    return read(kitchen.file, kitchen.jp, "place", "walk-in", Fraction(degrees), "C", probe=name).text


@pytest.mark.parametrize(
    ("water", "unit", "degrees", "good"),
    [
        ("ice", "C", "1", True), ("ice", "C", "-1", True), ("ice", "C", "1.1", False), ("ice", "F", "34", True),
        ("ice", "F", "29.9", False), ("boiling", "C", "99", True), ("boiling", "C", "98.9", False),
        ("boiling", "F", "214", True), ("boiling", "F", "214.1", False), ("ice", "F", "0", False),
    ],
)  # fmt: skip
def test_a_probe_is_good_within_one_degree_c_or_two_f(kitchen, water, unit, degrees, good):
    said = probe(kitchen, degrees, water, unit)
    assert ("out of tolerance" in said) is not good
    assert kitchen.select("SELECT ok FROM probe_checks") == [(int(good),)]


def test_out_of_tolerance_names_what_was_read_since_the_last_good_check(kitchen):
    walk_in(kitchen)
    kitchen.later(minutes=5)
    assert probe(kitchen, "0.4") == "Probe Blue: 0.4 °C, good: ice water, 0 ± 1 °C"
    for name in ("Blue", "blue", "Red"):
        kitchen.later(minutes=5)
        walk_in(kitchen, name=name)
    kitchen.later(minutes=5)
    said = probe(kitchen, "2.5", name="BLUE")
    assert "2 readings, of Walk-in (2)" in said
    assert "its last good check" in said
    assert "1 reading, of Walk-in" in probe(kitchen, "2.5", name="Red")
    assert "No reading" in probe(kitchen, "2.5", name="Green")
    assert check(kitchen.file) == []


def test_a_reading_in_the_second_of_a_good_check_is_touched_too(kitchen):
    """Nobody knows which came first, as where both are typed for one minute."""
    probe(kitchen, "0")
    walk_in(kitchen)
    kitchen.later(minutes=5)
    assert "1 reading, of Walk-in" in probe(kitchen, "2")


def test_a_late_entry_touches_what_was_read_up_to_the_next_good_check(kitchen):
    then = kitchen.clock.at
    kitchen.later(minutes=5)
    walk_in(kitchen)
    kitchen.later(minutes=5)
    probe(kitchen, "0")
    kitchen.later(minutes=5)
    walk_in(kitchen)
    said = check_probe(kitchen.file, kitchen.jp, "Blue", "ice", Fraction(3), "C", at=then).text
    assert "1 reading, of Walk-in" in said


def test_a_good_check_in_ice_says_nothing_of_the_hot_end(kitchen):
    walk_in(kitchen)
    kitchen.later(minutes=5)
    probe(kitchen, "0")
    kitchen.later(minutes=5)
    said = probe(kitchen, "96", "boiling")
    assert "1 reading, of Walk-in" in said
    assert "Sea level is assumed" in said


@pytest.mark.parametrize(
    ("altitude", "unit", "degrees", "good"),
    [
        ("1600 m", "C", "94.7", True), ("1600 m", "C", "96", False), ("1600 m", "C", "100", False),
        ("5280 ft", "F", "203", True), ("5280 ft", "F", "212", False), ("-400 m", "C", "101.3", True),
    ],
)  # fmt: skip
def test_boiling_water_is_as_hot_as_the_kitchens_height_has_it(kitchen, book_folder, altitude, unit, degrees, good):
    """Water boils at 94.7 °C, 202.4 °F a mile up, at 101.3 °C by the Dead Sea: standard atmosphere, steam tables."""
    (book_folder / "height.toml").write_text(f'altitude = "{altitude}"\n', encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    said = probe(kitchen, degrees, "boiling", unit)
    assert ("out of tolerance" in said) is not good
    assert "Sea level" not in said


def test_what_is_read_with_a_probe_that_was_out_says_so_until_a_good_check(kitchen):
    probe(kitchen, "3")
    kitchen.later(minutes=5)
    assert "probe Blue was out of tolerance" in walk_in(kitchen)
    assert "out of tolerance" not in walk_in(kitchen, name="Red")
    kitchen.later(minutes=5)
    probe(kitchen, "0")
    assert "out of tolerance" not in walk_in(kitchen)


def test_a_check_that_is_undone_counts_no_more_and_the_log_stays_whole(kitchen):
    probe(kitchen, "3")
    undo(kitchen.file, kitchen.jp)
    assert kitchen.select("SELECT * FROM probe_checks") == []
    assert check(kitchen.file) == []


def test_a_probe_has_a_name(kitchen):
    with pytest.raises(Refused, match="which probe"):
        probe(kitchen, "0", name="  ")


def test_a_check_changed_by_hand_is_found(kitchen):
    probe(kitchen, "3")
    with kitchen.file.writing() as db:
        db.execute("UPDATE probe_checks SET ok = 1")
    assert check(kitchen.file) != []
