"""What food is known to be is worked out once in an action, each food again only where what it came from changed."""

from __future__ import annotations

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.transaction import doing, marks
from prepboard.store.transaction.marks import Code


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[Code]:
    """Each run that was worked out, in order."""
    found: list[Code] = []
    of_run = marks._of_run

    def counted(files, code, known):
        found.append(("run", code))
        return of_run(files, code, known)

    monkeypatch.setattr(marks, "_of_run", counted)
    return found


def test_a_lot_that_is_held_back_is_folded_once(kitchens, monkeypatch, worked_out):
    central = kitchens.central
    for _n in range(6):
        central.makes_cream("L9")
    for _n in range(3):
        done(central.file, central.cook, prep="soup")
    folds = []
    after = doing.mark_after
    monkeypatch.setattr(doing, "mark_after", lambda *given: (folds.append(1), after(*given)))
    worked_out.clear()
    withdraw(central.file, central.sous, "cream", "glass", lot="L9", sure=True)
    assert folds == [1]
    # A run of soup comes after the cream that went into it, so that none is looked at a third time.
    assert len(worked_out) <= 2 * len(set(worked_out))
    assert len(set(worked_out)) == 9
    kept = central.select("SELECT kind, code, marks FROM food ORDER BY 1, 2")
    assert len(kept) == 24
    with central.file.writing() as db:
        files = doing.Files(db, central.state.book, lambda version: central.file.book(db, version), central.clock.at)
        marks.mark_anew(files, [(kind, code) for kind, code, _marks in kept])
    assert central.select("SELECT kind, code, marks FROM food ORDER BY 1, 2") == kept, "in another order, the same"
