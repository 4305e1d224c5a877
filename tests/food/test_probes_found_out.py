"""What was read with a probe that is found out of tolerance counts as not read: no verdict gets better by it, and what
it found out of range stays so. FDA Food Code 2022, 4-203.11, from memory; that readings lapse is the shorter life,
common practice, no source."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

from prepboard.book.book import Temperature
from prepboard.plan.board import plan
from prepboard.store.actions.food.probes import check_probe
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.shelf import Delivery, deliver
from prepboard.store.actions.handover import task
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Who
from prepboard.store.health.health import check
from prepboard.store.past.probes import known_probes
from prepboard.store.past.record import record
from tests.food.conftest import LITRE, MONDAY


def checked(kitchen, degrees, moment, name="Blue", water="ice"):
    return check_probe(kitchen.go(moment).file, kitchen.who, name, water, Fraction(degrees), "C").text


def test_time_out_begins_with_the_last_reading_of_another_probe(fda):
    """5 °C read at 16:50 with a probe found out: last shown at 14:00, so four hours end at 18:00, not at 21:00."""
    salad = fda.made("salad", "09:00")
    fda.temp("batch", salad, 3, "14:00", probe="Red")
    fda.temp("batch", salad, 3, "16:50", probe="Blue")
    fda.move(salad, "bench", "17:00")
    assert fda.ends(salad) == fda.at("21:00")
    assert "Not to be used" not in checked(fda, 3, "17:10")
    assert fda.ends(salad) == fda.at("18:00")
    assert check(fda.file) == []
    undo(fda.file, fda.who)
    assert fda.ends(salad) == fda.at("21:00")


def test_a_good_check_between_keeps_what_was_read_before_it(fda):
    salad = fda.made("salad", "09:00")
    fda.temp("batch", salad, 3, "16:40", probe="blue")
    checked(fda, 0, "16:45")
    fda.move(salad, "bench", "17:00")
    checked(fda, 3, "17:10", name="BLUE")
    assert fda.ends(salad) == fda.at("21:00")


def test_a_place_that_was_saved_by_it_holds_its_food_again_and_the_answer_names_it(fda):
    salad = fda.made("salad", "09:00")
    fda.temp("place", "walk-in", 9, "15:00", probe="Red")
    fda.temp("batch", salad, 4, "15:10", probe="Blue")
    assert fda.asks(salad, "15:20").may
    said = checked(fda, 4, "15:30")
    assert f"Not to be used any more: Salad {salad} (its place was out of range)" in said
    assert not fda.asks(salad, "15:40").may
    assert fda.asks(salad, "15:40").why == "its place was out of range"
    fda.temp("batch", salad, 4, "15:45", probe="Red")
    assert fda.asks(salad, "15:50").may


def test_what_it_found_out_of_range_stays_so(fda):
    soup = fda.cooked("soup", "10:00", "10:30", "10:40")
    fda.temp("batch", soup, 40, "12:40", probe="Blue")
    checked(fda, 3, "12:50")
    assert (fda.asks(soup).row, fda.asks(soup).why) == (3, "cooled too slowly")


def test_cooling_shown_by_it_is_asked_for_again_before_the_limit(fda):
    soup = fda.cooked("soup", "10:20", "10:30", "10:40")
    fda.temp("batch", soup, 18, "12:00", probe="Blue")
    fda.temp("batch", soup, 4, "12:10", probe="Blue")
    assert not plan(fda.file.read(), fda.clock.at).watch.unread
    checked(fda, 3, "12:15")
    (line,) = plan(fda.file.read(), fda.clock.at).watch.unread
    assert (line.of, line.limit.due) == (soup, fda.at("12:30"))
    said = fda.temp("batch", soup, 12, "12:20", probe="Blue")
    assert "read it again with another" in said
    assert plan(fda.file.read(), fda.clock.at).watch.unread


def test_a_freezer_read_frozen_by_it_was_not(fda):
    """Out at -2 °C, good again only by the probe that was out: the days go on from the last good reading."""
    salad = fda.made("salad", "09:00")
    fda.freeze(salad, "10:00")
    fda.temp("place", "freezer", -18, "11:00", probe="Red")
    fda.temp("place", "freezer", 3, "tue 11:00", probe="Red")
    fda.temp("place", "freezer", -18, "tue 12:00", probe="Blue")
    assert fda.ends(salad, "fri 12:00") == fda.at("+wed 00:00")
    checked(fda, 2, "wed 12:00")
    assert fda.ends(salad, "fri 12:00") == fda.at("+mon 00:00")
    undo(fda.file, fda.who)
    assert fda.ends(salad, "fri 12:00") == fda.at("+wed 00:00")


def test_tasks_and_deliveries_name_their_probe_and_are_touched(fda):
    task(fda.go("08:00").file, fda.who, MONDAY, "fridge", Temperature(Fraction(4), "C"), probe="Blue")
    came = Delivery(degrees=Fraction(4), probe="blue")
    deliver(fda.go("08:10").file, fda.who, "cream", 5 * LITRE, came)
    assert known_probes(fda.file, "kitchen") == ["blue"]
    said = check_probe(fda.go("09:00").file, fda.who, "Blue", "ice", Fraction(3), "C").text
    assert "2 readings, of Walk-in, Cream" in said
    again = deliver(fda.go("09:10").file, fda.who, "cream", 5 * LITRE, came)
    assert "probe blue was out of tolerance" in again.text
    lines = [line for line in record(fda.file, since=fda.at("07:00")).lines if line.probe and line.at < fda.at("09:00")]
    assert [line.found_out is not None for line in lines] == [True] * 3


def test_the_probe_that_a_bench_used_last_stands_first(fda):
    for station, name, moment in (("kitchen", "Blue", "08:00"), ("cold", "Red", "08:10")):
        who = Who("ab", station)
        read(fda.go(moment).file, who, "place", "walk-in", Fraction(3), "C", probe=name)
    assert known_probes(fda.file, "kitchen") == ["Blue", "Red"]
    assert known_probes(fda.file, "cold") == ["Red", "Blue"]
    fda.clock.at += timedelta(days=40)
    assert known_probes(fda.file, "cold") == []


def test_the_next_bad_reading_reaches_what_left_the_place_before_the_one_in_doubt(fda):
    """Good at 08:30 by the probe alone, out at 09:00: what left at 07:30 may have been warm as well."""
    salad = fda.made("salad", "06:00")
    fda.move(salad, "blast-chiller", "07:30")
    fda.temp("place", "walk-in", 3, "09:30", probe="Blue")
    fda.temp("place", "walk-in", 12, "10:00")
    assert fda.asks(salad).may
    checked(fda, 3, "10:10")
    assert fda.asks(salad).why == "its place was out of range"
