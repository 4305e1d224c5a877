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


def of_lists(room: int, wanted: Sequence[int], lines: Sequence[int], *, beside: bool) -> list[int]:
    """Lines for the four lists of a station, whose rows take so many `lines` each; the last two may stand `beside` one
    another."""
    folded = max(lines[:2]) > 1
    # Runs under way are seen before the third line to make, and before what only goes off later.
    rows = (3, 1, 2, 2) if folded else (2, 4, 2, 2)
    least = [count * each for count, each in zip(rows, lines, strict=True)]
    if beside:
        given = share(room, [*wanted[:2], max(wanted[2:])], [*least[:2], max(least[2:])])
    else:
        given = _whole(share(room, wanted, least), wanted, lines)
    # What nobody wants is the last one's: a row that comes or goes there moves nothing.
    if beside or given[-1] >= wanted[-1]:
        given[-1] += max(0, room - sum(given))
    return [*given, given[-1]] if beside else given


def in_service(room: int, wanted: Sequence[int], lines: Sequence[int], *, beside: bool) -> list[int]:
    """The same while a service runs, when what is left stands first, then what goes off, what is under way and what is
    to be made: the dishes have all the room they want but for a row of each other list, two of what is under way."""
    make, under_way, goes_off, left = range(4)
    order = [left, under_way, goes_off, make]
    rows = {left: 5, under_way: 2, goes_off: 1, make: 1}
    least = [rows[at] * lines[at] for at in order]
    if beside:
        pair = max(wanted[left], wanted[goes_off])
        given = share(room, [pair, wanted[under_way], wanted[make]], [least[0], least[1], least[3]])
        given[2] += max(0, room - sum(given))
        return [given[2], given[1], given[0], given[0]]
    given = _whole(
        share(room, [wanted[at] for at in order], least), [wanted[at] for at in order], [lines[at] for at in order]
    )
    given[3] += max(0, room - sum(given))
    shares = dict(zip(order, given, strict=True))
    return [shares[at] for at in range(4)]
