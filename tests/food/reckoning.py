"""A small reckoning of food, written from the sentences of the codes and sharing nothing with what it checks.

Moments are whole minutes from a Monday's midnight in a zone without clock changes; temperatures are degrees C. What is
known of one food is a few facts, each from a moment on; what is made of it has what was so when it went in.

FDA Food Code 2022 by its sections. UK: Food Safety (Temperature Control) Regulations 1995 and SI 2013/2996 Schedule 4;
its cooling times are guidance and block nothing. Ireland: FSAI Guidance Note 15. FSANZ Standard 3.2.2 clause 7(3) and
the 2 hour / 4 hour guidance. Where a sentence leaves a choice the shorter life is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, field

HOUR, DAY = 60, 1440
DAY_STARTS = 4 * HOUR
"""A business day begins at 04:00."""


@dataclass(frozen=True)
class Code:
    hot: float
    """FDA 3-501.16(A)(1) 57; UK Schedule 4 para 6: 63; FSANZ 3.2.2: 60."""
    cold: float
    """FDA 3-501.16(A)(2) 5; UK Schedule 4 para 2: 8; Ireland 5 (from memory); FSANZ 5."""
    stages: tuple[tuple[int, float], ...]
    """FDA 3-501.14(A): 21 within 2 h, 5 within 6 h in all. FSANZ 7(3): 21 in 2 h. Guidance Note 15: 3 in 150 min."""
    hot_out: int
    cold_out: int
    """FDA 3-501.19(B) 4 h; UK para 7(2) under 2 h hot, para 5 under 4 h cold."""
    further: int | None = None
    """FSANZ 7(3): a further 4 h."""
    ambient: int | None = None
    """FDA 3-501.14(B): from ingredients at room temperature, 4 h."""
    days: int | None = None
    """FDA 3-501.17(A): 7, day 1 counted. Guidance: 5."""
    guidance: bool = False
    six: tuple[int, float] | None = None
    """FDA 3-501.19(C): 6 h, never above 21."""
    back: str = ""
    """UK para 5 and 7: once. FSANZ guidance: adds up, under 2 h."""
    back_in: int = 0
    reheat: float | None = None
    """FDA 3-403.11(A) 74; Guidance Note 15: 70; FSANZ 7(4): 60."""
    reheat_in: int | None = None
    """FDA 3-403.11(D): 2 h."""
    cooked: float | None = None
    """What was cooked is held colder. Guidance Note 15 (cook-chill): 3."""
    again: bool = False
    """Whether a missed first stage may be reheated and cooled again. FDA 3-501.14 with 3-403.11."""


CODES = {
    "food-code-2022": Code(
        57, 5, ((120, 21), (360, 5)), 240, 240, ambient=240, days=7, six=(360, 21), reheat=74, reheat_in=120, again=True
    ),
    "uk": Code(63, 8, ((90, 8),), 120, 240, days=5, guidance=True, back="once"),
    "ireland": Code(63, 5, ((150, 3),), 120, 120, days=5, reheat=70, cooked=3),
    "fsanz": Code(60, 5, ((120, 21), (360, 5)), 240, 240, further=240, back="adds up", back_in=120, reheat=60),
}

STORES = {
    "walk-in": "chilled", "blast-chiller": "chilled", "freezer": "frozen", "bench": "ambient", "clock": "time",
    "cold-table": "time", "hot-cupboard": "hot",
}  # fmt: skip
COOL_TABLE = ("cold-table",)
"""Places of 21 °C or less by the book."""


@dataclass(frozen=True)
class Dish:
    """A recipe: its hot step's minutes, whether it is eaten as it is, its days, where it stands."""

    hot: int = 0
    ready_to_eat: bool = True
    days: int = 7
    place: str = "walk-in"
    goods: tuple[str, ...] = ()
    cooled: bool = False
    """It has a cooling step and no hot one."""


@dataclass
class Read:
    at: int
    degrees: float
    late: bool = False
    reheat: bool = False
    exposed: bool = False


