"""2,000 drawn ways down in every rule book against two reckonings: python tests/benchmarks/cooling_curves.py [HOW MANY]
[FIRST SEED].

Half of them never get warmer again: each limit is open, met, missed, not shown or not read as the code's sentences say
(tests/food/drawn_coolings.py). Half may be warmed again in between: by the same sentences as the plays of food have
them (tests/food/reckoned_cooling.py). Prints how often each was said, and every difference with its seed; food that
missed a limit is never free, and under guidance nothing is ever held.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[2]))

from prepboard.book.reading.rulebooks import rule_book
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.judging import Way, cooling_marks, judge
from prepboard.book.safety.temperatures import Reading
from tests.food.drawn_coolings import BY_THE_CODE, OFF_THE_HEAT, drawn, reckoned
from tests.food.reckoned_cooling import ways_down
from tests.food.reckoned_facts import CODES, Read

BOOKS = ("food-code-2022", "uk", "uk-scotland", "ireland", "fsanz")
WORDS = {"not shown": "unknown", "not read": "unknown"}


def warmed(random: Random) -> list[tuple[int, float]]:
    """A way down that now and then goes up again."""
    way, degrees = [], random.uniform(50, 95)
    for at in sorted(random.sample(range(1, random.choice((200, 480, 900))), random.randint(2, 8))):
        way.append((at, round(degrees, 1)))
        degrees = random.uniform(50, 90) if random.random() < 0.25 else random.uniform(1, max(1.1, degrees))
    return way


def main() -> None:
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    differ = 0
    for name in BOOKS:
        rules, said, began, free = rule_book(name), Counter[str](), time.process_time(), 0
        for seed in range(first, first + times):
            random = Random(f"{name} {seed}")
            up = seed % 2 == 1
            way = warmed(random) if up else drawn(random)
            now = way[-1][0] + random.choice((0, 1, 60, 600))
            at = OFF_THE_HEAT + timedelta(minutes=now)
            read = [
                Reading("K7F", "batch", OFF_THE_HEAT + timedelta(minutes=minute), Fraction(str(degrees)), "C")
                for minute, degrees in way
            ]
            found = judge(rules, [Way(Start(OFF_THE_HEAT, True), read)], at)
            states = [limit.state for cooling in found.coolings for limit in cooling.limits]
            said.update(states)
            marks = cooling_marks(rules, "K7F", found, (), hold=False)
            missed = any(
                limit.state == "missed" and limit.due <= at for cooling in found.coolings for limit in cooling.limits
            )
            guided = name.startswith("uk")
            free += missed and not guided and not any(mark.since <= at for mark in marks)
            wrong = bool(marks) if guided else not _agrees(name, way, now, states, up=up)
            if wrong:
                differ += 1
                print(f"{name} seed {seed}: {way} at {now}: said {states}")
        spent = time.process_time() - began
        print(f"{name}: {times} ways down from seed {first}, {spent:.1f} s of processor; missed and free: {free};")
        print("  " + ", ".join(f"{word} {n}" for word, n in said.most_common()))
        differ += free
    print(f"{differ} differ")
    sys.exit(bool(differ))


def _agrees(name: str, way: list[tuple[int, float]], now: int, states: list[str], *, up: bool) -> bool:
    if not up and name in BY_THE_CODE:
        return states == reckoned(name, way, now)
    ways = ways_down(CODES[name], (0, True), [Read(at, degrees) for at, degrees in way], now, None)
    return [WORDS.get(state, state) for state in states] == [state for one in ways for _due, state in one.limits]


if __name__ == "__main__":
    main()
