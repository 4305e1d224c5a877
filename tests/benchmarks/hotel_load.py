"""How long `prepboard load` takes for a hotel: 2,000 preps, 500 dishes, 400 goods, twelve benches, five sittings a day.

Prints, for `load --check`, a first load, the same book again and one of which one prep was changed, the processor
seconds of the whole process and their ratio to those of the same command for the starter book, which is what a process
costs by itself. It begins no further round after a minute. Run it by hand:

    python tests/benchmarks/hotel_load.py [PREPS]
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from random import Random

DRAWN = 2026
ROUNDS, ENOUGH = 3, 60.0
"""So often all is measured; no more once so many seconds are over."""
NOW = "2026-10-30T08:00:00+00:00"
STARTER = Path(__file__).parents[2] / "config" / "starter"
SITTINGS = (
    ("breakfast", "07:00", "10:30"),
    ("lunch", "12:00", "14:30"),
    ("tea", "15:00", "17:00"),
    ("dinner", "18:30", "22:00"),
    ("bar", "11:00", "23:00"),
)
ALLERGENS = ("", "", "", "milk", "eggs", "wheat", "celery", "fish", "mustard", "soybeans")


def hotel(preps: int = 2000, benches: int = 12) -> dict[str, str]:
    """The texts of a hotel's book: one file a bench, as several chefs would keep it."""
    chance = Random(DRAWN)
    dishes, goods = preps // 4, preps // 5
    plated = preps * 3 // 5
    files = {"kitchen.toml": _house(benches)}
    files["goods.toml"] = "\n".join(_goods(number, chance) for number in range(goods))
    files["dishes.toml"] = "\n".join(_dish(number, dishes, plated, chance) for number in range(dishes))
    for bench in range(benches):
        own = range(bench, preps, benches)
        files[f"preps/bench{bench}.toml"] = "\n".join(_prep(one, bench, preps, plated, goods, chance) for one in own)
    return files


def write(texts: Mapping[str, str], folder: Path) -> None:
    """The book's files in a folder."""
    for name, text in texts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def _house(benches: int) -> str:
    text = ['name = "Hotel"\ntime_zone = "Europe/Dublin"\nday_starts = "04:00"\nrules = "food-code-2022"']
    for bench in range(benches):
        text.append(f'[stations.bench{bench}]\nname = "Bench {bench}"\ncooks = 8\nhours = "06:00-15:00, 15:30-23:30"')
    for oven in range(6):
        text.append(f'[equipment.oven{oven}]\nname = "Oven {oven}"\nplaces = 4\nracks = 10')
    text.append('[places.cold-room]\nname = "Cold room"\nstore = "chilled"\ntemperature = "3 C"')
    for name, starts, ends in SITTINGS:
        text.append(f'[services.{name}]\nstarts = "{starts}"\nends = "{ends}"\ncovers = 220')
    return "\n".join(text)


def _goods(number: int, chance: Random) -> str:
    allergen = chance.choice(ALLERGENS)
    named = f'["{allergen}"]' if allergen else "[]"
    return (
        f'[goods.g{number}]\nname = "Goods {number}"\nunit = "kg"\nusable = 0.9\nsupplier = "Van {number % 9}"\n'
        f'pack = "5 kg"\nallergens = {named}\n'
    )


def _dish(number: int, dishes: int, plated: int, chance: Random) -> str:
    sitting = SITTINGS[number % len(SITTINGS)][0]
    each = plated // dishes
    parts = {*range(number * each, number * each + each), chance.randrange(plated)}
    plate = ", ".join(f'p{part} = "{chance.choice((30, 45, 60))} g"' for part in sorted(parts))
    return f'[dishes.d{number}]\nname = "Dish {number}"\nservices = ["{sitting}"]\nshare = 0.1\nplate = {{ {plate} }}\n'


def _prep(number: int, bench: int, preps: int, plated: int, goods: int, chance: Random) -> str:
    uses = {f"g{chance.randrange(goods)}": "1.2 kg", f"g{(number * 7) % goods}": "400 g"}
    if number < plated:
        uses[f"p{chance.randrange(plated, preps)}"] = "300 g"
    taken = ", ".join(f'{item} = "{amount}"' for item, amount in uses.items())
    steps = ['{ do = "Weigh, cut and season", hands_on = "15 min", wait = "1 h", place = "cold-room" }']
    if number % 3 == 0:
        oven = f'equipment = "oven{chance.randrange(6)}", at = "160 C"'
        steps.append(f'{{ do = "Roast", hands_on = "5 min", wait = "45 min", {oven} }}')
    steps.append('{ do = "Cool, box and label", hands_on = "10 min", wait = "1 h", cools = true }')
    said = "ready_to_eat = true\n" if number % 2 else ""
    return (
        f'[preps.p{number}]\nname = "Prep {number}"\nstation = "bench{bench}"\nstore = "chilled"\nkeeps = "4 days"\n'
        f'{said}makes = "4 kg"\nsizes = {{ smallest = 0.5, largest = 3, step = 0.5 }}\n'
        f"uses = {{ {taken} }}\nsteps = [\n  " + ",\n  ".join(steps) + ",\n]\n"
    )


def seconds(*given: str | Path) -> float:
    """Processor seconds, its own and the system's, of one `prepboard`."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "PREPBOARD_NOW": NOW}
    ran = subprocess.run([sys.executable, "-m", "prepboard", *map(str, given)], env=environment, capture_output=True)
    if ran.returncode:
        raise SystemExit(ran.stderr.decode())
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def loads(book: Path, texts: Mapping[str, str], file: Path) -> dict[str, float]:
    """Processor seconds of each way to load."""
    file.unlink(missing_ok=True)
    found = {"load --check": seconds("--file", file, "load", "--check", book)}
    found["first load"] = seconds("--file", file, "load", book)
    found["as it was"] = seconds("--file", file, "load", book)
    name = max(texts)
    (book / name).write_text(texts[name].replace('"15 min"', '"16 min"', 1), encoding="utf-8")
    found["one prep changed"] = seconds("--file", file, "load", book)
    (book / name).write_text(texts[name], encoding="utf-8")
    return found


def main() -> None:
    preps, began = int(sys.argv[1]) if len(sys.argv) > 1 else 2000, time.monotonic()
    small = {str(path.relative_to(STARTER)): path.read_text("utf-8") for path in sorted(STARTER.rglob("*.toml"))}
    large = hotel(preps)
    with tempfile.TemporaryDirectory() as folder:
        base = Path(folder)
        write(small, base / "starter")
        write(large, base / "hotel")
        rounds: list[tuple[dict[str, float], dict[str, float]]] = []
        while not rounds or (len(rounds) < ROUNDS and time.monotonic() - began < ENOUGH):
            rounds.append((loads(base / "starter", small, base / "s.db"), loads(base / "hotel", large, base / "h.db")))
    print(f"{preps} preps, processor seconds, the best of {len(rounds)} rounds in turns; ratio to the starter book")
    for way in rounds[0][0]:
        least, most = (min(one[which][way] for one in rounds) for which in (0, 1))
        print(f"{way:>18} {most:6.2f} s   starter {least:5.2f} s   ratio {most / least:5.1f}")


if __name__ == "__main__":
    main()
