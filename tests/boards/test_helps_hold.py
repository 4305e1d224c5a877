"""What helps a late line is done as one change, what it promised holds after it, and undo gives back what was."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

from conftest import kitchen_file
from random_kitchens import text_of

from prepboard.boards.acts.helping import doing
from prepboard.paper.text.helps import commands_of, help_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.helping import Help, helps, worst
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
"""Four hours before dinner."""
WHO = Who("LM", "bench0")


def opened(seed: int, folder: Path, runs: int = 6) -> KitchenFile:
    """A drawn kitchen of which nothing is made yet, in the afternoon."""
    return kitchen_file(folder, NOW, WHO, seed=seed, book=text_of(seed, runs, tight=seed % 2 == 0))


def after(file: KitchenFile, help: Help) -> datetime | None:
    """When the line is ready by now: as it is planned, or as the run that it became."""
    board = plan(file.read(), NOW)
    if help.kind in ("start", "part"):
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
    """Two drawn kitchens with all that is offered most; many more are drawn by `tests/benchmarks/what_helps.py`."""
    kinds = Counter[str]()
    for seed, runs in ((3, 9), (8, 6)):
        file = opened(seed, tmp_path / str(seed), runs)
        try:
            kinds += tried(file)
        finally:
            file.close()
    assert {"give", "start", "stay", "86"} == set(kinds)
    assert kinds.total() >= 10, "enough of them for that to mean something"
