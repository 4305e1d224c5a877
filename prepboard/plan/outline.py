"""What a plan comes to before its lines are written: what is needed, which runs give it, and where they lie."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from prepboard.plan.demand.occasions import Occasion, ahead
from prepboard.plan.demand.pars import Par, pars
from prepboard.plan.floor.floor import MINUTE, Floor, there_was
from prepboard.plan.floor.foreseen import new_and_late
from prepboard.plan.floor.lost_runs import lasted
from prepboard.plan.floor.pinned import LITTLE, SOME
from prepboard.plan.floor.placing import Placing, place_runs, place_under_way
from prepboard.plan.floor.plates import WEIGHT, Plates
from prepboard.plan.floor.too_late import for_nobody, hopeless, only_for
from prepboard.plan.given.state import Lies, Placement, Run, State
from prepboard.plan.memory import Pages, memory_of, turn_page
from prepboard.plan.needs.needs import Needs, work_out, work_out_again
from prepboard.plan.needs.new_run import soonest
from prepboard.plan.probes.watching import Watch, held_back, watch
from prepboard.plan.runs.heirs import heirs
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import SOON, RunTimes, goes_into_others, thaw
from prepboard.plan.runs.torn import bind, on_anothers_day


class Outline(Struct, frozen=True):
    """All that actions keep of a plan, and that its lines are written of, once."""

    given: State
    """As it was read."""
    state: State
    """The same with what readings hold back."""
    now: datetime
    watch: Watch
    runs: Sequence[Run]
    """Those under way, held back or not."""
    run_times: RunTimes
    held: tuple[Occasion, ...]
    """The sittings ahead."""
    pars: list[Par]
    needs: Needs
    placing: Placing
    floor: Floor
    moving: bool
    news: bool
    """Whether something happened that was not foreseen: a press may then move all for the sake of others."""


LaidOut = tuple[Needs, Placing, Floor]
Said = tuple[Mapping[str, Placement], frozenset[str]]
"""Where lines lay that nobody kept, and those of them that nobody was to begin."""
NOTHING_SAID: Said = {}, frozenset()
NOBODY: Collection[str] = frozenset()
"""No lines, by name."""

MOST_ROUNDS = 4
"""So often needs and places are worked out from each other."""
MORE_ROUNDS = 6
"""So often more for what a press keeps, in which only what is new finds a place: it is to come out as itself."""
MANY, ROUNDS_OF_MANY = 500, 2
"""With more runs than that only so often."""
FEW = 16
"""Moments of one minute of which it is remembered what was said then."""
FORGOTTEN = timedelta(days=4)
"""So long after the last press nobody has read where lines lay since: each moment at which some came costs a plan, and
after a closed season there would be hundreds, each of them made of the one before."""
FREE_ROUNDS = 2
"""So often everything is placed from where it lay when somebody last saw it; then only what is new finds a place."""


def outline(given: State, now: datetime, moving: bool = False) -> Outline:
    """Plans as far as to where everything lies; `moving` as in `plan`."""
    turn_page(now)
    return _outline(given, now, moving)


def _outline(given: State, now: datetime, moving: bool) -> Outline:
    found = _planned(given, now, moving, NOTHING_SAID)
    said = _as_first_said(found)
    return _planned(given, now, moving, said) if said[0] else found


def _as_first_said(found: Outline) -> Said:
    """Where those lines lie of which somebody could read since their sitting came within the plan's span, and that
    nobody kept: where they lay then; and what that saved of what was lost. So they stay there, whoever looks when."""
    given = found.given
    new = {run.name for run in found.needs.planned if run.recipe.steps and run.name not in given.placements}
    if not new or given.placed_at is None or found.now - given.placed_at > FORGOTTEN:
        return NOTHING_SAID
    at = _came_within(found, new)
    if at is None:
        return NOTHING_SAID
    pages: Pages[datetime, tuple[State, Said]] = memory_of(given.book).pages("as first said", FEW)
    state, said = pages[at] or (None, NOTHING_SAID)
    if state is not given and state != given:
        then = _outline(given, at, False)
        lies, over = then.placing.placements, lost(then.needs, then.placing, then.run_times)
        moved = then.placing.made_way | given.lost.difference(over)
        told = (line for line in lies if line not in given.placements or line in moved)
        lay = {line: lies[line] for line in told if not line.startswith("run.")}
        _, said = pages.keep(at, (given, (lay, frozenset(over.intersection(lay)))))
    return said


def _came_within(found: Outline, new: Collection[str]) -> datetime | None:
    """The last moment before this minute at which a sitting came within the plan's span that some `new` lines are for;
    None where placements have been kept since."""
    kept_at, span = found.given.placed_at, horizon(found.state, found.now) - found.now
    known = {line.rpartition("@")[2] for line in found.given.placements}
    asked = {line.rpartition("@")[2] for line in new} - known
    came = [one.starts - span for one in found.held if one.need in asked]
    at = max((one for one in came if one + MINUTE <= found.now), default=None)
    return at if at is not None and kept_at is not None and kept_at < at else None


def _planned(given: State, now: datetime, moving: bool, said: Said) -> Outline:
    """The same where lines that nobody kept lie as was `said`."""
    seen = watch(given, now)
    state = held_back(given, seen)
    if said[0]:
        still_lost = state.lost.difference(said[0]) | said[1]
        state = replace(state, placements={**state.placements, **said[0]}, lost=still_lost)
    run_times = RunTimes(state, now)
    run_times.under_way = place_under_way(state, given.runs, run_times)
    until = horizon(state, now)
    held = ahead(state, now, until)
    known = pars(state, now, until, held)
    needs, placing, floor = _laid_out(state, given.runs, known, until, run_times, moving)
    news = placing.anew
    if moving and len(needs.planned) <= SOME:
        found = needs, placing, floor
        needs, placing, floor = _bettered(found, state, given.runs, known, until, run_times)
    # Costs decided this: the same plan is the same, however it was found.
    placing = replace(placing, cost=0, avoidable=0, anew=False, settled=True)
    return Outline(given, state, now, seen, given.runs, run_times, held, known, needs, placing, floor, moving, news)


def _bettered(
    found: LaidOut, state: State, runs: Sequence[Run], known: list[Par], until: datetime, run_times: RunTimes
) -> LaidOut:
    """The same, or what a plan from nothing is better by, around what begins within the hour where that lay; where more
    is late than must be, around what does where it lies now, too; where something that is lost could be saved, with
    all the rest where it lies until what is needed and where it lies agree."""
    needs, placing, _ = found
    freely, names = placing.avoidable > LITTLE, lost(needs, placing, run_times)
    sooner = NOBODY if freely else _could_be_sooner(state, needs, placing, names)
    saved = _could_be_saved(needs, names)
    if not freely and not sooner and not saved:
        return found
    lies = replace(state, placements=placing.placements, placed_for=placing.digest)
    ways = [(state, sooner, True)]
    ways += [(lies, sooner, True)] if freely else []
    ways += [(state, NOBODY, False)] if saved else []
    for around, these, once in ways:
        better = _or_from_nothing(found, around, runs, known, until, run_times, freely, these, once)
        if better is not found:
            return better
    return found


def _or_from_nothing(
    found: LaidOut,
    state: State,
    runs: Sequence[Run],
    known: list[Par],
    until: datetime,
    run_times: RunTimes,
    freely: bool,
    sooner: Collection[str],
    once: bool = True,
) -> LaidOut:
    """The same as if nothing lay anywhere yet but what begins within the hour, where that loses fewer plates, or is
    better by more than a little: what is asked for follows from where things lie, so that a plan gets stuck in
    itself. Unless `freely` what is not lost, and goes into nothing that could be `sooner`, lies where it does as far as
    may be, and nothing may be later for it: in a kitchen that does as its board says all is ready when that said so.
    For what came late within the plan's span since somebody last pressed a key, and where something happened that was
    not foreseen, others move, too, as long as they are in time; in that, late, too, where fewer plates are lost."""
    before, lost_now = (run_times.lies, run_times.carried, run_times.laid), lost(*found[:2], run_times)
    soon, stays = run_times.now + SOON, set() if freely else {run.name for run in found[0].planned}.difference(lost_now)
    stays = {line for line in stays if not any(f"@{line}".endswith(f"@{name}") for name in sooner)}
    stay = {
        line: one
        for line, one in state.placements.items()
        if one.steps and (line in stays or one.steps[0].begins < soon)
    }
    run_times.lies, run_times.carried, run_times.laid = stay, {}, False
    begun_anew = replace(state, placements=stay, placed_for=there_was(state.placed_for), nowhere=frozenset())
    other = _laid_out(begun_anew, runs, known, until, run_times, True, once=once)
    plates = Plates(state, run_times.now)
    plates_lost, late = _worth(plates, *found[:2], lost_now)
    lost_then, late_then = _worth(plates, *other[:2], lost(*other[:2], run_times))
    better = lost_then < plates_lost or (lost_then == plates_lost and late - late_then > LITTLE)
    news = found[1].anew or bool(new_and_late(found[0].planned, state))
    saves = found[1].anew and lost_then < plates_lost
    if better and other[1].settled and (freely or saves or not _is_later(found, other, lost_now, news)):
        return other
    run_times.lies, run_times.carried, run_times.laid = before
    return found


def lies_in(found: Outline) -> Lies:
    """Where everything lies, and what that loses."""
    needs, placing = found.needs, found.placing
    names = lost(needs, placing, found.run_times)
    plates, late = _worth(Plates(found.state, found.now), needs, placing, names)
    nobody = nowhere(needs, placing), frozenset(names)
    return Lies(placing.digest, placing.placements, *nobody, plates, Fraction(late, WEIGHT), found.news)


def lost(needs: Needs, placing: Placing, run_times: RunTimes) -> set[str]:
    """Runs that lie where all the guests that they are for have gone, or where their batch ends before anybody takes of
    it, or nowhere; those that take of what cannot be made, and what only such take. By name."""
    planned, lies = needs.planned, placing.placements
    there = ((run, lies.get(run.name)) for run in planned if run.recipe.steps)
    names = for_nobody(planned, {run.name: one.steps[-1].ends + thaw(run.recipe) for run, one in there if one})
    homeless = nowhere(needs, placing).keys()
    in_vain = hopeless(planned, lambda run, need: run.name not in homeless and lasted(run, need, lies, run_times))
    names |= homeless | {run.name for run, _ in in_vain}
    return names | only_for(planned, names)


def nowhere(needs: Needs, placing: Placing) -> dict[str, Placement]:
    """Lines that fit nowhere, as placements without steps."""
    lies = placing.placements
    runs = (run for run in needs.planned if run.recipe.steps and run.name not in lies)
    return {run.name: Placement(run.size, run.ready_by, None, ()) for run in runs}


def _could_be_saved(needs: Needs, lost_now: Collection[str]) -> bool:
    """Whether one of those that are lost as they lie could be there for guests, begun now with what is there, also of
    what others take that are not begun yet."""
    ledger = needs.walk.ledger
    takes = [need for run in needs.planned for need in run.takes]
    return any(
        need.occasion is not None and soonest(ledger, run.recipe, run.size, takes) < need.occasion.ends
        for run in needs.planned
        if run.name in lost_now
        for need, _ in run.serves
    )


def _could_be_sooner(state: State, needs: Needs, placing: Placing, lost_now: Collection[str]) -> Collection[str]:
    """Those that are late, behind what is to be made for them or for others, and could be sooner by more than a little,
    hands and places apart, with what is there now or is begun now: where they lie that is over, or others had it made
    when they want it. By name."""
    ledger, plates = needs.walk.ledger, Plates(state, needs.walk.ledger.now)
    found = set()
    for run in needs.planned:
        lies = placing.placements.get(run.name)
        if run.name in lost_now or lies is None or not lies.steps:
            continue
        ready = lies.steps[-1].ends + thaw(run.recipe)
        if ready <= run.ready_by or not run.takes:
            continue
        sooner = ready - max(run.ready_by, soonest(ledger, run.recipe, run.size, run.takes))
        if plates.weight(run) * (sooner // MINUTE) > LITTLE:
            found.add(run.name)
    return found


def _worth(plates: Plates, needs: Needs, placing: Placing, names: Collection[str]) -> tuple[int, int]:
    """Plates that go out no more, dish by dish, since what they need is lost, as `names` say; and what the lateness of
    the rest costs."""
    late = 0
    for run in needs.planned:
        lies = placing.placements.get(run.name)
        if run.name not in names and lies is not None and lies.steps:
            late += plates.weight(run) * max(0, (lies.steps[-1].ends + thaw(run.recipe) - run.ready_by) // MINUTE)
    return sum(plates.of(run) for run in needs.planned if run.name in names), late


def _is_later(found: LaidOut, other: LaidOut, lost_now: Collection[str], news: bool) -> bool:
    """Whether something that is not lost already is later in another plan; where there is `news`, so late that guests
    wait for it."""
    (needs, placing, _), (_, there, _) = found, other
    for run in needs.planned:
        lies, then = placing.placements.get(run.name), there.placements.get(run.name)
        for_guests = any(need.run_of is None for need, _ in run.serves)
        if run.name in lost_now or lies is None or not lies.steps or (news and not for_guests):
            continue
        if then is None or not then.steps:
            if for_guests:
                return True
            continue
        said, wanted = lies.steps[-1].ends, run.ready_by - thaw(run.recipe)
        if then.steps[-1].ends > (max(said, wanted) if news else said):
            return True
    return False


def _laid_out(
    state: State,
    runs: Sequence[Run],
    known: list[Par],
    until: datetime,
    run_times: RunTimes,
    moving: bool,
    once: bool = False,
) -> LaidOut:
    """What is needed, and where it lies. What a run gives counts for whom it is there for, and good, where it lies: so
    both are worked out again until the one follows from the other; what lies somewhere moves for others `once`, or each
    time."""
    before, cost, avoidable, free = state.placed_for, 0, 0, 1 if once else FREE_ROUNDS
    anew, made_way, last_floor, elsewhere = False, frozenset[str](), None, set[str]()
    needs = work_out(state, run_times.now, until, known, run_times)
    taken_over = heirs(needs.planned, state) if not once else {}
    if taken_over:
        run_times.lies = {**run_times.lies, **taken_over}
        state = replace(state, placements={**state.placements, **taken_over})
        needs = work_out_again(needs, state, until, known, run_times)
    for number in range(1, MOST_ROUNDS + (MORE_ROUNDS if moving else 0) + 1):
        if number > 1:
            needs = work_out_again(needs, state, until, known, run_times)
        moves = moving and number <= (1 if once else MOST_ROUNDS)
        placing, floor = place_runs(state, needs.planned, runs, run_times, moves, last_floor)
        anew, made_way = anew | placing.anew, made_way | placing.made_way
        torn = set[str]()
        if state.given:
            astray = on_anothers_day(needs.planned, placing.stations, placing.placements, run_times)
            torn = (astray & elsewhere).difference(run_times.bound)
            bind(needs.planned, torn, run_times)
            elsewhere |= astray
        if number > free:
            if placing.digest == before:
                # It lies as the round before had it.
                placing = replace(placing, cost=cost, avoidable=avoidable)
            else:
                # What was avoidable is so still where it is kept as it lay then.
                placing = replace(placing, avoidable=max(placing.avoidable, min(avoidable, placing.cost)))
        if len(needs.planned) > MANY and number >= ROUNDS_OF_MANY:
            break
        # Placed anew for the same needs it may lie elsewhere than they were reckoned from: a press keeps it there.
        there = number > free or not (moving or number > 1) or _lie_there(placing.placements, run_times.lies)
        if placing.digest == before and there and (run_times.laid or not _left_behind(placing, run_times.now)):
            break
        if placing.digest == before and number == 1 and not there:
            free = 1
        # What is bound to a bench from now on does not lie as it is to.
        before = "" if torn else placing.digest
        cost, avoidable, last_floor = placing.cost, placing.avoidable, floor
        if number >= free:
            state = replace(state, placements=placing.placements, placed_for=placing.digest)
        run_times.lies, run_times.carried, run_times.laid = placing.placements, {}, True
    else:
        return needs, replace(placing, anew=anew, made_way=made_way, settled=False), floor
    return needs, replace(placing, anew=anew, made_way=made_way), floor


def _left_behind(placing: Placing, now: datetime) -> bool:
    """Whether something that goes into others lies where its time is over. Nobody will begin it: how long it lasts is
    reckoned from there, and before this plan laid it was from now on."""
    given = (one.steps for name, one in placing.placements.items() if goes_into_others(name))
    return any(steps and steps[0].begins + MINUTE <= now for steps in given)


def _lie_there(placements: Mapping[str, Placement], known: Mapping[str, Placement]) -> bool:
    """Whether all lies where it is known to lie, minute for minute."""
    return placements.keys() == known.keys() and all(
        [step.begins for step in one.steps] == [step.begins for step in known[line].steps]
        for line, one in placements.items()
    )
