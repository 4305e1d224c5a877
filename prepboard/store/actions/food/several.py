"""Several runs end at once, in one transaction: all of them, or none."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from prepboard.plan.given.state import Line
from prepboard.store.actions.food.making import end_as_planned
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.running import Shown
from prepboard.store.transaction.doing import Doing, action
from prepboard.texts import _


class Ended(Struct, frozen=True):
    """A run that is over: the `run` itself, or one of `prep` that nobody started, on the plan's `line`."""

    run: str = ""
    prep: str = ""
    size: Fraction = Fraction(1)
    line: Line | None = None
    shown: Shown | None = None
    """How far the run was on the screen."""


@action("done")
def done_together(doing: Doing, ended: Sequence[Ended], *, action: str | None = None) -> Did:
    """Each run ends as the batches that were planned. Refused, and nothing changed, when one of them cannot be."""
    if not ended:
        raise Refused(_("nothing is marked"))
    each = [end_as_planned(doing, one.run or None, one.prep or None, one.size, one.line, one.shown) for one in ended]
    batches = tuple(code for did in each for code in did.batches)
    return doing.answer("; ".join(did.text for did in each), batches=batches)
