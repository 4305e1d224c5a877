"""What a run under way still takes: its rest waits for what is not there, and what gives that is asked for in time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from conftest import Kitchen
from msgspec.structs import replace
from plan.test_helping import BENCHES
from plan.test_made_otherwise import PASTRY

from prepboard.plan.board import Board, plan
from prepboard.plan.changing.begun import begun
from prepboard.plan.given.state import State

FILLED = (
    BENCHES
    + """
[preps.fill]
name = "Fill"
station = "cold"
keeps = "2 days"
makes = "4 kg"
steps = [{ do = "Stew", hands_on = "10 min", wait = "90 min" }]
[preps.dough]
name = "Dough"
station = "hot"
keeps = "2 days"
makes = "4 kg"
uses = { fill = "1 kg" }
ready_before = "0 min"
steps = [
  { do = "Weigh", hands_on = "5 min", wait = "10 min", wait_up_to = "4 h" },
  { do = "Fold in", hands_on = "25 min", uses = ["fill"] },
]
[dishes.pasty]
name = "Pasty"
services = ["dinner"]
share = 1
plate = { dough = "100 g" }
"""
)
"""The fill takes 100 minutes, and goes in at the second step."""


def started(board: Board) -> State:
    """Once the dough is begun, with where everything lay kept, as an action keeps it."""
    line = next(line for line in board.make if line.prep == "dough")
    state = begun(board.state, line, line.size, board.now)
    run = replace(state.runs[0], code="K7F")
    return replace(state, runs=(run,), placements=board.placing.placements, placed_for=board.placing.digest)


@pytest.mark.parametrize(
    ("now", "fill", "dough"),
    [
        # It may wait four hours from 12:05 on.
        ("12:00", "16:05", "16:30"),
        # Nobody can have it sooner than 18:40.
        ("17:00", "18:40", "19:05"),
    ],
)
def test_what_a_run_under_way_still_takes_is_made_for_it_and_waited_for(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime], now: str, fill: str, dough: str
) -> None:
    board = kitchen(FILLED).plan(f"2026-10-31 {now}")
    after = plan(started(board), board.now, moving=True)
    (run,) = after.under_way
    line = next(line for line in after.make if line.prep == "fill" and line.serves[0].run_of == "dough")
    assert line.ready_at == moment(f"2026-10-31 {fill}")
    assert (run.next_at, run.ready_at) == (line.ready_at, moment(f"2026-10-31 {dough}"))
    assert next(line.ready_if_started_now for line in board.make if line.prep == "dough") == run.ready_at
    assert bool(line.late_minutes) is (now == "17:00")


def test_what_it_takes_of_another_run_under_way_is_waited_for_as_it_was_before_either_began(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """The fill was begun at 16:30 and is ready at 18:10; dough that is begun at 17:00 folds it in then."""
    at = kitchen(FILLED)
    board = at.plan("2026-10-31 16:30")
    fill = next(line for line in board.make if line.prep == "fill" and line.serves[0].run_of == "dough")
    first = begun(board.state, fill, fill.size, board.now)
    placements = board.placing.placements
    both = replace(first, placements=placements, placed_for=board.placing.digest)
    then = plan(replace(both, runs=(replace(first.runs[0], code="F1"),)), moment("2026-10-31 17:00"), moving=True)
    promised = next(line.ready_if_started_now for line in then.make if line.prep == "dough")
    dough = next(line for line in then.make if line.prep == "dough")
    state = begun(then.state, dough, dough.size, then.now)
    kept = replace(state, placements=then.placing.placements, placed_for=then.placing.digest)
    ready = {run.prep: run.ready_at for run in plan(kept, then.now).under_way}
    assert ready["fill"] == moment("2026-10-31 18:10")
    assert ready["dough"] == promised == moment("2026-10-31 18:35")


def test_nobody_went_on_with_what_it_waits_for_so_it_slips_with_it(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    board = kitchen(FILLED).plan("2026-10-31 17:00")
    after = plan(started(board), board.now, moving=True)
    kept = replace(after.state, placements=after.placing.placements, placed_for=after.placing.digest)
    (run,) = plan(kept, moment("2026-10-31 17:20")).under_way
    assert run.ready_at == moment("2026-10-31 19:25")


def test_goods_that_a_later_step_takes_hold_it_once_it_is_begun_as_they_did_before(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """Butter goes in at the second step and comes at 18:30; "if started now" says so too."""
    at = kitchen(BENCHES + PASTRY)
    at.more["missing"] = {"butter": moment("2026-10-31 18:30")}
    board = at.plan("2026-10-31 16:50")
    promised = next(line.ready_if_started_now for line in board.make if line.prep == "dough")
    (run,) = plan(started(board), board.now).under_way
    assert run.ready_at == promised == moment("2026-10-31 18:55")