@dataclass
class Run:
    dish: str
    started: int
    seen: bool = True
    """Whether its start was recorded."""
    pressed: int | None = None
    """When its hot step was pressed as over."""
    took: list[tuple[str, int]] = field(default_factory=list)
    unopened: list[tuple[str, int]] = field(default_factory=list)
    """Goods taken of which no pack was open."""
    ended: int | None = None
    readings: list[Read] = field(default_factory=list)


@dataclass
class Batch:
    dish: str
    ready: int
    made: list[tuple[str, int]] = field(default_factory=list)
    whole: tuple[str, int] | None = None
    stood: list[tuple[int, str]] = field(default_factory=list)
    readings: list[Read] = field(default_factory=list)
    blocked: str = ""
    """ "" | "unsafe" | "taste"."""
    corrected: list[int] = field(default_factory=list)
    pack: str = ""
    lot: str = ""
    safety: int | None = None
    """The last day on which a maker says it is safe."""
    first_day: int | None = None
    """As a sous chef put the label right."""


@dataclass(frozen=True)
class Fact:
    """`row` 2 withheld, 3 missed, 4 held, 6 out of control, 7 maker's date, 8 date mark, 9 the recipe's days."""

    row: int
    since: int
    until: int | None = None
    what: str = ""
    of: str = ""
    over: int | None = None
    """From here on it is so no more, for what is taken then."""


@dataclass
class Kitchen:
    code: Code
    dishes: dict[str, Dish]
    hold: bool = False
    """What nobody read cooling is held until it is read."""
    runs: dict[str, Run] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    places: dict[str, list[Read]] = field(default_factory=dict)
    blocked: dict[str, int] = field(default_factory=dict)
    withdrawn: list[tuple[str, str, str]] = field(default_factory=list)
    """(batch, goods, lot) in force."""


def cold(kitchen: Kitchen, batch: Batch) -> float:
    """At what it is cold enough."""
    dish = kitchen.dishes.get(batch.dish)
    cooked = kitchen.code.cooked is not None and dish is not None and bool(dish.hot)
    return kitchen.code.cooked if cooked and kitchen.code.cooked is not None else kitchen.code.cold


def business_day(at: int) -> int:
    return (at - DAY_STARTS) // DAY


# What is known of one batch, that of the whole before it was divided off first.


def stood(kitchen: Kitchen, batch: Batch) -> list[tuple[int, str]]:
    if batch.whole is None:
        return sorted(batch.stood)
    whole, at = batch.whole
    return [one for one in stood(kitchen, kitchen.batches[whole]) if one[0] <= at] + sorted(batch.stood)


def readings(kitchen: Kitchen, batch: Batch) -> list[Read]:
    before = []
    if batch.whole is not None:
        whole, at = batch.whole
        before = [one for one in readings(kitchen, kitchen.batches[whole]) if one.at <= at]
    elif batch.made:
        run, at = batch.made[0]
        before = [one for one in kitchen.runs[run].readings if one.at <= at]
    return sorted([*before, *batch.readings], key=lambda one: one.at)


def made(kitchen: Kitchen, batch: Batch) -> list[tuple[str, int]]:
    if batch.whole is None:
        return batch.made
    whole, at = batch.whole
    return [one for one in made(kitchen, kitchen.batches[whole]) if one[1] <= at] + batch.made


def corrected(kitchen: Kitchen, batch: Batch) -> list[int]:
    above = corrected(kitchen, kitchen.batches[batch.whole[0]]) if batch.whole else []
    return batch.corrected + above


def where(stays: list[tuple[int, str]], at: int) -> str:
    """In the minute in which it is brought elsewhere it still stands where it was."""
    return next((place for since, place in reversed(stays) if since < at), stays[0][1])


# Cooling


