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


def of_lists(room: int, wanted: Sequence[int], lines: Sequence[int], *, beside: bool, served: bool) -> list[int]:
    """Lines for the four lists of a station, whose rows take so many `lines` each; the last two may stand `beside` one
    another. What is left has room for five dishes while a service is `served`, before starts take more than theirs."""
    rows = (3, 1 if lines[1] > 1 else 2, 2, 2)
    least = [count * each for count, each in zip(rows, lines, strict=True)]
    if served:
        least[3] = max(least[3], min(5 * lines[3], room - sum(least[:3])))
    if beside:
        given = share(room, [*wanted[:2], max(wanted[2:])], [*least[:2], max(least[2:])])
    else:
        given = share(room, wanted, least)
    # What nobody wants is the last one's: a row that comes or goes there moves nothing.
    given[-1] += max(0, room - sum(given))
    return [*given, given[-1]] if beside else given
