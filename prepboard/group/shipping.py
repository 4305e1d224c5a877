"""What a kitchen did goes to the group: finished actions, in the order of the log, from where the group has it.

The file keeps no position of what it shipped. The group knows where each file stands; what it has already is passed
over there, so what is sent twice is in once. A restored file goes on as a new branch of itself, and only where its log
says so after it left the branch that is known.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from msgspec import Struct, convert

from prepboard.group.founding import VERSION
from prepboard.group.line import Line
from prepboard.store.group.heard import HeardTo, heard_to, keep_heard
from prepboard.store.group.shipping import (
    Finished,
    Half,
    Joined,
    chain_at,
    finished,
    last_line,
    to_restored,
    told_by_others,
)
from prepboard.store.kitchen_file import KitchenFile

A_PACK = 200
"""Actions that go at once."""

LONG_AGO = timedelta(days=120)
"""What left before that is not said again to a group that was set back (common practice, no source)."""

LEASE = 60
"""Seconds for which a kitchen's one shipper is the only one."""


class Standing(Struct):
    """What the group says of this kitchen's file."""

    said: str
    """"yours", or "other" while another shipper is at it."""
    kitchen: str = ""
    line: int = 0
    chain: str = ""
    action: int = 0
    branch: int = 1
    file: str = ""
    stopped: str = ""
    anew: bool = False
    """The group was set back since this file heard it last."""


class Shipped(Struct, frozen=True):
    """How far it came."""

    said: str
    """"in"; "other" shipper; "two files" of one name; "set back" and not said so; "broken", and `why`."""
    actions: int = 0
    why: str = ""


async def stand(file: KitchenFile, line: Line, shipper: str, us: Joined) -> Standing:
    to = heard_to(file)
    said = await line.ask("stand", shipper, us.file_id, LEASE, to.number, to.token, VERSION)
    return convert(said, Standing)


async def ship(file: KitchenFile, line: Line, shipper: str, us: Joined) -> Shipped:
    """Sends all that the group does not have. Away or Denied as the line says."""
    standing = await stand(file, line, shipper, us)
    if standing.said != "yours":
        return Shipped(standing.said)
    if standing.anew:
        await _recall(file, line)
    if not _is_ours(file, standing):
        said = await _go_on_as_branch(file, line, shipper, us)
        if said != "branch taken":
            return Shipped(said)
        standing = await stand(file, line, shipper, us)
    after, sent = standing.line or us.since_line, 0
    while pack := finished(file, after, A_PACK):
        said = await line.ask("ship", shipper, [_as_json(one) for one in pack])
        if said["said"] != "in":
            return Shipped("two files" if said["said"] == "branch" else said["said"], sent, said.get("why", ""))
        sent += len(pack)
        after = pack[-1].lines[-1].number
    return Shipped("in", sent)


async def _recall(file: KitchenFile, line: Line) -> None:
    """The group was set back: what others told this kitchen is told to them. A file of theirs may have been set back as
    well, and then nobody else knows of it. After that this file hears all once more."""
    lost = told_by_others(file, file.clock.now() - LONG_AGO)
    for first in range(0, len(lost), A_PACK):
        pack = [{"kind": one.kind, "word": one.word, "of": one.of} for one in lost[first : first + A_PACK]]
        await line.ask("recall", pack)
    keep_heard(file, HeardTo())


def _is_ours(file: KitchenFile, standing: Standing) -> bool:
    """Whether the group's last line is one of this file's log."""
    return not standing.line or chain_at(file, [standing.line]).get(standing.line) == standing.chain


async def _go_on_as_branch(file: KitchenFile, line: Line, shipper: str, us: Joined) -> str:
    """A file that was set back, or whose copy was heard before it: the group is told where its log leaves the one that
    it knows, and up to where somebody said that this file is the right one."""
    common = await _common_line(file, line, us.since_line)
    if common is None:
        return "two files"
    number, branch = common
    if number == last_line(file)[0]:
        return "set back"
    as_sent = [[one.number, one.chain, one.text] for one in to_restored(file, number)]
    to = heard_to(file)
    said = await line.ask("branch_off", shipper, us.file_id, number, branch, as_sent, to.number, to.token)
    if said["said"] == "branch taken":
        keep_heard(file, HeardTo(said["heard"], said["token"] or ""))
    return str(said["said"])


async def _common_line(file: KitchenFile, line: Line, since: int) -> tuple[int, int] | None:
    """The last line that this log and any branch that the group has of it share, with the branch. The group has none of
    before this kitchen joined it, `since`."""
    low, high, branch = since, last_line(file)[0] + 1, 0
    step = 1
    while high - low > 1:
        asked = sorted({max(low + 1, high - 1 - step * n) for n in range(50)})
        found = await line.ask("fork", [[n, chain] for n, chain in chain_at(file, asked).items()])
        if found is not None:
            low, branch = found["line"], found["branch"]
            high = min([n for n in asked if n > low], default=high)
            step = max(1, (high - low) // 50)
        else:
            high = asked[0]
            step *= 50
    return (low, branch) if branch else None


def behind(file: KitchenFile, line: int) -> int:
    """How many lines of the log the group does not have."""
    return max(0, last_line(file)[0] - line)


def _as_json(one: Finished) -> dict[str, Any]:
    return {
        "number": one.number,
        "id": one.id,
        "lines": [[line.number, line.chain, line.text] for line in one.lines],
        "left_behind": one.left_behind,
        "halves": [{"kind": half.kind, "word": half.word} for half in sorted(one.halves, key=_is_of_a_batch)],
    }


def _is_of_a_batch(half: Half) -> bool:
    """A lot that is held back goes first: by it the others find all that was made of it at once."""
    return half.kind == "hold" and bool(half.word.get("code"))
