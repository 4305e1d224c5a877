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


def _whole(given: list[int], wanted: Sequence[int], lines: Sequence[int]) -> list[int]:
    """The same in whole rows, where a list has one: the lines that are left of them go to who can use them, from the
    top."""
    odd = [got % each if each < got < want else 0 for got, want, each in zip(given, wanted, lines, strict=True)]
    given, spare = [got - rest for got, rest in zip(given, odd, strict=True)], sum(odd)
    for at, each in enumerate(lines):
        more = min(spare, wanted[at] - given[at]) // each * each
        given[at] += max(0, more)
        spare -= max(0, more)
    return given


def of_lists(room: int, wanted: Sequence[int], lines: Sequence[int], *, beside: bool, served: bool) -> list[int]:
    """Lines for the four lists of a station, whose rows take so many `lines` each; the last two may stand `beside` one
    another. What is left has room for five dishes while a service is `served`, before starts take more than theirs."""
    folded = max(lines[:2]) > 1
    rows = (2, 1, 1, 2) if folded and served else (3, 1 if folded else 2, 2, 2)
    least = [count * each for count, each in zip(rows, lines, strict=True)]
    if served:
        others = sum(map(min, wanted[:3], least[:3]))
        least[3] = max(least[3], min(5 * lines[3], room - others))
    if beside:
        given = share(room, [*wanted[:2], max(wanted[2:])], [*least[:2], max(least[2:])])
    else:
        given = _whole(share(room, wanted, least), wanted, lines)
    # What nobody wants is the last one's: a row that comes or goes there moves nothing.
    if beside or given[-1] >= wanted[-1]:
        given[-1] += max(0, room - sum(given))
    return [*given, given[-1]] if beside else given
