"""The Board: everything that screens, papers and scripts show, worked out from a State at one moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from prepboard.plan.lines import Closing, Expiring, Left, MakeLine, ParLine, Pull, SittingLine, UnderWay, Work
from prepboard.plan.state import State


@dataclass(frozen=True)
class Board:
    """`plan`'s answer. `make` is in order of start-by, `sittings` and `pars` by time, `expiring` by use-by."""

    state: State
    now: datetime
    sittings: tuple[SittingLine, ...]
    make: tuple[MakeLine, ...]
    under_way: tuple[UnderWay, ...]
    expiring: tuple[Expiring, ...]
    left: tuple[Left, ...]
    pars: tuple[ParLine, ...]
    pull: tuple[Pull, ...]
    work: tuple[Work, ...]

    @cached_property
    def closing(self) -> Closing:
        """The close's lists as if the kitchen closed now; worked out when first asked for, since it looks further."""
        raise NotImplementedError


def plan(state: State, now: datetime) -> Board:
    """Works out the board of a kitchen at one moment; pure, the same answer for the same state and moment."""
    raise NotImplementedError
