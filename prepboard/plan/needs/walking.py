"""Walking: the needs of every group of preps in planning order, plates first.

Where a run would be made of older food, lives are shorter than they were reckoned, and where runs were placed they lie
elsewhere: what would come out otherwise with that is walked once more, and what follows from it; all else stays as it
is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime

from msgspec import Struct

from prepboard.plan.given.state import Placed
from prepboard.plan.needs.ledger import Ledger, NewRun
from prepboard.plan.needs.new_run import good_until
from prepboard.plan.needs.planning import note_over, plan_runs
from prepboard.plan.runs.runs import SOON, Planned
from prepboard.plan.runs.stock import Lot, Need, by_use_by, take


class Answer(Struct, frozen=True, gc=False):
    """What became of one need: what counted for it, and what is short."""

    need: Need
    on_hand: int
    under_way: int
    left_over: int
    """Of runs that are planned for earlier needs."""
    short: int
    thin: bool
    planned: tuple[Planned, ...]


class _Group(Struct, frozen=True, gc=False):
    """What was found for preps that come out of the same runs, and the runs that were tried for it."""

    preps: tuple[str, ...]
    answers: list[Answer]
    planned: list[Planned]
    tried: list[NewRun]
    notes: tuple[int, ...] = ()
    """So many notes each of the runs had when it was planned; those on the whole plan follow."""
    drawn: list[tuple[Lot, int]] = []
    """What all its needs drew."""


class Walk:
    """Goes through a ledger's needs, as often as it is asked to."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self._groups: list[_Group] = []

    @property
    def planned(self) -> list[Planned]:
        """In planning order, plates first."""
        return [run for group in self._groups for run in group.planned]

    @property
    def answers(self) -> list[Answer]:
        return [answer for group in self._groups for answer in group.answers]

    def go(self) -> None:
        """Walks all needs once."""
        self._groups = [self._through(preps) for preps in self.ledger.book.together]

    def go_again(self) -> None:
        """Walks again what comes out otherwise with what the bench now knows to be inherited."""
        changed: set[str] = set()
        for index, group in enumerate(self._groups):
            if changed.isdisjoint(group.preps) and not any(map(self._is_cut, group.tried)):
                continue
            _return_drawn(group)
            self._walk_anew(index, changed)

    def go_on(self) -> None:
        """Walks again what lies elsewhere by now than it was reckoned to lie, and what was made of older food, as if
        from the beginning: while a group is walked nobody has drawn of those below it. No life of what is planned may
        have been cut since it was walked."""
        for group in self._groups:
            _return_drawn(group)
        changed: set[str] = set()
        for index, group in enumerate(self._groups):
            if changed.isdisjoint(group.preps) and all(map(self._is_as_reckoned, group.tried)):
                if group.answers:
                    self._stay(group)
            else:
                self._walk_anew(index, changed)

    def _is_as_reckoned(self, new: NewRun) -> bool:
        """Whether a run that was tried lies where it was taken to lie, minute for minute, and inherited nothing; what
        is about to begin now and lay nowhere takes before others."""
        if new.carried is not None:
            return False
        lies = self.ledger.run_times.lying(new.name, new.recipe, new.size)
        if not lies or lies is new.steps:
            return new.steps is (lies or new.alone)
        if new.steps is new.alone and lies[0].begins < self.ledger.now + SOON:
            return False
        return new.made is new.steps and len(lies) == len(new.steps) and all(map(_same_moments, lies, new.steps))

    def _stay(self, group: _Group) -> None:
        """A group of which nothing has changed draws what it drew."""
        for lot, amount in group.drawn:
            lot.left -= amount
        if not group.tried:
            return
        known: list[NewRun | Planned] = [*group.tried, *group.planned]
        lying = self.ledger.run_times.lying
        for run in known:
            lies = lying(run.name, run.recipe, run.size)
            if lies:
                run.steps = run.made = lies
        for run, notes in zip(group.planned, group.notes, strict=True):
            run.draw = []
            del run.notes[notes:]

    def _walk_anew(self, index: int, changed: set[str]) -> None:
        """Walks a group again; the preps of which its runs take something else than before are `changed`."""
        group = self._groups[index]
        self._take_out(group)
        again = self._groups[index] = self._through(group.preps)
        before, after = _taken(group), _taken(again)
        for prep in before.keys() | after.keys():
            if list(map(_asked, before[prep])) == list(map(_asked, after[prep])):
                self._ask_as_before(again, dict(zip(map(id, after[prep]), before[prep], strict=True)))
            else:
                changed.add(prep)

    def _ask_as_before(self, group: _Group, before: Mapping[int, Need]) -> None:
        """What is taken as before is the very same need: those who give it have answered it."""
        asked = self.ledger.needs
        for prep in {need.prep for need in before.values()}:
            asked[prep] = [before.get(id(need), need) for need in asked[prep]]
        for run in group.planned:
            run.takes = [before.get(id(need), need) for need in run.takes]

    def _is_cut(self, new: NewRun) -> bool:
        """Whether what a run inherits makes another life of it than it had when it was tried."""
        carried = self.ledger.run_times.carried.get(new.name)
        return carried != new.carried and any(
            good_until(new, self.ledger, prep, ready, carried) != good for prep, ready, good in new.lives
        )

    def _take_out(self, group: _Group) -> None:
        """Takes a group's runs out of the plan with all that they need."""
        ledger = self.ledger
        for answer in group.answers:
            answer.need.drawn, answer.need.to_thaw = [], []
        for prep in group.preps:
            ledger.lots[prep] = [lot for lot in ledger.lots[prep] if lot.source != "planned"]
        if group.planned:
            ledger.drop([need for run in group.planned for need in run.takes])
            for run in group.planned:
                ledger.take_out(run)

    def _through(self, preps: tuple[str, ...]) -> _Group:
        """Walks the needs of preps that come out of the same runs, by time; services before runs."""
        ledger = self.ledger
        needs = [need for prep in preps if prep in ledger.needs for need in ledger.needs[prep]]
        if not needs:
            return _Group(preps, [], [], [])
        ledger.planned, ledger.tried = [], []
        soon = ledger.now + SOON
        needs.sort(key=lambda need: _by_time(need, soon))
        for prep in preps:
            by_use_by(ledger.lots[prep])
        answers = [_answer(ledger, needs, index) for index in range(len(needs))]
        note_over(ledger, ledger.planned)
        notes = tuple([len(run.notes) for run in ledger.planned])
        drawn = [part for need in needs for part in need.drawn] if len(needs) > 1 else needs[0].drawn
        return _Group(preps, answers, ledger.planned, ledger.tried, notes, drawn)