@dataclass
class Way:
    begins: int
    limits: list[tuple[int, str]]
    """(its moment, "open" | "met" | "missed" | "unknown" | "reheated")."""
    down: int | None
    last: int
    read: list[int]

    def over(self, at: int) -> bool:
        """It was read cold, or nobody read it at all and the last limit's moment is past."""
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
        of_run = [one for one in kitchen.runs[run].readings if one.at <= at]
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
    for (_since, place), (left, to) in zip(stays, stays[1:], strict=False):
        if STORES[place] == "hot" and STORES[to] != "hot":
            ends = next((since for since in hot if since > left), None)
            read = [one for one in own if one.at >= left]
            found += ways_down(kitchen.code, (left, True), read, now, ends)
    return found


def warm_at_first(kitchen: Kitchen, batch: Batch, read: list[Read], ready: int) -> tuple[int, bool] | None:
    """A recipe that says nothing of heat, first read warm within 4 h: both ways' limits (common practice, no source)."""
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
    cold = [one for one in below if one.degrees < code.hot]
    while len(cold) > 1 and cold[-2].degrees < cold[-1].degrees:
        cold.pop()
    return hot.at <= (cold[-1].at if cold else hot.at) + code.reheat_in


def _judge(
    code: Code, begins: int, known: bool, below: list[Read], now: int, reheated: int | None, both: bool
) -> Way:
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
    return Way(begins, limits, down, limits[-1][0], [one.at for one in below])


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


# Control


def last_shown(kitchen: Kitchen, batch: Batch, ways: list[Way], at: int) -> int | None:
    """By its own reading, by a cold place that speaks for it, or by the end of its hot step."""
    code, stays = kitchen.code, stood(kitchen, batch)
    found = [end for end in (off_the_heat(kitchen, batch),) if end is not None]
    own = readings(kitchen, batch)
    for one in own:
        inside = STORES[where(stays, one.at)] not in ("ambient", "time")
        if not one.late and (one.degrees >= code.hot or (inside and one.degrees <= cold(kitchen, batch))):
            found.append(one.at)
    joined = [moment for _run, moment in made(kitchen, batch)[1:]]
    for index, (since, place) in enumerate(stays):
        if STORES[place] not in ("chilled", "frozen"):
            continue
        left = stays[index + 1][0] if index + 1 < len(stays) else None
        for one in kitchen.places.get(place, []):
            there = since <= one.at and (left is None or one.at <= left)
            if one.late or not there or one.degrees > cold(kitchen, batch):
                continue
            if not all(way.over(one.at) for way in ways if way.begins <= one.at):
                continue  # It never speaks for food that cools.
            settled = max([since, *(moment for moment in joined if moment <= one.at)])
            was_read = any(settled <= mine.at <= one.at and mine.degrees <= cold(kitchen, batch) for mine in own)
            if one.exposed or was_read or one.at - settled >= 4 * HOUR:
                found.append(one.at)
    return max((one for one in found if one <= at), default=None)


def off_the_heat(kitchen: Kitchen, batch: Batch) -> int | None:
    first = made(kitchen, batch)[:1]
    if not first:
        return None
    end = hot_end(kitchen, kitchen.runs[first[0][0]])
    return min(end[0], first[0][1]) if end is not None and end[1] else None


def was_hot(kitchen: Kitchen, batch: Batch, at: int) -> bool:
    end = off_the_heat(kitchen, batch)
    read = [one for one in readings(kitchen, batch) if one.at <= at and not one.late]
    if read and (end is None or read[-1].at >= end):
        return read[-1].degrees >= kitchen.code.hot
    return end is not None


