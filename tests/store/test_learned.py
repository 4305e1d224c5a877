"""What closed services teach is kept once, costs nothing afterwards, and is worked out anew when they change."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import msgspec
import pytest
from msgspec.structs import replace

from prepboard.plan.board import plan
from prepboard.plan.demand.closed_evenings import fold
from prepboard.plan.demand.history import guess, learn, outlook
from prepboard.plan.given.learned import ClosedEvening, Common
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Tonight
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import count
from prepboard.store.actions.history import keep_learned, keep_run_outs, reset, special
from prepboard.store.actions.night.numbers import save
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.tonight import covers
from prepboard.store.actions.past_plates import PastSitting, record_past
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.read.learned import read_learned, text_of
from tests.store.conftest import TODAY, Kitchen


def past(n: int, *, until: date = TODAY, lamb: int = 25) -> list[PastSitting]:
    """The dinners of the n days before a day."""
    days = [until - timedelta(days=back) for back in range(n, 0, -1)]
    return [
        PastSitting(
            "dinner",
            day,
            datetime(day.year, day.month, day.day, 22, tzinfo=UTC) + timedelta(hours=1),
            60,
            {"pressed-lamb": lamb, "lamb-toast": 0},
        )
        for day in days
    ]


def keep(kitchen: Kitchen) -> bool:
    board = plan(kitchen.state, kitchen.clock.now())
    return board.new_learned is not None and keep_learned(kitchen.file, board.state.version, *board.new_learned)


def known(kitchen: Kitchen):
    return fold(kitchen.state, kitchen.clock.now()).now


def test_what_is_kept_reads_back_as_it_was():
    learned = guess(20)
    for n in range(14):
        evening = ClosedEvening("dinner", date(2026, 10, 1) + timedelta(days=n), 20 + n, 26, n == 3)
        learned = learn(learned, evening, "dinner 5", outlook(learned, "dinner 5"), hit=n != 3)
    assert read_learned(text_of(learned)) == learned
    common = Common(0.25, {"dinner": (300.0, 5.0)}, {"dinner 5": (60.0, 58.5)})
    assert msgspec.json.decode(text_of(common), type=Common) == common


def test_what_has_settled_is_kept_and_then_left_alone(kitchen: Kitchen):
    record_past(kitchen.file, kitchen.sous, past(20))
    before = known(kitchen)
    assert before.dishes["pressed-lamb"].count == 20
    assert keep(kitchen)
    state = kitchen.state
    assert state.learned_to == date(2026, 10, 28)
    assert state.learned["pressed-lamb"].count == 18
    assert {day for _service, day, _dish in state.plated} == {date(2026, 10, 29), date(2026, 10, 30)}
    assert known(kitchen) == before
    assert not keep(kitchen)


def test_the_second_station_to_say_so_keeps_nothing(kitchen: Kitchen):
    record_past(kitchen.file, kitchen.sous, past(20))
    board = plan(kitchen.state, kitchen.clock.now())
    assert board.new_learned
    assert keep_learned(kitchen.file, board.state.version, *board.new_learned)
    rows = kitchen.size_of_tables()
    assert not keep_learned(kitchen.file, board.state.version, *board.new_learned)
    assert kitchen.size_of_tables() == rows


def test_a_day_of_which_nothing_new_settles_is_not_written_about(kitchen: Kitchen):
    assert plan(kitchen.state, kitchen.clock.now()).new_learned is None
    record_past(kitchen.file, kitchen.sous, past(2))
    assert plan(kitchen.state, kitchen.clock.now()).new_learned is None
    assert known(kitchen).dishes["pressed-lamb"].count == 2


def test_evening_by_evening_is_the_same_as_all_at_once(kitchen: Kitchen):
    for n in range(8):
        record_past(kitchen.file, kitchen.sous, past(1, until=kitchen.clock.at.date(), lamb=20 + n))
        kitchen.later(days=1)
        keep(kitchen)
    bit_by_bit = known(kitchen)
    with kitchen.file.writing() as db:
        db.execute("DELETE FROM learned")
        db.execute("DELETE FROM settings WHERE name = 'learned to'")
    assert known(kitchen) == bit_by_bit
    assert bit_by_bit.dishes["pressed-lamb"].count == 8


@pytest.mark.parametrize("change", ["older plates", "covers", "special", "taken back"])
def test_a_change_of_a_learned_day_makes_all_be_learned_anew(kitchen: Kitchen, change: str):
    record_past(kitchen.file, kitchen.sous, past(10))
    assert keep(kitchen)
    old = ("dinner", TODAY - timedelta(days=9))
    if change == "older plates":
        record_past(kitchen.file, kitchen.sous, past(3, until=TODAY - timedelta(days=10)))
    elif change == "covers":
        covers(kitchen.file, kitchen.sous, old, 30, came=True)
    elif change == "special":
        special(kitchen.file, kitchen.sous, old)
    else:
        undo(kitchen.file, kitchen.sous)
    assert kitchen.state.learned_to is None
    learned = known(kitchen).dishes
    if change == "taken back":
        assert learned == {}
    else:
        assert learned["pressed-lamb"].count == {"older plates": 13, "covers": 10, "special": 9}[change]


def test_a_change_of_tonight_leaves_what_was_learned(kitchen: Kitchen):
    record_past(kitchen.file, kitchen.sous, past(10))
    assert keep(kitchen)
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 70)
    assert kitchen.state.learned_to is not None


def test_an_import_that_was_taken_back_can_be_done_again(kitchen: Kitchen):
    record_past(kitchen.file, kitchen.sous, past(10))
    undo(kitchen.file, kitchen.sous)
    assert record_past(kitchen.file, kitchen.sous, past(10)).text == "10 past sittings"
    assert known(kitchen).dishes["pressed-lamb"].count == 10
    with pytest.raises(Refused, match="has plates already"):
        record_past(kitchen.file, kitchen.sous, past(1))


def test_a_dish_that_nobody_took_was_on_offer_and_one_without_a_line_was_not(kitchen: Kitchen):
    *first, last = [replace(sitting, plates={"pressed-lamb": 25, "lamb-toast": 12}) for sitting in past(9)]
    record_past(kitchen.file, kitchen.sous, first)
    record_past(kitchen.file, kitchen.sous, [replace(last, plates={"pressed-lamb": 25})])
    assert known(kitchen).dishes["lamb-toast"].count == 8
    undo(kitchen.file, kitchen.sous)
    record_past(kitchen.file, kitchen.sous, [replace(last, plates={"pressed-lamb": 25, "lamb-toast": 0})])
    assert known(kitchen).dishes["lamb-toast"].count == 9


def test_what_was_booked_when_it_began_is_learned_and_how_many_came_teaches_nothing(kitchen: Kitchen):
    """50 booked before it began; walk-ins make it 58 at half past seven, and 55 came."""
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 50)
    kitchen.later(hours=10)
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 58)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 20)
    assert kitchen.state.tonight[kitchen.dinner].covers == 58
    kitchen.later(hours=14)
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 55, came=True)
    taught, weight = known(kitchen).common.bookings["dinner"]
    assert taught / weight == pytest.approx(50)


def test_covers_set_back_to_the_books_while_it_runs_teach_what_was_booked_before(kitchen: Kitchen):
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 50)
    kitchen.later(hours=10)
    save(kitchen.file, kitchen.sous, [Change(Number("covers", kitchen.dinner), 50, None)])
    assert kitchen.state.tonight[kitchen.dinner] == Tonight(at_start=50)
    undo(kitchen.file, kitchen.sous)
    assert kitchen.state.tonight[kitchen.dinner] == Tonight(covers=50)


def stock(kitchen: Kitchen) -> None:
    """Enough for six plates of lamb, and for a few of toast."""
    done(kitchen.file, kitchen.jp, prep="braised-lamb", outputs={"braised-lamb": 960_000_000})
    done(kitchen.file, kitchen.jp, prep="lamb-jus", outputs={"lamb-jus": 1_200_000_000})
    done(kitchen.file, kitchen.jp, prep="onion-crisp", outputs={"onion-crisp": 40_000_000})


def ran_out(kitchen: Kitchen) -> set[str]:
    return set(kitchen.state.tonight[kitchen.dinner].out) if kitchen.dinner in kitchen.state.tonight else set()


def test_the_last_plate_of_a_dish_is_noted(kitchen: Kitchen):
    stock(kitchen)
    kitchen.later(hours=5)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 5)
    assert ran_out(kitchen) == set()
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    assert ran_out(kitchen) == {"pressed-lamb"}
    undo(kitchen.file, kitchen.jp)
    assert ran_out(kitchen) == set()
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", -1)
    assert ran_out(kitchen) == set()


def test_every_dish_that_shares_what_ended_has_run_out(kitchen: Kitchen):
    stock(kitchen)
    count(kitchen.file, kitchen.jp, "lamb-jus", 50_000_000)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    assert ran_out(kitchen) == {"pressed-lamb", "lamb-toast"}


def test_a_dish_that_goes_on_without_food_in_the_book_has_not_run_out(kitchen: Kitchen):
    """Somebody forgot to enter a batch: the plates are what was asked for."""
    stock(kitchen)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 6)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    assert ran_out(kitchen) == set()


def test_what_a_board_sees_run_out_is_kept_once(kitchen: Kitchen):
    """The rest is counted while the service runs: no plate says so, the board does, with when it was counted."""
    stock(kitchen)
    kitchen.later(hours=5)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 2)
    kitchen.later(minutes=1)
    counted = kitchen.clock.now()
    count(kitchen.file, kitchen.jp, "braised-lamb", 0)
    kitchen.later(minutes=10)
    board = plan(kitchen.state, kitchen.clock.now())
    assert board.new_run_outs == {kitchen.dinner: {"pressed-lamb": counted}}
    assert keep_run_outs(kitchen.file, kitchen.dinner, {"pressed-lamb": counted})
    assert not keep_run_outs(kitchen.file, kitchen.dinner, {"pressed-lamb": board.now})
    then = plan(kitchen.state, kitchen.clock.now())
    assert then.new_run_outs == {}
    assert next(left for left in then.left if left.dish == "pressed-lamb").since == counted


def test_a_special_day_is_said_once_and_taken_back(kitchen: Kitchen):
    assert (
        special(kitchen.file, kitchen.sous, kitchen.dinner).text
        == "Dinner 2026-10-31: special, nothing is learned of it"
    )
    assert kitchen.state.tonight[kitchen.dinner].special
    with pytest.raises(Refused, match="special already"):
        special(kitchen.file, kitchen.sous, kitchen.dinner)
    special(kitchen.file, kitchen.sous, kitchen.dinner, False)
    assert not kitchen.state.tonight[kitchen.dinner].special
    undo(kitchen.file, kitchen.sous)
    assert kitchen.state.tonight[kitchen.dinner].special
    assert [row["after"] for row in kitchen.log("special")] == ["1", "0"]


def test_beside_a_special_day_stands_the_feast_of_the_year_before(kitchen: Kitchen):
    """A special day near the same date, else the same date, else the same weekday."""
    for day, lamb in ((date(2025, 10, 31), 31), (date(2025, 11, 1), 52), (date(2025, 11, 4), 44)):
        record_past(kitchen.file, kitchen.sous, past(1, until=day + timedelta(days=1), lamb=lamb))
    special(kitchen.file, kitchen.sous, kitchen.dinner)
    assert kitchen.state.last_year[kitchen.dinner][0] == date(2025, 10, 31)
    special(kitchen.file, kitchen.sous, ("dinner", date(2025, 11, 4)))
    day, plates = kitchen.state.last_year[kitchen.dinner]
    assert (day, plates["pressed-lamb"]) == (date(2025, 11, 4), 44)


def test_a_new_recipe_is_said_and_taken_back(kitchen: Kitchen):
    record_past(kitchen.file, kitchen.sous, past(20))
    before = known(kitchen)
    assert reset(kitchen.file, kitchen.sous, "pressed-lamb").text == "Pressed lamb: old sales count less from now on"
    assert known(kitchen).dishes["pressed-lamb"].sold < before.dishes["pressed-lamb"].sold
    undo(kitchen.file, kitchen.sous)
    assert known(kitchen) == before
    with pytest.raises(Refused, match="no dish is called pressed-lam"):
        reset(kitchen.file, kitchen.sous, "pressed-lam")


def test_only_a_sous_chef_tells_history_anything(staffed: Kitchen):
    for told in (
        lambda: special(staffed.file, staffed.jp, staffed.dinner),
        lambda: reset(staffed.file, staffed.jp, "pressed-lamb"),
        lambda: record_past(staffed.file, staffed.jp, past(1)),
    ):
        with pytest.raises(Refused, match="only a sous chef"):
            told()


def test_what_is_read_of_history_goes_by_the_index_of_its_day(kitchen: Kitchen):
    """Ten years of plates cost nothing: only those since the last learned day are looked at."""
    sql = "EXPLAIN QUERY PLAN SELECT min(day) FROM plates WHERE day > ?"
    assert "plates_of_day" in str(kitchen.select(sql, "2026-10-28")[0][-1])
