"""How pars from history fare on simulated demand whose true distribution is known.

Prints, for each set of 200 dishes and 130 services (seeded), at level 0.9 from service 27 on: the coverage (share of
sittings whose par was enough) and what was left over (portions beyond demand, as a share of demand), beside the true
distribution's quantile, and Poisson and negative binomial of the last 8 sittings; where dishes run out, also beside
runs-out taken as they are and dropped. Run it by hand: python tests/benchmarks/history.py
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from scipy import stats

from prepboard.plan.demand.history import guess, learn, outlook
from prepboard.plan.given.learned import Evening

LEVEL, FROM, DISHES, SERVICES = 0.9, 26, 200, 130
FIRST_DAY = date(2026, 1, 1)
DAYS = [FIRST_DAY + timedelta(days=n) for n in range(SERVICES)]


@dataclass
class Scene:
    """One kind of demand: the means, in portions, of each dish and service, and variance over the mean."""

    name: str
    stationary: bool
    means: np.ndarray
    ratio: float
    covers: np.ndarray | None = None
    """(dish, service) who really came; None where they are not used."""
    booked: np.ndarray | None = None
    runs_out: bool = False


def truth(scene: Scene) -> tuple[np.ndarray, np.ndarray]:
    """Demand, and the quantile of the distribution that it is drawn from."""
    means, ratio = np.maximum(scene.means, 1e-6), scene.ratio
    if ratio > 1:
        law = stats.nbinom(means / (ratio - 1), 1 / ratio)
    elif ratio == 1:
        law = stats.poisson(means)
    else:
        n = np.ceil(means / (1 - ratio)).astype(int)
        law = stats.binom(n, means / n)
    demand = law.rvs(size=means.shape, random_state=np.random.default_rng(17)).astype(int)
    return demand, law.ppf(LEVEL).astype(int)


def by_history(scene: Scene, demand: np.ndarray, treat: str = "bound") -> np.ndarray:
    return np.stack([of_dish(scene, demand, dish, treat) for dish in range(DISHES)])


def of_dish(scene: Scene, demand: np.ndarray, dish: int, treat: str) -> np.ndarray:
    """The pars of one dish, service by service; in a closed loop it sells no more than its par."""
    share = 0.2 if scene.covers is not None else float(demand[dish, :3].mean() + 1)
    known = guess(share)
    pars = np.zeros(SERVICES, int)
    for at, day in enumerate(DAYS):
        booked = scene.booked[dish, at] if scene.booked is not None else 1.0
        came = scene.covers[dish, at] if scene.covers is not None else 1.0
        pars[at] = outlook(known, f"dinner {day.weekday()}", booked).par(LEVEL)
        sold = int(demand[dish, at])
        out = scene.runs_out and sold >= pars[at]
        if out:
            sold = int(pars[at])
            if treat == "dropped":
                continue
        known = learn(known, Evening("dinner", day, sold, int(pars[at]), out and treat == "bound"), came)
    return pars


def by_last_8(scene: Scene, demand: np.ndarray, law: str) -> np.ndarray:
    """Quantiles fitted to the last 8 sittings, taken as they are."""
    pars = np.zeros(demand.shape, int)
    seen = demand.copy()
    for at in range(SERVICES):
        last = seen[:, max(0, at - 8) : at] if at else demand[:, :1]
        mean = np.maximum(last.mean(axis=1), 0.05)
        pars[:, at] = stats.poisson.ppf(LEVEL, mean)
        if law == "nb" and last.shape[1] > 1:
            variance = last.var(axis=1, ddof=1)
            wide = variance > mean * 1.0001
            m, v = mean[wide], variance[wide]
            pars[wide, at] = stats.nbinom.ppf(LEVEL, m**2 / (v - m), m / v)
        if scene.runs_out:
            seen[:, at] = np.minimum(demand[:, at], pars[:, at])
    return pars


def scenes() -> list[Scene]:
    draw = np.random.default_rng(5)
    level = draw.uniform(8, 40, (DISHES, 1)) * np.ones((1, SERVICES))
    weekday = draw.uniform(0.6, 1.4, (DISHES, 7))[:, [day.weekday() for day in DAYS]]
    found = [Scene(f"steady, variance/mean {ratio}", True, level, ratio) for ratio in (1, 2, 3, 4)]
    found.append(Scene("weekday pattern, 2", True, level * weekday, 2))
    found.append(Scene("small counts (0.3 to 4), 1", True, level / 10, 1))
    booked = np.round(draw.uniform(40, 120, (DISHES, SERVICES)))
    came = np.maximum(1, np.round(booked * draw.normal(1, 0.08, booked.shape)))
    share = draw.uniform(0.1, 0.35, (DISHES, 1))
    found.append(Scene("known covers, 1.5", True, share * booked, 1.5, booked, booked))
    found.append(Scene("covers within 8 %, 1.5", True, share * came, 1.5, came, booked))
    found.append(Scene("runs out, closed loop, 1", True, level, 1, runs_out=True))
    found.append(Scene("runs out, closed loop, 2", True, level, 2, runs_out=True))
    found.append(Scene("runs out, weekdays, 3", True, level * weekday, 3, runs_out=True))
    found.append(Scene("runs out, small counts, 1", True, level / 10, 1, runs_out=True))
    trend = 1 + 0.005 * np.arange(SERVICES)[None, :]
    found.append(Scene("rising 0.5 % a service, 2", False, level * trend, 2))
    found.append(Scene("falling 0.5 % a service, 2", False, level * (1.7 - 0.005 * np.arange(SERVICES)), 2))
    shift = np.where(np.arange(SERVICES) < 60, 1.0, 1.4)[None, :]
    found.append(Scene("40 % more from service 61, 2", False, level * shift, 2))
    found.append(Scene("30 % less from service 61, 2", False, level * np.where(shift > 1, 0.7, 1), 2))
    return found


def figures(pars: np.ndarray, demand: np.ndarray) -> tuple[float, float]:
    late, asked = pars[:, FROM:], demand[:, FROM:]
    return float((asked <= late).mean()), float(np.maximum(late - asked, 0).sum() / asked.sum())


def main() -> None:
    print(f"level {LEVEL}, from service {FROM + 1}: covered / left over, in %; {DISHES} dishes, {SERVICES} services")
    heads = ("truth", "history", "Poisson of 8", "neg.bin. of 8", "as they are", "dropped")
    print(f"{'':30} " + " ".join(f"{head:>13}" for head in heads))
    pooled: list[tuple[float, float, float, float]] = []
    for scene in scenes():
        demand, known = truth(scene)
        ways = [
            known,
            by_history(scene, demand),
            by_last_8(scene, demand, "poisson"),
            by_last_8(scene, demand, "nb"),
        ]
        if scene.runs_out:
            ways += [by_history(scene, demand, "as they are"), by_history(scene, demand, "dropped")]
        shown = [figures(pars, demand) for pars in ways]
        said = " ".join(f"{100 * kept:7.1f} /{100 * left:4.0f}" for kept, left in shown)
        print(f"{scene.name:30} {said}", flush=True)
        if scene.stationary:
            pooled.append((*shown[0], *shown[1]))
    of_truth, left_truth, ours, left_ours = np.array(pooled).mean(axis=0) * 100
    print(f"pooled where steady: truth {of_truth:.1f} / {left_truth:.0f}, history {ours:.1f} / {left_ours:.0f}")
    apart = max(abs(one[0] - one[2]) for one in pooled) * 100
    more = max(one[3] / one[1] - 1 for one in pooled) * 100
    print(f"largest distance of a set's coverage {apart:.1f} points; most left over beyond the truth's {more:+.0f} %")


if __name__ == "__main__":
    main()
