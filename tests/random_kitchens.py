"""Kitchens drawn by chance: benches with split shifts, ovens that are wanted hot and cool, chains of preps."""

from __future__ import annotations

from datetime import UTC, datetime
from random import Random

from prepboard.book.reading.reader import read_texts
from prepboard.plan.given.state import State

NOW = datetime(2026, 10, 30, 10, 0, tzinfo=UTC)
SHIFTS = ("08:00-15:00, 16:00-23:00", "07:00-14:30, 15:30-22:00", "09:00-23:30", "06:00-14:00")
Sitting = tuple[str, str, str, str]
"""(service, day, starts, ends)."""
DINNER_AND_LUNCH: tuple[Sitting, ...] = (
    ("dinner", "2026-10-31", "18:00", "22:00"),
    ("lunch", "2026-11-01", "12:00", "14:00"),
)
TWO_A_DAY: tuple[Sitting, ...] = (
    ("brunch", "2026-10-31", "11:00", "14:00"),
    *DINNER_AND_LUNCH,
    ("supper", "2026-11-01", "17:30", "21:30"),
)
HEATS = ("160 C", "120 C", "90 C", "320 F")


def kitchen(seed: int, runs: int, *, tight: bool = False, benches: int | None = None) -> State:
    """The kitchen that `text_of` writes, with nothing on hand."""
    return State(read_texts({"book.toml": text_of(seed, runs, tight=tight, benches=benches)}))


def text_of(
    seed: int,
    runs: int,
    *,
    tight: bool = False,
    benches: int | None = None,
    zone: str = "UTC",
    shifts: tuple[str, ...] = SHIFTS,
    thaws: bool = False,
    sittings: tuple[Sitting, ...] = DINNER_AND_LUNCH,
    racks: int | None = None,
    strict: bool = False,
) -> str:
    """About so many preps for tomorrow's dinner and the next day's lunch, or other sittings; tight: one cook a bench
    and two ovens. With `benches` so many, and an oven for every three. With `thaws` every third prep is kept frozen.
    Any wait may stretch as long as the prep keeps; `strict`: no further than by itself."""
    chance = Random(seed)
    count = benches or (chance.randrange(2, 4) if tight else chance.randrange(3, 6))
    names = [f"bench{number}" for number in range(count)]
    text = ['name = "Drawn"', f'time_zone = "{zone}"', 'day_starts = "04:00"', 'rules = "food-code-2022"']
    text.append('ready_before = "0 min"')
    for bench in names:
        cooks = 1 if tight else chance.randrange(1, 4)
        text.append(f'[stations.{bench}]\nname = "{bench}"\ncooks = {cooks}\nhours = "{chance.choice(shifts)}"')
    ovens = [f"oven{number}" for number in range(max(1, (benches or 1) // 3))]
    for oven in ovens:
        places = 2 if tight else chance.randrange(2, 5)
        text.append(f'[equipment.{oven}]\nname = "Oven"\nplaces = {places}\nracks = {racks or chance.randrange(1, 4)}')
    for number in range(max(1, len(names) // 4)):
        text.append(f'[equipment.mixer{number}]\nname = "Mixer"')
    for service, on, starts, ends in sittings:
        text.append(f'[services.{service}]\non = "{on}"\nstarts = "{starts}"\nends = "{ends}"\ncovers = 40')
    text += _preps(chance, runs, names, ovens, thaws, strict, [sitting[0] for sitting in sittings])
    return "\n".join(text)


def _preps(
    chance: Random, runs: int, benches: list[str], ovens: list[str], thaws: bool, strict: bool, services: list[str]
) -> list[str]:
    text = []
    plated = max(2, runs * 3 // 5)
    for number in range(plated):
        service = chance.choice((services[0], *services))
        text.append(
            f'[dishes.d{number}]\nname = "D{number}"\nservices = ["{service}"]\nshare = 0.5\n'
            f'plate = {{ p{number} = "50 g" }}'
        )
    givers = list(range(plated, runs))
    for number in range(runs):
        below = [giver for giver in givers if giver > number and chance.random() < 2 / runs]
        steps = [_step(chance, benches, ovens, below if first == 0 else []) for first in range(chance.randrange(1, 5))]
        uses = ", ".join(f'p{giver} = "200 g"' for giver in below)
        bench, keeps = chance.choice(benches), f'keeps = "{chance.choice(("1 day", "2 days", "4 days", "30 h"))}"'
        if thaws and number % 3 == 0:
            keeps = f'keeps = {{ frozen = "30 days", chilled = "2 days" }}\nthaw = "{chance.choice((4, 12, 24))} h"'
            keeps += '\nstore = "frozen"'
        if not strict:
            most = "30 days" if thaws and number % 3 == 0 else keeps.split('"')[1]
            steps = [step if "equipment" in step or "up_to" in step else _waits(step, most) for step in steps]
        text.append(
            f'[preps.p{number}]\nname = "P{number}"\nstation = "{bench}"\n'
            f'{keeps}\nmakes = "2 kg"\n'
            f"sizes = {{ smallest = 0.5, step = 0.5 }}\nuses = {{ {uses} }}\nsteps = [{', '.join(steps)}]"
        )
    return text


def _waits(step: str, most: str) -> str:
    return step.replace(" }", f', wait_up_to = "{most}" }}')


def _step(chance: Random, benches: list[str], ovens: list[str], takes: list[int]) -> str:
    hands = chance.choice((0, 5, 10, 15, 25, 40))
    keys = ['do = "Work"', f'hands_on = "{hands} min"', f'hands_on_each = "{chance.choice((0, 0, 5))} min"']
    kind = chance.random()
    if kind < 0.35:
        keys += [f'wait = "{chance.choice((20, 45, 90, 180))} min"', f'equipment = "{chance.choice(ovens)}"']
        keys += [f'at = "{chance.choice(HEATS)}"', f"racks = {chance.randrange(1, 3)}"]
        keys += ['holds = "hands"'] if chance.random() < 0.1 else []
    elif kind < 0.45:
        keys += [
            f'equipment = "mixer{chance.randrange(max(1, len(benches) // 4))}"',
            f'wait = "{chance.choice((0, 10, 30))} min"',
            'wait_up_to = "45 min"',
        ]
    elif kind < 0.8:
        least = chance.choice((15, 60, 240))
        keys += [f'wait = "{least} min"', f'wait_up_to = "{least + chance.choice((30, 240, 1200))} min"']
    elif kind < 0.9:
        keys += ['wait = "20 min"', "attended = true"]
    if chance.random() < 0.1:
        keys.append(f'station = "{chance.choice(benches)}"')
    if takes and chance.random() < 0.5:
        keys.append("uses = [" + ", ".join(f'"p{giver}"' for giver in takes) + "]")
    return "{ " + ", ".join(keys) + " }"
