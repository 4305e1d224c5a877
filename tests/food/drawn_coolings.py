"""Drawn ways down in every rule book, against a reckoning of its own from the code's sentences.

FDA Food Code 2022, 3-501.14(A): 57 °C to 21 °C within 2 h and to 5 °C within 6 h altogether. FSANZ 3.2.2 clause 7(3):
60 °C to 21 °C within 2 h and to 5 °C within a further 4 h. FSAI Guidance Note 15: to 3 °C within 150 min. UK: guidance,
which never blocks. The reckoning shares nothing with what it checks: minutes and degrees, one figure after the other.
"""

from __future__ import annotations

from datetime import UTC, datetime

OFF_THE_HEAT = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
BY_THE_CODE = {
    "food-code-2022": (57, ((120, 21), (360, 5)), None),
    "fsanz": (60, ((120, 21), (360, 5)), 240),
    "ireland": (63, ((150, 3),), None),
}
"""Hot from so many °C; (minutes from the last hot reading, °C to be reached); the second stage by itself."""


def reckoned(book, way, now):
    """What the sentences say of one way down, as (minutes, degrees): a word for each limit."""
    hot, limits, second = BY_THE_CODE[book]
    begins, below = 0, []
    for at, degrees in way:
        if degrees >= hot and not below:
            begins = at
        else:
            below.append((at, degrees))
    words, met = [], None
    last_due = begins + limits[-1][0]
    for number, (minutes, to) in enumerate(limits):
        due = begins + minutes
        if number and second is not None:
            due = min(due, (met if met is not None else begins + limits[0][0]) + second)
            last_due = due
        there = [at for at, degrees in below if degrees <= to]
        first = min(there, default=None)
        above = [at for at, _degrees in below if first is None or at < first]
        met = None
        if any(at >= due for at in above):
            words.append("missed")
        elif first is not None and first <= due:
            met = first
            words.append("met")
        elif first is not None or now > due:
            words.append("late")
        else:
            words.append("open")
    read = any(at < last_due for at, _degrees in below)
    return ["not shown" if word == "late" and read else "not read" if word == "late" else word for word in words]


def drawn(random):
    """A way down: never warmer again, read now and then, or only once, or the next morning."""
    degrees, way = random.uniform(50, 95), []
    for at in sorted(random.sample(range(1, random.choice((200, 480, 1200))), random.randint(1, 6))):
        way.append((at, round(degrees, 1)))
        degrees = random.uniform(1, max(1.1, degrees))
    return way
