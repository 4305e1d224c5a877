"""Pinned: runs stay where they were placed as long as that holds; only what is new or broken is placed around them.

A run that nobody began in time is to be begun now, and a late one stays where it is unless it can be ready sooner.
Where that would make others late, those in its way move, each no further than it must.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.foreseen import due_of
from prepboard.plan.floor.making import RecipeWork
from prepboard.plan.floor.plates import WEIGHT
from prepboard.plan.runs.runs import SOON, Planned
from prepboard.plan.solver.jobs import Booked
from prepboard.plan.solver.orders import place_all, useless
from prepboard.plan.solver.rivals import Rivals, unavoidable
from prepboard.plan.solver.schedule import HOMELESS, Schedule, Snapshot

SOME = 80
"""With more runs than this placing all of them anew takes too long to be tried at every change."""
MOST_PLACED = 6_000
"""So many placements are tried at most to make way for what is late: a hotel has hundreds of late runs at once."""
MOST_CLOSED_UP = 1_000
"""So many to close up what is late with what it takes."""
LITTLE = 10 * WEIGHT
"""So many weighed minutes are no reason to place anew what lies somewhere already."""


def keep(
    schedule: Schedule, planned: Sequence[Planned], works: Sequence[RecipeWork], floor: Floor, last: Collection[int]
) -> set[int]:
    """Books again what was placed before and still holds, users first, but for what is placed `last`; the runs that
    are kept."""
    return _keep(schedule, planned, works, floor, set(range(len(planned))).difference(last))


def _keep(
    schedule: Schedule,
    planned: Sequence[Planned],
    works: Sequence[RecipeWork],
    floor: Floor,
    wanted: Collection[int],
    begun: bool = True,
) -> set[int]:
    kept = set()
    for index in sorted(wanted):
        run, old = planned[index], floor.state.placements.get(planned[index].name)
        if old is None or not old.steps or (old.size != run.size if begun else old.size < run.size):
            continue
        if schedule.booked[index] is not None or len(old.steps) != len(works[index].recipe.steps):
            continue
        if any(placed.station not in ("", its) for placed, its in zip(old.steps, works[index].stations, strict=True)):
            continue  # it lay on a day on which another bench makes it, found by that bench's hands
        lanes = works[index].lanes(old.steps)
        begins = [floor.minute(placed.begins) for placed in old.steps]
        if lanes is not None and schedule.keep(index, begins, lanes, begins[0], begun=begun):
            kept.add(index)
    return kept


def place_last(
    schedule: Schedule, planned: Sequence[Planned], works: Sequence[RecipeWork], floor: Floor, last: Collection[int]
) -> None:
    """Places what nobody will begin where it lay, also once that is over, or less of it is asked for, else where there
    is room left: what it takes shall not be asked for at another time every minute."""
    _keep(schedule, planned, works, floor, last, begun=False)
    place_all(schedule, [index for index in sorted(last) if schedule.booked[index] is None], tries=1)


class Effort(Struct, frozen=True):
    """What placing everything anew may cost: orders that are tried, and placements to better the best of them."""

    tries: int
    improving: int


def place_around(
    schedule: Schedule,
    kept: set[int],
    planned: Sequence[Planned],
    floor: Floor,
    last: set[int],
    now: datetime,
    again: bool = False,
) -> None:
    """Places what was not kept around what was. What nobody began moves those in its way, each no further than it
    must, and what is late closes up where it left, or where, placed `again` in one plan, others were asked for before;
    what is new moves nobody. What no place was found for when somebody last pressed a key is not looked for one again:
    others are asked for as if it had none. What slipped until nobody has any use for it loses nobody else: it lies
    around all else, and so does what only it takes."""
    homeless = {index for index, run in enumerate(planned) if run.name in floor.state.nowhere}
    new = [index for index in range(len(planned)) if index not in kept and index not in last | homeless]
    slipped = with_users(schedule, {index for index in new if _lay(planned[index], floor)})
    before, stays = schedule.snapshot(), kept - slipped - with_users(schedule, new)
    in_vain = _slip(schedule, new, slipped, planned, floor)
    new, slipped = [index for index in new if index not in in_vain], slipped - in_vain
    for_new = [index for index in new if index not in slipped]
    if for_new and _later(schedule, before, stays):
        # What goes into it moves with it, and with that whoever else takes of the same.
        schedule.restore(before)
        _place_the_rest(schedule, [index for index in new if index in slipped], slipped, planned, floor)
        _place_one_by_one(schedule, for_new, stays)
    _among_themselves(schedule, for_new)
    if slipped or in_vain or again or _is_gone(planned, floor, now):
        members = [index for index in range(len(planned)) if index not in last | in_vain]
        _close_up(schedule, members, _about_to_begin(before, kept, floor.minute(now + SOON)))
    _lie_again(schedule, new, planned, floor)
    schedule.need_not_last = {*schedule.need_not_last, *in_vain}
    place_all(schedule, sorted(in_vain), tries=1)


def _lie_again(schedule: Schedule, new: Sequence[int], planned: Sequence[Planned], floor: Floor) -> None:
    """What began sooner for the sake of one that lay there, and slipped since, begins where it lay."""
    for index in new:
        lies = schedule.booked[index]
        if lies is None or schedule.costs[index][0] or not _lay(planned[index], floor):
            continue
        lay = floor.minute(floor.state.placements[planned[index].name].steps[0].begins)
        if lies.begins[0] < lay:
            cost, before, schedule.begin_at = schedule.cost(), schedule.snapshot(), {index: lay}
            schedule.push_late(index)
            schedule.begin_at = {}
            if schedule.cost() >= cost:
                schedule.restore(before)


def _slip(
    schedule: Schedule, new: Sequence[int], slipped: Collection[int], planned: Sequence[Planned], floor: Floor
) -> set[int]:
    """Places what slipped, and what is new; answers what of it is left out, since nobody has any use for it any more
    and it would lose others."""
    before = schedule.snapshot()
    _place_the_rest(schedule, new, slipped, planned, floor)
    in_vain, others = useless(schedule, sorted(slipped)), set(range(len(planned))).difference(slipped)
    if not in_vain or not any(schedule.costs[index][0] > before.costs[index][0] for index in others.difference(new)):
        return set()
    pushed = schedule.snapshot()
    schedule.restore(before)
    _place_the_rest(
        schedule, [index for index in new if index not in in_vain], set(slipped).difference(in_vain), planned, floor
    )
    if schedule.late + sum(pushed.costs[index][0] for index in in_vain) < pushed.cost[0]:
        return set(in_vain)
    schedule.restore(pushed)
    return set()


def _among_themselves(schedule: Schedule, new: Sequence[int]) -> None:
    """What is new and late has others that are new make way for it, as it would at the next press."""
    rivals, until = Rivals(schedule, new), schedule.placements + MOST_PLACED
    for index in rivals.late():
        if schedule.placements >= until:
            break
        rivals.make_way(index)


def _is_gone(planned: Sequence[Planned], floor: Floor, now: datetime) -> bool:
    """Whether a line that nobody began is not asked for any more: what lay behind it need not wait for it."""
    names, known = {run.name for run in planned}, floor.state.placements
    gone = (old for line, old in known.items() if line not in names and not line.startswith("run."))
    return any(due_of(old, now) is not None for old in gone)


def _about_to_begin(before: Snapshot, kept: Collection[int], soon: int) -> dict[int, Booked]:
    """Those of the kept that lay, in order, where they begin within the hour."""
    return {index: was for index in sorted(kept) if (was := before.booked[index]) and was.begins[0] < soon}


def _close_up(schedule: Schedule, members: Sequence[int], soon: Mapping[int, Booked] | None = None) -> None:
    """What is late and lay behind what slipped, or moved, begins as soon as that lets it, and so does what it takes;
    what somebody is about to begin where it lay begins no later, without a press. Nothing waits for what nobody has
    any use for any more where it lies: that comes after it."""
    over, lay = useless(schedule, members), schedule.snapshot()
    if not any(schedule.costs[index][0] for index in members if index not in over):
        return
    for index in over:
        schedule.take_out(index)
    _move_up(schedule, [index for index in members if index not in over], soon or {})
    for index in reversed(over):
        was = lay.booked[index]
        if was is None or not schedule.keep(index, was.begins, was.lanes, was.wanted):
            schedule.place(index)
    if schedule.cost()[0] >= lay.cost[0] + HOMELESS * len(lay.homeless):
        schedule.restore(lay)


def _move_up(schedule: Schedule, members: Sequence[int], soon: Mapping[int, Booked]) -> None:
    """What is late begins as soon as it can, and so does what it takes."""
    stay = {index for index, was in soon.items() if schedule.booked[index] == was}
    rivals, until = Rivals(schedule, members), schedule.placements + MOST_CLOSED_UP
    late = schedule.late + 1
    # Whoever got sooner leaves room behind for others.
    while schedule.late < late:
        late = schedule.late
        for index in sorted(members, key=lambda index: -schedule.costs[index][0]):
            if not schedule.costs[index][0] or schedule.placements >= until:
                break
            schedule.sooner(index, 0)
            if schedule.costs[index][0] and schedule.jobs[index].feeds:
                rivals.sooner(index, stay)


def _place_one_by_one(schedule: Schedule, new: Sequence[int], stays: Collection[int]) -> None:
    """Places what is new, each only where none of those that stay is later for it."""
    for index in new:
        before = schedule.snapshot()
        place_all(schedule, [index], tries=1)
        if _later(schedule, before, stays):
            schedule.restore(before)
            schedule.homeless.add(index)


def _later(schedule: Schedule, before: Snapshot, members: Collection[int]) -> bool:
    """Whether one of these is later than it was."""
    return any(schedule.costs[index][0] > before.costs[index][0] for index in members)


def make_room(schedule: Schedule, kept: Collection[int], news: Collection[int], soon: int) -> list[int]:
    """What came late within the plan's span has others make way for it, as long as nothing is later for that, it
    itself neither, and what begins within the hour, up to `soon`, begins then: boards said already when each is ready.
    Those of the kept that did."""
    if not news:
        return []
    first = schedule.snapshot()
    everyone, stays = range(len(schedule.jobs)), _about_to_begin(first, kept, soon)
    rivals = Rivals(schedule, everyone)
    for index in rivals.late():
        if index in news:
            before = schedule.snapshot()
            rivals.make_way(index)
            if _later(schedule, before, everyone) or any(schedule.booked[one] != was for one, was in stays.items()):
                schedule.restore(before)
    return [index for index in sorted(kept) if schedule.booked[index] != first.booked[index]]


def with_users(schedule: Schedule, given: Collection[int]) -> set[int]:
    """Some jobs, and all that take what they give, through others or by themselves."""
    found, look = set(given), list(given)
    while look:
        users = {user for user, _ in schedule.users[look.pop()]} - found
        found |= users
        look += users
    return found


def _lay(run: Planned, floor: Floor) -> bool:
    """Whether a run of this size lay somewhere before."""
    old = floor.state.placements.get(run.name)
    return old is not None and bool(old.steps) and old.size == run.size


def place_anew(
    schedule: Schedule,
    kept: set[int],
    planned: Sequence[Planned],
    floor: Floor,
    last: Collection[int],
    now: datetime,
    effort: Effort,
) -> int:
    """Places what was not kept around what was; those in its way move no further than they must. Where that leaves
    more late than each run by itself would be, by more than a little, all is placed anew but what begins within the
    hour, and lies so from now on if that is better by more than a little. Of very many runs only where more is late
    than was, and than what is new must be."""
    for index in sorted(kept):
        if schedule.costs[index][0]:
            schedule.sooner(index, 0)
    members = [index for index in range(len(planned)) if index not in last]
    new = [index for index in members if index not in kept]
    let_be = schedule.cost()[0] + sum(unavoidable(schedule, new).values()) if len(planned) > SOME else 0
    _place_the_rest(schedule, new, members, planned, floor, let_be)
    least = schedule.cost()[0]
    if least > max(LITTLE, let_be):
        least = _all_anew(
            schedule, members, _about_to_begin(schedule.snapshot(), kept, floor.minute(now + SOON)), effort
        )
    _close_up(schedule, members)
    return max(0, schedule.cost()[0] - least)


def _all_anew(schedule: Schedule, members: Sequence[int], stays: Mapping[int, Booked], effort: Effort) -> int:
    """Places all anew if that is better by more than a little, and what stays begins when it would have; answers what
    lateness each by itself would cost."""
    so_far, cost, need_not_last = schedule.snapshot(), schedule.cost()[0], schedule.need_not_last
    for index in members:
        schedule.take_out(index)
    least = sum(unavoidable(schedule, members).values())
    if cost - least > LITTLE:
        schedule.begin_at = {index: was.begins[0] for index, was in stays.items()}
        place_all(schedule, members, tries=effort.tries, improving=effort.improving)
        schedule.begin_at = {}
        if cost - schedule.cost()[0] > LITTLE:
            return least
        schedule.need_not_last = need_not_last
    schedule.restore(so_far)
    return least


def _place_the_rest(
    schedule: Schedule,
    new: Sequence[int],
    may_push: Collection[int],
    planned: Sequence[Planned],
    floor: Floor,
    let_be: int = 0,
) -> None:
    """What was late before, or may be by `let_be`, is let be, and so is what fits nowhere: others shall not move for
    what nobody can help."""
    nowhere = sum(late for late in unavoidable(schedule, new).values() if late >= HOMELESS)
    allowed = max(let_be, _late_before(schedule, new, planned, floor) + nowhere)
    place_all(schedule, new, tries=1, allowed=allowed)
    if may_push and schedule.cost()[0] > allowed:
        rivals, until = Rivals(schedule, range(len(planned))), schedule.placements + MOST_PLACED
        for index in rivals.late():
            if schedule.placements >= until:
                break
            if index in may_push and schedule.cost()[0] > allowed and schedule.costs[index][0]:
                rivals.make_way(index)


def _late_before(schedule: Schedule, new: Sequence[int], planned: Sequence[Planned], floor: Floor) -> int:
    """What lateness the runs cost, all together, where they lay before."""
    olds = [(index, floor.state.placements.get(str(planned[index].line))) for index in new]
    jobs = [(schedule.jobs[index], floor.minute(old.steps[-1].ends)) for index, old in olds if old and old.steps]
    return schedule.late + sum(job.lateness(end) for job, end in jobs)