def _return_drawn(group: _Group) -> None:
    """Gives the lots what a group's needs drew; what that was stays known."""
    for lot, amount in group.drawn:
        lot.left += amount


def _taken(group: _Group) -> dict[str, list[Need]]:
    """What a group's runs take, by prep."""
    found: dict[str, list[Need]] = defaultdict(list)
    for run in group.planned:
        for need in run.takes:
            found[need.prep].append(need)
    return found


def _asked(need: Need) -> tuple[object, ...]:
    """All that a run asks for."""
    when = need.at, need.ready_by, need.until, need.day
    whose = need.key, need.order, need.run_of, need.service, need.service_day
    return need.amount, need.expected, need.in_vain, need.nowhere, *when, *whose


def _same_moments(one: Placed, other: Placed) -> bool:
    return (
        one.step == other.step
        and one.begins == other.begins
        and one.hands_until == other.hands_until
        and one.ends == other.ends
    )


def _by_time(need: Need, soon: datetime) -> tuple[bool, datetime, bool, bool, datetime, int, str]:
    """What is taken in vain gets what nobody else takes; what lies nowhere yet takes after what is about to begin."""
    at = soon if need.nowhere else need.at
    return need.in_vain, at, need.order >= 0, need.run_of is not None, need.at, need.order, need.key


def _answer(ledger: Ledger, needs: list[Need], index: int) -> Answer:
    need = needs[index]
    counted = ledger.count(need)
    short = need.short(counted.total)
    thin = short > 0 and ledger.is_thin(need, counted.total)
    planned, with_them = plan_runs(ledger, need, counted, needs[index + 1 :]) if short and not thin else ([], counted)
    take(need, with_them, _for_others(need, planned) if need.expected > need.amount else None)
    return Answer(need, *counted.by_source, short, thin, tuple(planned))


def _for_others(need: Need, planned: list[Planned]) -> dict[str, int]:
    """By run, what it makes for later needs that it joins: a sitting that expects more than its par leaves it."""
    kept = {run.name: sum(amount for other, amount in run.serves if other is not need) for run in planned}
    return {name: amount for name, amount in kept.items() if amount}
