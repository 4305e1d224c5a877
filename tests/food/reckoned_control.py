"""Since when food is out of control, and what its places say of it: FDA Food Code 2022 3-501.16, 3-501.19, 3-403.11."""

from __future__ import annotations

from tests.food.reckoned_cooling import Way, hot_end
from tests.food.reckoned_facts import (
    COOL_TABLE,
    HOUR,
    STORES,
    Batch,
    Fact,
    Kitchen,
    Read,
    cold,
    made,
    of_place,
    readings,
    stood,
    where,
)


def _inside(kitchen: Kitchen, batch: Batch, store: str, one: Read) -> bool:
    return one.degrees >= kitchen.code.hot if store == "hot" else one.degrees <= cold(kitchen, batch)


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
        for one in of_place(kitchen, place):
            there = since <= one.at and (left is None or one.at <= left)
            if one.late or not there or one.degrees > cold(kitchen, batch):
                continue
            if not all(way.over(one.at) for way in ways if way.begins <= one.at):
                continue  # It never speaks for food that cools.
            settled = max([since, *(moment for moment in joined if moment <= one.at)])
            was_read = any(
                settled <= mine.at <= one.at and not mine.late and mine.degrees <= cold(kitchen, batch) for mine in own
            )
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
        still = any(not way.over(one.at) for way in ways if way.begins <= one.at)
        if store in ("chilled", "frozen") and one.degrees > cold(kitchen, batch) and not still:
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


def _back(kitchen: Kitchen, batch: Batch, own: list[Read], since: int, hours: int, used: int, count: int) -> int | None:
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
    around = [one for one in of_place(kitchen, place) if one.at >= since]
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
        if store not in ("chilled", "frozen", "hot"):
            continue
        left = stays[index + 1][0] if index + 1 < len(stays) else None
        before = None
        for one in sorted(of_place(kitchen, place), key=lambda one: one.at):
            good = one.degrees >= code.hot if store == "hot" else one.degrees <= cold(kitchen, batch)
            if one.late and good:
                continue  # It shows nothing.
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
                and not (read.late and _inside(kitchen, batch, store, read))
                for read in own
            )  # fmt: skip
            spoken = any(
                most.exposed
                and not most.late
                and _inside(kitchen, batch, store, most)
                and -4 * HOUR <= most.at - one.at <= HOUR
                and since <= most.at
                and (left is None or most.at <= left)
                for most in of_place(kitchen, place)
            )
            if not mine and not spoken:
                found.append(Fact(4, begin, what="its place", of=name))
    return found