def out_facts(kitchen: Kitchen, name: str, batch: Batch, ways: list[Way]) -> list[Fact]:
    """3-501.19: from leaving control, if it was shown in it within the hour before; else from the last showing."""
    code, stays, own = kitchen.code, stood(kitchen, batch), readings(kitchen, batch)
    begun: list[tuple[int, bool, str, bool]] = []  # since, hot, place, shown as it left
    for index, (since, place) in enumerate(stays):
        if STORES[place] not in ("ambient", "time"):
            continue
        if index == 0:
            end = off_the_heat(kitchen, batch)
            begun.append((end if end is not None else first_cold(kitchen, batch), end is not None, place, True))
            continue
        shown = last_shown(kitchen, batch, ways, since)
        near = shown is not None and since - shown <= HOUR
        begin = since if near else batch.ready if shown is None else shown
        begun.append((begin, was_hot(kitchen, batch, since), place, near or begin == since))
    for one in own:
        store = STORES[where(stays, one.at)]
        if one.reheat or one.at < batch.ready:
            continue
        if store == "hot" and one.degrees < code.hot:
            shown = last_shown(kitchen, batch, ways, one.at)
            if shown is not None and was_hot(kitchen, batch, one.at - 1):
                begun.append((shown, True, "", False))
        elif store in ("chilled", "frozen") and one.degrees > cold(kitchen, batch):
            if all(way.over(one.at) for way in ways if way.begins <= one.at):
                shown = last_shown(kitchen, batch, ways, one.at)
                begun.append((shown if shown is not None else batch.ready, False, "", False))
    found: list[Fact] = []
    used, count, over = 0, 0, None
    for since, hot, place, at_once in sorted(begun, key=lambda one: one[0]):
        if count and (over is None or since < over):
            continue
        count += 1
        hours = code.hot_out if hot else code.cold_out
        over = _back(kitchen, batch, own, since, hours, used, count)
        end = since + hours - used
        if code.six is not None and place in COOL_TABLE and not hot and at_once:
            longer, warm = _six_hours(kitchen, own, since, place)
            end = longer if longer is not None else end
            found += [Fact(3, warm, what="too warm", of=name)] if warm is not None else []
        found.append(Fact(6, since, end, of=name, over=over))
        if over is not None and code.back == "adds up":
            used += over - since
    return found


def _back(
    kitchen: Kitchen, batch: Batch, own: list[Read], since: int, hours: int, used: int, count: int
) -> int | None:
    """UK Schedule 4 paras 5 and 7: once, within the time. FSANZ: under 2 h, all such times added."""
    code = kitchen.code
    if not code.back or (code.back == "once" and count > 1):
        return None
    most = code.back_in if code.back == "adds up" else hours
    stays, most_cold = stood(kitchen, batch), cold(kitchen, batch)
    for one in own:
        store = STORES[where(stays, one.at)]
        good = one.degrees >= code.hot if store == "hot" else one.degrees <= most_cold
        if one.at > since and not one.late and store in ("hot", "chilled", "frozen") and good:
            return one.at if used + one.at - since < most else None
    return None


def _six_hours(kitchen: Kitchen, own: list[Read], since: int, place: str) -> tuple[int | None, int | None]:
    """3-501.19(C); that a reading from the second to the fourth hour must show it is the house's own rule."""
    assert kitchen.code.six is not None
    longest, most = kitchen.code.six
    mine = [one for one in own if one.at >= since]
    around = [one for one in kitchen.places.get(place, []) if one.at >= since]
    warm = next((one for one in mine if one.degrees > most), None)
    if warm is not None:
        return None, max([since, *(one.at for one in mine if one.at < warm.at)])
    shown = any(since + 120 <= one.at <= since + 240 and not one.late for one in (*mine, *around))
    if shown and all(one.degrees <= most for one in around):
        return since + longest, None
    return None, None


def first_cold(kitchen: Kitchen, batch: Batch) -> int:
    """Kept on time from the first: from when its first cold ingredient was taken."""
    run, at = made(kitchen, batch)[0]
    found = kitchen.runs[run]
    if not found.seen:
        return at - 5  # As long before its end as its steps take.
    took = [moment for _code, moment in found.took]
    return min([*took, at]) if took else min(found.started, at)


