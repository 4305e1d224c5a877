"""What helps a late line: found by trying, best first, and nothing that makes another line late."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from fractions import Fraction

from conftest import Kitchen

from prepboard.plan.changing.helping import Help, helps, worst
from prepboard.plan.changing.losses import losses, sittings_ahead

BENCHES = """
[stations.hot]
name = "Hot"
cooks = 1
hours = "08:00-23:00"
[stations.cold]
name = "Cold"
cooks = 1
hours = "08:00-23:00"
[services.dinner]
name = "Dinner"
starts = "18:00"
ends = "22:00"
covers = 40
"""

JUS = """
[preps.jus]
name = "Jus"
station = "hot"
keeps = "3 days"
makes = "2 l"
sizes = { smallest = 0.5, step = 0.5 }
ready_before = "0 min"
steps = [{ do = "Reduce", hands_on = "20 min", hands_on_each = "60 min" }]
[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 1
plate = { jus = "50 ml" }
"""
"""2 l for 40 guests: 80 minutes of hands."""

STEW = """
[preps.stew]
name = "Stew"
station = "hot"
keeps = "3 days"
makes = "4 kg"
ready_before = "0 min"
steps = [{ do = "Stir", hands_on = "90 min" }]
[dishes.stew]
name = "Stew plate"
services = ["dinner"]
share = 1
plate = { stew = "100 g" }
"""


def found(kitchen: Kitchen, prep: str, now: str) -> dict[str, Help]:
    board = kitchen.plan(now)
    line = min((line for line in board.make if line.prep == prep), key=lambda line: line.ready_by)
    return {help.kind: help for help in helps(board, line)}


def test_a_line_in_time_needs_no_help(kitchen: Callable[..., Kitchen]) -> None:
    board = kitchen(BENCHES + JUS).plan("2026-10-31 12:00")
    assert [helps(board, line) for line in board.make] == [()] * len(board.make)
    assert worst(board) == ()


def test_a_bench_with_free_hands_makes_it_in_time(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """One cook cannot do both by 18:00; the other bench has nothing to do."""
    board = kitchen(BENCHES + JUS + STEW).plan("2026-10-31 16:00")
    (line,) = worst(board)
    best = helps(board, line)[0]
    assert (best.kind, best.station) == ("give", "cold")
    assert best.ready_at is not None
    assert best.ready_at <= line.ready_by
    assert best.saves_minutes == (line.ready_at - line.ready_by).total_seconds() // 60


def test_no_bench_is_named_that_would_be_late_with_its_own(kitchen: Callable[..., Kitchen]) -> None:
    busy = STEW.replace('"hot"', '"cold"').replace("stew", "soup").replace("Stew", "Soup")
    text = BENCHES + JUS + STEW + busy
    line = worst(kitchen(text).plan("2026-10-31 16:20"))[0]
    assert "give" not in found(kitchen(text), line.prep, "2026-10-31 16:20")


def test_a_smaller_size_now_is_in_time_and_the_rest_comes_after(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """At 16:50 the whole takes until 18:10; one litre, 50 minutes, is ready at 17:40."""
    one_bench = BENCHES[: BENCHES.index("[stations.cold]")] + BENCHES[BENCHES.index("[services") :]
    part = found(kitchen(one_bench + JUS), "jus", "2026-10-31 16:50")["part"]
    assert part.ready_at == moment("2026-10-31 17:40")
    assert part.size == Fraction(1, 2)
    assert part.rest_at == moment("2026-10-31 18:30")


def test_less_on_a_plate_does_where_little_is_short(kitchen: Callable[..., Kitchen]) -> None:
    at = kitchen(BENCHES + JUS)
    at.on_hand("jus", "1.8 l")
    portion = found(at, "jus", "2026-10-31 17:50")["portion"]
    assert portion.ready_at is None, "it is not needed any more"
    (change,) = portion.changes
    assert change.to == 45_000_000
    assert (change.number.on, change.number.item, change.number.day) == ("duck", "jus", date(2026, 10, 31))


def test_what_cannot_be_ready_before_its_sitting_is_over_is_86_and_nothing_saves_it(
    kitchen: Callable[..., Kitchen],
) -> None:
    slow = JUS.replace('hands_on = "20 min", hands_on_each = "60 min"', 'hands_on = "20 min", wait = "9 h"')
    board = kitchen(BENCHES + slow).plan("2026-10-31 14:00")
    (line,) = worst(board)
    held = sittings_ahead(board)
    assert line.too_late
    cost = losses(board, held)
    assert cost.dishes == {"duck"}
    assert round(cost.lost) == 40
    (off,) = helps(board, line)
    assert (off.kind, off.dishes) == ("86", ("duck",))


def test_guests_wait_only_beyond_those_whom_what_is_there_serves(kitchen: Callable[..., Kitchen]) -> None:
    """Guests come evenly from 18:00 to 22:00. At 17:40 the jus is ready at 19:00: a quarter of 40 have come; with
    half of it there, none of them waits."""
    bare = kitchen(BENCHES + JUS).plan("2026-10-31 17:40")
    assert round(losses(bare, sittings_ahead(bare)).waiting) == 10
    half = kitchen(BENCHES + JUS)
    half.on_hand("jus", "1 l")
    board = half.plan("2026-10-31 17:40")
    assert losses(board, sittings_ahead(board)).waiting == 0


BREAK = (
    BENCHES[: BENCHES.index("[stations.cold]")].replace("08:00-23:00", "08:00-15:00, 16:00-23:00")
    + (BENCHES[BENCHES.index("[services") :])
)
CHILLED = """
[preps.sorrel]
name = "Sorrel"
station = "hot"
keeps = "2 days"
makes = "2 l"
ready_before = "0 min"
steps = [
  { do = "Melt", hands_on = "10 min", wait = "30 min", wait_up_to = "30 min" },
  { do = "Chill", hands_on = "5 min", wait = "2 h", wait_up_to = "2 h" },
]
[dishes.trout]
name = "Trout"
services = ["dinner"]
share = 1
plate = { sorrel = "50 ml" }
"""
"""At 14:40 the melting is over at 15:20, in the break; chilled after the break it is ready at 18:45."""


def test_who_takes_it_off_in_the_break_is_asked_for_as_long_as_that_takes(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    stay = found(kitchen(BREAK + CHILLED), "sorrel", "2026-10-31 14:40")["stay"]
    assert (stay.station, stay.since, stay.stay_minutes) == ("hot", "15:15", 10)
    assert stay.ready_at == moment("2026-10-31 17:25")
    (change,) = stay.changes
    assert (change.number.of, change.number.day, change.seen, change.to) == ("staying", date(2026, 10, 31), None, 10)


def test_somebodys_break_is_offered_after_all_else_but_the_dish_itself(kitchen: Callable[..., Kitchen]) -> None:
    with_cold = BREAK + '[stations.cold]\nname = "Cold"\ncooks = 1\nhours = "08:00-23:00"\n'
    board = kitchen(with_cold + CHILLED).plan("2026-10-31 14:40")
    (line,) = worst(board)
    kinds = [help.kind for help in helps(board, line)]
    assert kinds[-1] == "stay"
    assert "give" in kinds


def test_nobody_is_asked_to_stay_for_what_just_takes_too_long(kitchen: Callable[..., Kitchen]) -> None:
    at = kitchen(BREAK + CHILLED.replace('"2 h"', '"9 h"'))
    assert "stay" not in found(at, "sorrel", "2026-10-31 08:00")
