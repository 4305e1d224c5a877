"""Cooling, as the sentences have it: FDA Food Code 2022 3-501.14, FSANZ 3.2.2 clause 7(3), FSAI Guidance Note 15."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from tests.food.reckoned_facts import (
    HOUR,
    STORES,
    Batch,
    Code,
    Fact,
    Kitchen,
    Read,
    Run,
    cold,
    made,
    readings,
    shown,
    stood,
)


@dataclass
class Way:
    begins: int
    limits: list[tuple[int, str]]
    """(its moment, "open" | "met" | "missed" | "unknown" | "reheated")."""
    down: int | None
    last: int
    read: list[int]
    ends: int | None = None
    """Guidance names no end: 6 h from its begin, the longest that any code gives, and then the law's cold limit."""

    def over(self, at: int) -> bool:
        """It was read cold, or nobody read it at all and the last limit's moment is past, or guidance ends."""
        if self.ends is not None and self.ends <= at:
            return True
        if self.down is not None and self.down <= at:
            return True
        return self.last <= at and not any(one <= at for one in self.read)


def hot_end(kitchen: Kitchen, run: Run) -> tuple[int, bool] | None:
    """When it came off the heat, and whether anybody knows: by its press, or by its begin and its minutes."""
    dish = kitchen.dishes[run.dish]
    if not dish.hot:
        return None
    ends = [run.started + dish.hot] if run.seen else []
    if run.pressed is not None:
        ends.append(run.pressed)
    if ends:
        return min(ends), True
    return (run.ended, False) if run.ended is not None else None


def ways_of(kitchen: Kitchen, batch: Batch, now: int) -> list[Way]:
    """One way down for each run that went in, and one whenever it was brought out of the hot."""
    stays, own = stood(kitchen, batch), readings(kitchen, batch)
    hot = [since for since, place in stays if STORES[place] == "hot"]
    found: list[Way] = []
    for run, at in made(kitchen, batch):
        of_run = shown(kitchen, [one for one in kitchen.runs[run].readings if one.at <= at])
        read = sorted([*of_run, *(one for one in own if one.at >= at)], key=lambda one: one.at)
        begin, both = hot_end(kitchen, kitchen.runs[run]), False
        if begin is None and STORES[stays[0][1]] not in ("ambient", "time", "hot"):
            begin, both = warm_at_first(kitchen, batch, read, at), True
        if begin is not None:
            begins = min(begin[0], at)
            ends = next((since for since in hot if since >= begins), None)
            found += ways_down(kitchen.code, (begins, begin[1]), read, now, ends, both=both)
    if not made(kitchen, batch) and not batch.pack and STORES[stays[0][1]] not in ("ambient", "time", "hot"):
        begin = warm_at_first(kitchen, batch, own, batch.ready)
        if begin is not None:
            found += ways_down(kitchen.code, begin, own, now, None, both=True)
    for (_since, place), (left, to) in pairwise(stays):
        if STORES[place] == "hot" and STORES[to] != "hot":
            ends = next((since for since in hot if since > left), None)
            read = [one for one in own if one.at >= left]
            found += ways_down(kitchen.code, (left, True), read, now, ends)
    return found


def warm_at_first(kitchen: Kitchen, batch: Batch, read: list[Read], ready: int) -> tuple[int, bool] | None:
    """A recipe that says nothing of heat, first read warm within 4 h: both ways' limits (common practice)."""
    first = next((one for one in read if one.at >= ready), None)
    if first is None or first.degrees <= cold(kitchen, batch) or first.at - ready > 4 * HOUR:
        return None
    return ready, True


def ways_down(
    code: Code, begin: tuple[int, bool], read: list[Read], now: int, ends: int | None, *, both: bool = False
) -> list[Way]:
    begins, known = begin
    found: list[Way] = []
    below: list[Read] = []
    for one in read:
        if one.at < begin[0] or (ends is not None and one.at >= ends):
            continue
        if one.degrees < code.hot:
            below.append(one)
        elif not one.late and not below:
            begins, known = one.at, True  # Still hot: the limits run from the last of the unbroken hot readings.
        elif not one.late and _is_reheated(code, below, one):
            found.append(_judge(code, begins, known, below, now, one.at, both))
            begins, known, below = one.at, True, []
        elif not one.late:
            below.append(one)
    return [*found, _judge(code, begins, known, below, now, ends, both)]


def _is_reheated(code: Code, below: list[Read], hot: Read) -> bool:
    """3-403.11(A) and (D): to the figure, within the time from when it began to rise."""
    if code.reheat is not None and hot.degrees < code.reheat:
        return False
    if code.reheat_in is None:
        return True
    rising = list(below)
    while len(rising) > 1 and rising[-2].degrees < rising[-1].degrees:
        rising.pop()
    return hot.at <= (rising[-1].at if rising else hot.at) + code.reheat_in


def _judge(code: Code, begins: int, known: bool, below: list[Read], now: int, reheated: int | None, both: bool) -> Way:
    stages = list(code.stages)
    if both and code.ambient is not None:
        stages[-1] = (min(code.ambient, stages[-1][0]), stages[-1][1])
    limits: list[tuple[int, str]] = []
    met: int | None = None
    for minutes, to in stages:
        due = begins + minutes
        if limits and code.further is not None:
            due = min(due, (met if met is not None else limits[-1][0]) + code.further)
        first = next((one.at for one in below if one.degrees <= to and not one.late), None)
        above = [one.at for one in below if one.degrees > to and (first is None or one.at < first)]
        met = first if first is not None and first <= due else None
        if any(at >= due for at in above):
            limits.append((due, "missed"))
        elif met is not None and known:
            limits.append((due, "met"))
        elif reheated is not None and reheated <= due:
            limits.append((due, "reheated"))
        else:
            limits.append((due, "unknown" if now > due or first is not None else "open"))
    down = next((one.at for one in below if one.degrees <= stages[-1][1] and not one.late), None)
    ends = begins + 6 * HOUR if code.guidance else None
    return Way(begins, limits, down, limits[-1][0], [one.at for one in below], ends)


def cooling_facts(kitchen: Kitchen, name: str, ways: list[Way], read: list[Read], put_right: list[int]) -> list[Fact]:
    code, found, again = kitchen.code, list[Fact](), False
    if code.guidance:
        return []
    for way in ways:
        missed = [number for number, (_due, state) in enumerate(way.limits) if state == "missed"]
        first_only = bool(missed) and len(way.limits) > 1 and missed == [0]
        settled = bool(put_right) and code.again and first_only and not again and any(
            way.limits[0][0] <= one.at <= way.begins + code.stages[-1][0]
            and not one.late and code.reheat is not None and one.degrees >= code.reheat
            for one in read
        )  # fmt: skip
        for due, state in way.limits:
            if state == "missed" and not settled:
                found.append(Fact(3, due, what=f"cooling {due}", of=name))
            elif state in ("unknown", "open") and (again or kitchen.hold):
                found.append(Fact(4, due, what="cooling not shown", of=name))
        again = again or settled
    return found