def reheat_facts(kitchen: Kitchen, name: str, batch: Batch) -> list[Fact]:
    """3-403.11(A) and (D): from the cold to 74 within 2 h."""
    code, stays, own = kitchen.code, stood(kitchen, batch), readings(kitchen, batch)
    if code.reheat is None or code.reheat_in is None:
        return []
    spans: list[tuple[int, int | None]] = []
    for index, (since, place) in enumerate(stays):
        if index and STORES[place] == "hot" and not was_hot(kitchen, batch, since):
            spans.append((since, stays[index + 1][0] if index + 1 < len(stays) else None))
    meant = [one.at for one in own if one.reheat and STORES[where(stays, one.at)] != "hot"]
    spans += [(meant[0], None)] if meant else []
    found: list[Fact] = []
    for since, left in spans:
        due = since + code.reheat_in
        read = [one for one in own if one.at >= since and (left is None or one.at < left)]
        if read and not any(one.degrees >= code.reheat and one.at <= due and not one.late for one in read):
            found.append(Fact(3, due, what="not reheated", of=name))
    return found


def place_facts(kitchen: Kitchen, name: str, batch: Batch, ways: list[Way]) -> list[Fact]:
    """A bad reading of a place reaches what stood there since the last one before it; the food's own reading within the
    hour, there or within 15 min of leaving, or the most exposed batch while both stand there, says otherwise."""
    code, stays, own, found = kitchen.code, stood(kitchen, batch), readings(kitchen, batch), list[Fact]()
    for index, (since, place) in enumerate(stays):
        store = STORES[place]
        if store not in ("chilled", "hot"):
            continue
        left = stays[index + 1][0] if index + 1 < len(stays) else None
        before = None
        for one in sorted(kitchen.places.get(place, []), key=lambda one: one.at):
            good = one.degrees >= code.hot if store == "hot" else one.degrees <= cold(kitchen, batch)
            if one.exposed:
                before = one.at if good else before
                continue
            begin = since if before is None else max(before, since)
            before = one.at
            good = one.degrees >= code.hot if store == "hot" else one.degrees <= cold(kitchen, batch)
            if good or one.at < since or (left is not None and left <= begin):
                continue
            if not all(way.over(one.at) for way in ways if way.begins <= one.at):
                continue
            mine = any(
                abs(read.at - one.at) <= HOUR and since <= read.at and (left is None or read.at <= left + 15)
                and not read.reheat
                and not (read.late and (read.degrees >= code.hot if store == "hot" else read.degrees <= cold(kitchen, batch)))
                for read in own
            )  # fmt: skip
            spoken = any(
                most.exposed and (most.degrees >= code.hot if store == "hot" else most.degrees <= cold(kitchen, batch))
                and -4 * HOUR <= most.at - one.at <= HOUR and since <= most.at and (left is None or most.at <= left)
                for most in kitchen.places.get(place, [])
            )  # fmt: skip
            if not mine and not spoken:
                found.append(Fact(4, begin, what="its place", of=name))
    return found


# Dates


