"""How pars from history fare on open counts of people: hires of bicycles in Washington, DC, hour by hour in 2011.

The data set "Bikeshare" (Fanaee-T and Gama, Event labeling combining ensemble detectors and background knowledge,
2013; in An Introduction to Statistical Learning with Python) travels in the package ISLP: `pip download --no-deps
islp`. Each hour from 8 to 21, members and guests apart, stands for a dish with one sitting a day: 28 series with means
of 19 to 291, a strong pattern of the week, a year's trend, weather and holidays. Nothing was chosen on it.

Prints, from the 41st day on, coverage, what was left over and pinball loss in % of the mean, and the same for the
quantile of the last eight equal weekdays. Run it by hand: python tests/benchmarks/history_open.py islp-*.whl
"""

from __future__ import annotations

import csv
import sys
from collections import defaultdict
from datetime import date, timedelta
from io import TextIOWrapper
from zipfile import ZipFile

import numpy as np

from prepboard.plan.demand.bookings import weekday_key
from prepboard.plan.demand.history import FROM_HISTORY, guess, learn, learn_kitchen, learn_margin, outlook, surprise
from prepboard.plan.given.learned import ClosedEvening, Common

DAYS = [date(2011, 1, 1) + timedelta(days=n) for n in range(365)]
HOURS, FROM, LEVELS = range(8, 22), 40, (0.8, 0.9, 0.95)


def series(wheel: str) -> np.ndarray:
    """(series, day) hires; an hour that nobody recorded had as many as the day before."""
    found: dict[tuple[int, str], dict[int, int]] = defaultdict(dict)
    with ZipFile(wheel).open("ISLP/data/Bikeshare.csv") as file:
        for row in csv.DictReader(TextIOWrapper(file)):
            for of in ("casual", "registered"):
                found[int(float(row["hr"])), of][int(float(row["day"])) - 1] = int(float(row[of]))
    rows = []
    for (hour, _of), hires in sorted(found.items()):
        if hour in HOURS:
            row = [0]
            for n in range(len(DAYS)):
                row.append(hires.get(n, row[-1]))
            rows.append(row[1:])
    return np.array(rows)


def by_history(demand: np.ndarray, level: float) -> np.ndarray:
    """One kitchen a series, as each stands for itself."""
    pars = np.zeros(demand.shape, int)
    for at, asked in enumerate(demand):
        known, common = guess(float(asked[:3].mean())), Common()
        for n, day in enumerate(DAYS):
            key = weekday_key("dinner", day)
            seen = outlook(known, key, 0.0, common)
            evening = ClosedEvening("dinner", day, int(asked[n]), 0, False)
            pars[at, n], surprised = surprise(seen, evening, level)
            if known.count >= FROM_HISTORY:
                common = learn_margin(common, [surprised])
            before, known = known, learn(known, evening, key, seen)
            common = learn_kitchen(common, key, [(before, known)])
    return pars


def by_weekdays(demand: np.ndarray, level: float) -> np.ndarray:
    """The quantile of the last eight equal weekdays."""
    pars = np.zeros(demand.shape, int)
    for n in range(7, len(DAYS)):
        last = [n - 7 * back for back in range(1, 9) if n >= 7 * back]
        pars[:, n] = np.ceil(np.quantile(demand[:, last], level, axis=1))
    return pars


def figures(pars: np.ndarray, demand: np.ndarray, level: float) -> str:
    over, under, mean = np.maximum(pars - demand, 0), np.maximum(demand - pars, 0), demand.mean(axis=1, keepdims=True)
    loss = (level * under + (1 - level) * over) / mean
    return f"{100 * (demand <= pars).mean():5.1f} / {100 * (over / mean).mean():5.1f} / {100 * loss.mean():5.2f}"


def main() -> None:
    demand = series(sys.argv[1])
    print(f"{len(demand)} series; covered / left over / pinball in %, from day {FROM + 1}")
    for level in LEVELS:
        for name, pars in (("history", by_history(demand, level)), ("last 8 weekdays", by_weekdays(demand, level))):
            print(f"level {level}: {name:16}" + figures(pars[:, FROM:], demand[:, FROM:], level))


if __name__ == "__main__":
    main()
