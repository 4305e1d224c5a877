"""What helps a late line is done as one change, what it promised holds after it, and undo gives back what was."""

from __future__ import annotations

import re
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

from conftest import kitchen_file
from plan.test_helping import BENCHES
from plan.test_made_otherwise import OVENS, ROAST
from random_kitchens import text_of

from prepboard.boards.acts.helping import doing
from prepboard.book.otherwise import Otherwise
from prepboard.paper.sentences.helps import commands_of, help_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.helping import BEGUN, Help, helps, worst
from prepboard.store.actions.food.making import start
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
"""Four hours before dinner."""
WHO = Who("LM", "bench0")
SETTINGS = 'name = "Ovens"\ntime_zone = "UTC"\nspread = 0\nready_before = "0 min"\n'


def opened(seed: int, folder: Path, runs: int = 6) -> KitchenFile:
    """A drawn kitchen of which nothing is made yet, in the afternoon. What stands in its oven may stand in another one,
    and there is something for each prep that goes into another."""
    text = text_of(seed, runs, tight=seed % 2 == 0).replace('= "oven0"', '= "oven0", or_in = "spare"')
    text = re.sub(r"uses = \{ (p\d+)", r'instead = { \1 = "bought" }\nuses = { \1', text)
    more = '\n[equipment.spare]\nname = "Spare oven"\nracks = 9\n[goods.bought]\nname = "Bought"\n'
    return kitchen_file(folder, NOW, WHO, seed=seed, book=text + more)


def after(file: KitchenFile, help: Help) -> datetime | None:
    """When the line is ready by now: as it is planned, or as the run that it became."""
    board = plan(file.read(), NOW)
    if help.kind in BEGUN:
        codes = [run.code for run in board.state.runs if run.line == help.line.line]
        return next(run.ready_at for run in board.under_way if run.run in codes)
    return next((line.ready_at for line in board.make if line.line == help.line.line), None)


def lates(board: Board, besides: Help) -> dict[str, int]:
    need = besides.line.line.need
    return {
        str(line.line): line.late_minutes
        for line in board.make
        if (line.prep, line.line.need) != (besides.line.prep, need)
    }


def tried(file: KitchenFile) -> Counter[str]:
    """Does each help of the worst lines, holds it against what it promised, and undoes it; how many of each kind."""
    before, kinds = plan(file.read(), NOW), Counter[str]()
    voice = Voice.of(before)
    for help in (help for line in worst(before)[:3] for help in helps(before, line)):
        kinds[help.kind] += 1
        assert commands_of(help, voice)
        doing(file, WHO, help, voice)()
        assert after(file, help) == help.ready_at, help_text(help, voice)
        if help.kind != "86":  # guests who choose another dish may make its lines larger, and late
            were, are = lates(before, help), lates(plan(file.read(), NOW), help)
            assert all(late <= were.get(key, 0) for key, late in are.items()), help_text(help, voice)
        undo(file, WHO)
        again = plan(file.read(), NOW)
        assert [(one.line, one.ready_at) for one in again.make] == [(one.line, one.ready_at) for one in before.make]
    return kinds


def test_what_is_offered_gives_what_it_promised_and_makes_nothing_else_late(tmp_path: Path) -> None:
    """Three drawn kitchens with all that is offered most; many more are drawn by `tests/benchmarks/what_helps.py`."""
    kinds = Counter[str]()
    for seed, runs in ((3, 9), (8, 6), (31, 6)):
        file = opened(seed, tmp_path / str(seed), runs)
        try:
            kinds += tried(file)
        finally:
            file.close()
    assert {"give", "start", "instead", "stay", "86"} == set(kinds)
    assert kinds.total() >= 10, "enough of them for that to mean something"


def test_in_another_oven_it_is_ready_when_that_was_said(tmp_path: Path) -> None:
    """The shoulder is begun at 14:00 and stands in the deck oven's only place to 20:05."""
    file = kitchen_file(tmp_path, NOW, WHO, book=SETTINGS + BENCHES + OVENS + ROAST)
    try:
        line = next(line for line in plan(file.read(), NOW).make if line.prep == "shoulder")
        start(file, WHO, "shoulder", line.size, line.line)
        kinds = tried(file)
        assert kinds["place"] == 1
        tart = next(line for line in plan(file.read(), NOW).make if line.prep == "tart")
        start(file, WHO, "tart", tart.size, tart.line, how=Otherwise(places={"deck-oven": "combi"}))
        (run,) = (run for run in file.read().runs if run.recipe.id == "tart")
        assert [step.equipment for step in run.recipe.steps] == ["combi", None]
    finally:
        file.close()