def days_frozen(stays: list[tuple[int, str]], until: int | None = None) -> int:
    """3-501.18(A)(1): the days strictly between a freezing and its thaw; `until` thaws what is frozen still."""
    found = 0
    for index, (since, place) in enumerate(stays):
        before = STORES[stays[index - 1][1]] if index else ""
        if STORES[place] != "frozen" or before == "frozen":
            continue
        thaw = next((at for at, to in stays[index + 1 :] if STORES[to] != "frozen"), until)
        if thaw is not None:
            found += max(0, business_day(thaw) - since // DAY - 1)
    return found


def own_day(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int:
    """3-501.17(A): the day of preparation is day 1: that of the first hot step's end, else of the run's start."""
    if batch.first_day is not None:
        return batch.first_day
    if batch.pack:
        return business_day(batch.ready)
    days = [_day_of_run(kitchen, run, at) for run, at in batch.made if until is None or at <= until]
    if batch.whole is not None:
        days.append(own_day(kitchen, kitchen.batches[batch.whole[0]], batch.whole[1]))
    return min(days, default=business_day(batch.ready))


def _day_of_run(kitchen: Kitchen, run: str, at: int) -> int:
    found = kitchen.runs[run]
    dish = kitchen.dishes[found.dish]
    begin = found.started if found.seen else at - dish.hot - (10 if dish.hot else 5)
    if not dish.hot:
        return business_day(begin)
    end = found.pressed if found.pressed is not None and found.pressed <= at else begin + dish.hot
    return business_day(min(end, at))


def inherited_day(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int | None:
    """3-501.17(C): combined food keeps the earliest; what was taken without a pack on record was opened then."""
    found: list[int | None] = []
    if batch.whole is not None:
        found.append(inherited_day(kitchen, kitchen.batches[batch.whole[0]], batch.whole[1]))
    for run, at in batch.made:
        if until is not None and at > until:
            continue
        for code, moment in kitchen.runs[run].took:
            if moment <= at:
                found.append(handed_on(kitchen, kitchen.batches[code], moment))
        found += [business_day(moment) for _goods, moment in kitchen.runs[run].unopened if moment <= at]
    return min((day for day in found if day is not None), default=None)


def handed_on(kitchen: Kitchen, batch: Batch, at: int) -> int | None:
    stays = [one for one in stood(kitchen, batch) if one[0] <= at] or stood(kitchen, batch)[:1]
    dish = kitchen.dishes.get(batch.dish)
    own = own_day(kitchen, batch, at) if batch.pack or (dish is not None and dish.ready_to_eat) else None
    days = [day for day in (own, inherited_day(kitchen, batch, at)) if day is not None]
    return min(days) + days_frozen(stays, at) if days else None


def makers_day(kitchen: Kitchen, batch: Batch, until: int | None = None) -> int | None:
    """3-501.17(B): never past a maker's safety date, its own or of what went in."""
    found = [batch.safety]
    if batch.whole is not None:
        found.append(makers_day(kitchen, kitchen.batches[batch.whole[0]], batch.whole[1]))
    for run, at in batch.made:
        for code, moment in kitchen.runs[run].took:
            if moment <= at and (until is None or at <= until):
                found.append(makers_day(kitchen, kitchen.batches[code], moment))
    return min((day for day in found if day is not None), default=None)


def date_facts(kitchen: Kitchen, batch: Batch, at: int) -> list[Fact]:
    stays, code = stood(kitchen, batch), kitchen.code
    found: list[Fact] = []
    makers = makers_day(kitchen, batch)
    if makers is not None:
        found.append(Fact(7, batch.ready, (makers + 1) * DAY))
    if STORES[[place for since, place in stays if since <= at or since == stays[0][0]][-1]] == "frozen":
        return found
    frozen, first = days_frozen(stays), own_day(kitchen, batch)
    dish = kitchen.dishes.get(batch.dish)
    below = inherited_day(kitchen, batch)
    if code.days is not None:
        own = [first] if batch.pack or (dish and dish.ready_to_eat) else []
        days = [*own, *([below] if below is not None else [])]
        if days:
            found.append(Fact(8, batch.ready, (min(days) + frozen + code.days) * DAY))
    keeps = GOODS[batch.pack] if batch.pack else dish.days if dish else None
    if keeps is not None:
        end = (first + frozen + keeps) * DAY
        found.append(Fact(9, batch.ready, end if end > batch.ready else (first + keeps) * DAY + DAY_STARTS))
    return found


GOODS = {"cream": 5, "pork": 3}
"""Days that goods keep once open."""


# Together


def facts(kitchen: Kitchen, name: str, now: int, seen: dict[str, list[Fact]] | None = None) -> list[Fact]:
    """All that is known of a batch by `now`, each from a moment on."""
    seen = {} if seen is None else seen
    if name in seen:
        return seen[name]
    batch = kitchen.batches[name]
    found: list[Fact] = []
    for run, at in batch.made:
        found += _of_run(kitchen, run, at, now, seen)
    ways, own = ways_of(kitchen, batch, now), readings(kitchen, batch)
    mine = cooling_facts(kitchen, name, ways, own, corrected(kitchen, batch))
    mine += [*reheat_facts(kitchen, name, batch), *out_facts(kitchen, name, batch, ways)]
    mine += place_facts(kitchen, name, batch, ways)
    if batch.whole is not None:
        # Its own record has all of the whole's up to then; what was read of the whole later reaches back to it too.
        whole, at = batch.whole
        known = {(one.row, one.since) for one in mine}
        known |= {(3, due) for way in ways for due, state in way.limits if state == "missed"}
        for one in facts(kitchen, whole, now, seen):
            again = one.of == whole and (one.row == 4 or (one.row, one.since) in known or one.what == "taste block")
            if one.since <= at and (one.over is None or one.over > at) and not again and one.row in (2, 3, 4, 6):
                found.append(Fact(one.row, at, one.until, one.what, one.of))
    if batch.blocked:
        found.append(Fact(2, batch.ready, what=f"{batch.blocked} block", of=name))
    stays = stood(kitchen, batch)
    for place, begin in kitchen.blocked.items():
        for index, (since, stands) in enumerate(stays):
            left = stays[index + 1][0] if index + 1 < len(stays) else None
            if stands == place and (left is None or left > begin):
                found.append(Fact(2, max(since, begin), what=f"place {place}", of=place))
    for of_batch, goods, lot in kitchen.withdrawn:
        same = bool(lot) and bool(batch.lot) and same_lot(lot, batch.lot)
        unknown = goods == batch.pack and (not lot or not batch.lot)
        if of_batch == name or (batch.pack and not of_batch and (same or unknown)):
            found.append(Fact(2, batch.ready, what="withdrawn", of=name))
    found += mine
    seen[name] = found
    return found


def same_lot(one: str, other: str) -> bool:
    return one.replace(" ", "").lower() == other.replace(" ", "").lower()


def _of_run(kitchen: Kitchen, name: str, at: int, now: int, seen: dict[str, list[Fact]]) -> list[Fact]:
    """What went into a run by `at`: all that was so when it went in."""
    run, found = kitchen.runs[name], list[Fact]()
    for code, moment in run.took:
        if moment > at:
            continue
        for one in [*facts(kitchen, code, now, seen), *date_facts(kitchen, kitchen.batches[code], moment)]:
            over = one.since > moment or (one.over is not None and one.over <= moment) or "taste" in one.what
            if over or one.row not in (2, 3, 4, 6, 7, 8, 9):
                continue
            if one.row in (2, 3, 4, 6) or (one.until is not None and one.until <= moment):
                found.append(Fact(one.row, at, one.until, one.what, one.of))
    for of_batch, goods, _lot in kitchen.withdrawn:
        if not of_batch and any(goods == one and moment <= at for one, moment in run.unopened):
            found.append(Fact(2, at, what="unknown lot", of=name))
    return found


@dataclass(frozen=True)
class Answer:
    may: bool
    until: int | None
    row: int
    what: str = ""


def may_use(kitchen: Kitchen, name: str, at: int, seen: dict[str, list[Fact]] | None = None) -> Answer:
    """Whether a batch may be used at a moment, and until when; `seen` keeps what was worked out for that moment."""
    known = [one for one in facts(kitchen, name, at, seen) if one.since <= at]
    ends = [one for one in known if one.until is not None and one.row == 6 and (one.over is None or one.over > at)]
    ends += date_facts(kitchen, kitchen.batches[name], at)
    ends += [one for one in known if one.until is not None and one.row in (7, 8, 9)]
    first = min(ends, key=lambda one: (one.until, one.row), default=None)
    until = first.until if first else None
    for row in (2, 3, 4):
        refused = next((one for one in known if one.row == row), None)
        if refused is not None:
            return Answer(False, until, row, refused.what)
    return Answer(until is None or at < until, until, first.row if first else 9)
