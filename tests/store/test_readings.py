"""Readings: what they are held to, what they hold back, and how the code's corrective action ends that."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest

from prepboard.plan.board import plan
from prepboard.store.actions.food.making import done, start, step
from prepboard.store.actions.food.places import move_to
from prepboard.store.actions.food.readings import corrected, read
from prepboard.store.actions.food.stock import use
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.undoing import undo
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.who import Refused, Unsure
from prepboard.store.health.health import check
from prepboard.texts import told

ML = 1_000_000
C21, C25, C40, C75 = (Fraction(degrees) for degrees in (21, 25, 40, 75))


@pytest.fixture
def stock(kitchen):
    """Brown stock, strained at 14:00 after its simmer, done at 14:00 as batch; the first stage ends at 16:00."""
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1)).run
    step(kitchen.file, kitchen.jp, run)
    step(kitchen.file, kitchen.jp, run)
    return done(kitchen.file, kitchen.jp, run=run).batches[0]


def measure(kitchen, batch, degrees, **more):
    return read(kitchen.file, kitchen.jp, "batch", batch, Fraction(degrees), "C", **more).text


def test_a_reading_is_kept_with_what_it_is_held_to(kitchen, stock):
    kitchen.later(minutes=45)
    assert measure(kitchen, stock, 40) == f"Brown stock {stock}: 40 °C; must be 21 °C (70 °F) by 16:00"
    (reading,) = kitchen.state.readings
    assert (reading.of, reading.degrees, reading.unit, reading.by, reading.meant) == (stock, 40, "C", "jp", "cooling")
    [(held_to, ok)] = kitchen.select("SELECT held_to, ok FROM readings")
    assert (told(str(held_to)), ok) == ("21 °C (70 °F) by 16:00", 1)
    assert kitchen.log("read")[0]["after"] == "40 °C"


def test_a_missed_limit_lets_nobody_take_from_the_batch(kitchen, stock):
    kitchen.later(hours=2)
    text = measure(kitchen, stock, 25)
    assert text.startswith(
        f"Brown stock {stock}: 25 °C is out of range: 21 °C (70 °F) by 16:00. Reheat all of it to 74"
    )
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")
    jus = start(kitchen.file, kitchen.jp, "lamb-jus", Fraction(1)).run
    with pytest.raises(Unsure, match="Did it go in"):
        step(kitchen.file, kitchen.jp, jus)
    (batch,) = kitchen.batches("brown-stock")
    assert batch.left == 8000 * ML


def test_a_board_counts_nothing_of_it_and_its_close_discards_it(kitchen, stock):
    before = plan(kitchen.state, kitchen.clock.at)
    kitchen.later(hours=2)
    measure(kitchen, stock, 25)
    board = plan(kitchen.state, kitchen.clock.at)
    (gone,) = [line for line in board.closing.discard if line.batch.code == stock]
    assert (gone.reason, gone.batch.blocked) == ("unsafe", "cooled too slowly")
    par, after = (next(line for line in one.pars if line.prep == "brown-stock") for one in (before, board))
    assert par.on_hand > 0
    assert after.on_hand == 0
    assert any(line.prep == "brown-stock" for line in board.make)


def test_where_the_house_holds_unread_food_time_alone_holds_it_back(kitchen, stock, book_folder):
    """At 16:01 no reading shows 21 °C: nobody takes from it."""
    (book_folder / "strict.toml").write_text('unread_cooling = "hold"\n', encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    kitchen.later(minutes=60)
    measure(kitchen, stock, 40)
    kitchen.later(minutes=61)
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")
    assert plan(kitchen.state, kitchen.clock.at).watch.held[stock].why == "cooling not shown in time"


def test_a_limit_that_nobody_showed_counts_and_is_never_called_too_slow(kitchen, stock):
    kitchen.later(minutes=60)
    measure(kitchen, stock, 40)
    kitchen.later(minutes=70)
    said = measure(kitchen, stock, 15)
    assert said == f"Brown stock {stock}: 15 °C; must be 5 °C (41 °F) by 20:00"
    use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")


def test_only_the_codes_corrective_action_ends_it_and_a_reading_must_show_that(kitchen, stock):
    """FDA Food Code 3-501.14 and 3-403.11: heated to 74 °C again within 2 h."""
    with pytest.raises(Refused, match="missed no limit"):
        corrected(kitchen.file, kitchen.jp, stock, "nothing")
    kitchen.later(hours=2)
    measure(kitchen, stock, 25)
    with pytest.raises(Refused, match=r"no reading at 74 °C \(165 °F\) or above from 16:00 to 20:00"):
        corrected(kitchen.file, kitchen.jp, stock, "reheated")
    kitchen.later(minutes=30)
    measure(kitchen, stock, 75)
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")
    did = corrected(kitchen.file, kitchen.lm, stock, "reheated to 75 °C, cooled again on ice")
    assert "corrective action" in did.text
    use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")
    (kept,) = kitchen.log("corrected")
    assert (kept["by"], kept["before"], kept["why"]) == ("lm", "cooled too slowly", "3-501.14 and 3-403.11")
    kitchen.later(hours=3)
    measure(kitchen, stock, 25)
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")


def test_heated_again_too_late_it_can_only_be_discarded(kitchen, stock):
    kitchen.later(hours=2)
    measure(kitchen, stock, 25)
    kitchen.later(hours=4, minutes=1)
    measure(kitchen, stock, 75)
    with pytest.raises(Refused, match="only be discarded"):
        corrected(kitchen.file, kitchen.jp, stock, "reheated")


def test_the_last_limit_leaves_only_discard(kitchen, stock):
    kitchen.later(hours=2)
    measure(kitchen, stock, 20)
    kitchen.later(hours=4)
    assert measure(kitchen, stock, 6).endswith("Discard it.")
    with pytest.raises(Refused, match=r"lets it only be discarded"):
        corrected(kitchen.file, kitchen.jp, stock, "reheated")


def test_out_of_the_fridge_the_longer_time_holds_only_while_every_reading_is_cold(kitchen, stock, book_folder):
    """FDA Food Code 3-501.19(B) and (C): 4 h; 6 h where it is read at 21 °C (70 °F) or less, and never above."""
    counter = '[places.counter]\nname = "Counter"\nstore = "time"\ntemperature = "18 C"\n'
    (book_folder / "counter.toml").write_text(counter, encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    kitchen.later(hours=1, minutes=50)
    measure(kitchen, stock, 4)
    move_to(kitchen.file, kitchen.jp, stock, "counter")
    out = kitchen.clock.at
    assert kitchen.batch(stock).use_by == out + timedelta(hours=4)
    kitchen.later(hours=1)
    measure(kitchen, stock, 15)
    assert kitchen.batch(stock).use_by == out + timedelta(hours=4)
    kitchen.later(hours=1)
    measure(kitchen, stock, 15)
    assert kitchen.batch(stock).use_by == out + timedelta(hours=6)
    kitchen.later(hours=1)
    measure(kitchen, stock, 22)
    assert plan(kitchen.state, kitchen.clock.at).watch.held[stock].why == "too warm for the longer time"


def test_the_readings_of_a_run_are_those_of_its_batches(kitchen):
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1)).run
    read(kitchen.file, kitchen.jp, "run", run, C75, "C")
    step(kitchen.file, kitchen.jp, run)
    kitchen.later(hours=6)
    step(kitchen.file, kitchen.jp, run)
    kitchen.later(hours=2)
    assert "out of range" in read(kitchen.file, kitchen.jp, "run", run, C25, "C").text
    assert run in plan(kitchen.state, kitchen.clock.at).watch.held
    batch = done(kitchen.file, kitchen.jp, run=run).batches[0]
    with pytest.raises(Refused, match="nothing good"):
        use(kitchen.file, kitchen.jp, batch, 100 * ML, "staff")


def test_a_run_that_missed_a_limit_gives_nothing_that_counts(kitchen):
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1)).run
    step(kitchen.file, kitchen.jp, run)
    step(kitchen.file, kitchen.jp, run)
    counted = next(line for line in plan(kitchen.state, kitchen.clock.at).pars if line.prep == "brown-stock")
    assert counted.under_way > 0
    kitchen.later(hours=2)
    read(kitchen.file, kitchen.jp, "run", run, C25, "C")
    board = plan(kitchen.state, kitchen.clock.at)
    assert next(line for line in board.pars if line.prep == "brown-stock").under_way == 0
    assert next(line for line in board.under_way if line.run == run).amount == 8000 * ML


def test_a_place_out_of_range_names_what_is_in_it_and_back_in_range_is_silent(kitchen, stock):
    text = read(kitchen.file, kitchen.jp, "place", "walk-in", Fraction(9), "C").text
    assert text.startswith("Walk-in: 9 °C is out of range: 5 °C (41 °F) or less. Use it within 4 h")
    (flag,) = plan(kitchen.state, kitchen.clock.at).watch.flags
    assert (flag.of, flag.inside, flag.held) == ("walk-in", (stock,), False)
    assert not plan(kitchen.state, kitchen.clock.at).watch.held
    kitchen.later(minutes=20)
    read(kitchen.file, kitchen.jp, "place", "walk-in", Fraction(4), "C")
    assert plan(kitchen.state, kitchen.clock.at).watch.flags == ()


def test_a_place_stays_out_of_range_until_it_is_read_again_however_long_that_takes(kitchen):
    read(kitchen.file, kitchen.jp, "place", "walk-in", Fraction(9), "C")
    kitchen.later(days=9)
    (flag,) = plan(kitchen.state, kitchen.clock.at).watch.flags
    assert (flag.of, flag.last.degrees) == ("walk-in", 9)
    read(kitchen.file, kitchen.jp, "place", "walk-in", Fraction(3), "C")
    assert plan(kitchen.state, kitchen.clock.at).watch.flags == ()


def test_fahrenheit_is_held_to_the_codes_own_figure(kitchen, stock):
    """FDA Food Code 3-501.16(A)(1): 135 °F, printed beside 57 °C, which is 134.6 °F."""
    assert "kept" in read(kitchen.file, kitchen.jp, "place", "pass", Fraction(135), "F").text
    assert "out of range" in read(kitchen.file, kitchen.jp, "place", "pass", Fraction("134.6"), "F").text
    assert "kept" in read(kitchen.file, kitchen.jp, "place", "pass", Fraction(57), "C").text


def test_a_reading_can_be_taken_back_and_its_row_stays(kitchen, stock):
    kitchen.later(hours=2)
    measure(kitchen, stock, 25)
    undo(kitchen.file, kitchen.jp)
    assert kitchen.state.readings == ()
    use(kitchen.file, kitchen.jp, stock, 100 * ML, "staff")
    assert kitchen.select("SELECT degrees FROM readings") == [("25",)]
    assert check(kitchen.file) == []


def test_the_same_reading_twice_is_one(kitchen, stock):
    for _ in range(2):
        measure(kitchen, stock, 40, action="one")
    assert len(kitchen.state.readings) == 1


@pytest.mark.parametrize("degrees", [Fraction(1200), Fraction(-120)])
def test_what_no_probe_shows_is_refused(kitchen, stock, degrees):
    before = kitchen.size_of_tables()
    with pytest.raises(Refused, match="no probe shows"):
        read(kitchen.file, kitchen.jp, "batch", stock, degrees, "C")
    assert kitchen.size_of_tables() == before


def test_what_is_not_there_is_refused(kitchen):
    for kind, of in (("batch", "K7F"), ("run", "K7F"), ("place", "attic"), ("goods", "gold")):
        with pytest.raises(Refused, match=of):
            read(kitchen.file, kitchen.jp, kind, of, C21, "C")


def test_readings_are_only_ever_added(kitchen, stock):
    measure(kitchen, stock, 40)
    for change in ("UPDATE readings SET degrees = '4'", "DELETE FROM readings"):
        with pytest.raises(StoreFault, match="only ever added"), kitchen.file.writing() as db:
            db.execute(change)
    assert len(kitchen.state.readings) == 1


def test_plates_come_from_what_is_not_held_back(kitchen, stock):
    jus = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches[0]
    kitchen.later(hours=1)
    measure(kitchen, jus, 40)
    kitchen.later(hours=3)
    measure(kitchen, jus, 30)
    with pytest.raises(Refused, match="may not be used"):
        plate(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", 1)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", 1, sure=True)
    assert kitchen.batch(jus).left == 1180 * ML, "the trace of it leads to the plate"
    assert [row["batch"] for row in kitchen.log("incident")] == [jus]
