"""How lists that stand below one another share the lines of the screen."""

from __future__ import annotations

from collections.abc import Sequence


def share(room: int, wanted: Sequence[int], least: Sequence[int]) -> list[int]:
    """Lines for each list: first each its least, then from the top what each still wants.

    Where even the least is too much the lists at the bottom give way, down to one line each.
    """
    given = [min(want, low) for want, low in zip(wanted, least, strict=True)]
    spare = room - sum(given)
    for at, want in enumerate(wanted):
        more = max(0, min(spare, want - given[at]))
        given[at] += more
        spare -= more
    for at in reversed(range(len(given))):
        fewer = max(0, min(-spare, given[at] - 1))
        given[at] -= fewer
        spare += fewer
    return given
