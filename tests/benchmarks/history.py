"""How pars from history fare on simulated demand whose true distribution is known.

Prints, for each set of kitchens (seeded; six dishes each, which share one margin) and 130 services, at levels 0.8, 0.9
and 0.95 from service 27 on: the coverage (share of sittings whose par was enough) and what was left over (portions
beyond demand, as a share of demand), beside the quantile of the truth, as far as it can be known beforehand (where
bookings are noisy, of the mixture over the guests that may come of them); the same for services 8 to 26; the pinball
loss in % of the mean demand; and what one dish-service costs. At last what of the left over is whose: of the means
that cannot be known better with such fades (the root of 1 + their squared error over the variance), and of the
margin around them. Run it by hand:
python tests/benchmarks/history.py [kitchens] [seed]
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from datetime import date, timedelta
from time import process_time

import numpy as np
from scipy import stats

from prepboard.plan.demand.bookings import above_usual, learn_booked, weekday_key
from prepboard.plan.demand.history import FROM_HISTORY, guess, learn, learn_kitchen, learn_margin, outlook, surprise
from prepboard.plan.demand.portions import covering_and_promise
from prepboard.plan.given.learned import ClosedEvening, Common

LEVELS, EARLY, FROM, DISHES, SERVICES = (0.8, 0.9, 0.95), 8, 26, 6, 130
KITCHENS = int(sys.argv[1]) if len(sys.argv) > 1 else 12
SEED = int(sys.argv[2]) if len(sys.argv) > 2 else 2026
FIRST_DAY = date(2026, 1, 1)
DAYS = [FIRST_DAY + timedelta(days=n) for n in range(SERVICES)]


@dataclass
class Scene:
    """One kind of demand: the means, in portions, of each kitchen, dish and service, and variance over the mean."""

    name: str
    means: np.ndarray
    ratio: float
    booked: np.ndarray | None = None
    """(kitchen, service) booked covers; None where they are not used."""
    noise: float = 0.0
    """By how much of themselves guests may be booked too high or too low."""
    share: np.ndarray | None = None
    """(kitchen, dish) portions a guest, where bookings are noisy."""
    runs_out: bool = False
    steady: bool = True
    spent: list[float] = field(default_factory=list)


def law(scene: Scene):
    return _law(np.maximum(scene.means, 1e-6), scene.ratio)


def _law(means: np.ndarray, ratio: float):
    if ratio > 1:
        return stats.nbinom(means / (ratio - 1), 1 / ratio)
    if ratio == 1:
        return stats.poisson(means)
    n = np.ceil(means / (1 - ratio)).astype(int)
    return stats.binom(n, means / n)


def true_pars(scene: Scene, level: float) -> np.ndarray:
    """The quantile of what could be known: of the truth, but guests are known by their bookings only. Given b booked,
    each of the 40 to 120 guests g is as likely as 1/g where b/g is within the noise."""
    if not scene.noise:
        return law(scene).ppf(level).astype(int)
    guests = np.arange(40, 121)
    likely = abs(scene.booked[..., None] / guests - 1) <= scene.noise + 0.5 / guests
    weights = likely / guests / (likely / guests).sum(axis=-1, keepdims=True)
    cells = np.arange(int(8 * scene.means.max()))[:, None]
    pars = np.zeros(scene.means.shape, int)
    for kitchen, dish in np.ndindex(scene.means.shape[:2]):
        by_guests = _law(scene.share[kitchen, dish] * guests, scene.ratio).cdf(cells)
        pars[kitchen, dish] = (weights[kitchen] @ by_guests.T >= level).argmax(axis=-1)
    return pars


def of_kitchen(scene: Scene, demand: np.ndarray, kitchen: int, level: float) -> tuple[np.ndarray, ...]:
    """The pars of one kitchen's dishes, service by service, the chance that each promised in whole portions, and the
    means; in a closed loop they sell no more than their par."""
    common, pars = Common(), np.zeros(demand.shape[1:], int)
    promised, means = np.zeros(demand.shape[1:]), np.zeros(demand.shape[1:])
    known = [guess(float(demand[kitchen, dish, :3].mean()) + 0.3) for dish in range(DISHES)]
    for at, day in enumerate(DAYS):
        key, booked = weekday_key("dinner", day), float(scene.booked[kitchen, at]) if scene.booked is not None else 0.0
        above = above_usual(common, "dinner", key, booked)
        surprises, before = [], list(known)
        for dish in range(DISHES):
            seen = outlook(known[dish], key, above, common)
            asked = int(demand[kitchen, dish, at])
            par = seen.par(level)
            out = scene.runs_out and asked >= par
            evening = ClosedEvening("dinner", day, min(asked, par) if out else asked, par, out)
            pars[dish, at], promised[dish, at] = covering_and_promise(seen.mean, seen.ratio, level)
            means[dish, at] = seen.mean
            _par, surprised = surprise(seen, evening, level)
            if known[dish].count >= FROM_HISTORY:
                surprises.append(surprised)
            known[dish] = learn(known[dish], evening, key, seen, above, hit=asked <= par)
        common = learn_kitchen(learn_margin(common, surprises), key, zip(before, known, strict=True))
        common = learn_booked(common, "dinner", key, booked)
    return pars, promised, means


def scenes() -> list[Scene]:
    draw = np.random.default_rng(SEED)
    flat = np.ones((1, 1, SERVICES))
    level = draw.uniform(8, 40, (KITCHENS, DISHES, 1)) * flat
    weekday = draw.uniform(0.6, 1.4, (KITCHENS, 1, 7))[:, :, [day.weekday() for day in DAYS]]
    own = draw.uniform(0.9, 1.1, (KITCHENS, DISHES, 7))[:, :, [day.weekday() for day in DAYS]]
    found = [Scene(f"steady, variance/mean {ratio}", level, ratio) for ratio in (0.5, 1, 2, 3, 4)]
    found.append(Scene("weekday pattern, 2", level * weekday * own, 2))
    found.append(Scene("small counts (0.3 to 4), 1", level / 10, 1))
    guests = np.round(draw.uniform(40, 120, (KITCHENS, SERVICES)))
    share = draw.uniform(0.1, 0.35, (KITCHENS, DISHES, 1))
    means = share * guests[:, None, :]
    for name, said, noise in (
        ("known", guests, 0.0),
        ("60 % of guests", 0.6 * guests, 0.0),
        ("within 20 %", guests * draw.uniform(0.8, 1.2, guests.shape), 0.2),
        ("within 40 %", guests * draw.uniform(0.6, 1.4, guests.shape), 0.4),
    ):
        booked = np.maximum(1, np.round(said))
        found.append(Scene(f"covers {name}, 1.5", means, 1.5, booked, noise, share[..., 0]))
    for ratio in (1, 2):
        found.append(Scene(f"runs out, closed loop, {ratio}", level, ratio, runs_out=True))
    found.append(Scene("runs out, weekdays, 3", level * weekday * own, 3, runs_out=True))
    found.append(Scene("runs out, small counts, 1", level / 10, 1, runs_out=True))
    trend = 1 + 0.005 * np.arange(SERVICES)[None, None, :]
    found.append(Scene("rising 0.5 % a service, 2", level * trend, 2, steady=False))
    found.append(Scene("falling 0.5 % a service, 2", level * (1.7 - 0.005 * np.arange(SERVICES)), 2, steady=False))
    shift = np.where(np.arange(SERVICES) < 60, 1.0, 1.4)[None, None, :]
    found.append(Scene("40 % more from service 61, 2", level * shift, 2, steady=False))
    found.append(Scene("30 % less from service 61, 2", level * np.where(shift > 1, 0.7, 1), 2, steady=False))
    return found


def figures(pars: np.ndarray, scene: Scene, level: float, services: slice) -> tuple[float, float, float]:
    """What the truth makes of these pars: covered, left over and pinball loss, by its own chances and not by one draw
    of them. (The mean of what is at most q: the mean times the chance of at most q - 1 of the law one step on.)"""
    of, means = pars[..., services], np.maximum(scene.means[..., services], 1e-6)
    covered, total = _law(means, scene.ratio).cdf(of), means.sum()
    over = of * covered - means * _one_step_on(means, scene.ratio).cdf(of - 1)
    under = over + means - of
    loss = level * under.sum() + (1 - level) * over.sum()
    return float(covered.mean()), float(over.sum() / total), float(loss / total)


def _one_step_on(means: np.ndarray, ratio: float):
    if ratio > 1:
        return stats.nbinom(means / (ratio - 1) + 1, 1 / ratio)
    if ratio == 1:
        return stats.poisson(means)
    n = np.ceil(means / (1 - ratio)).astype(int)
    return stats.binom(n - 1, means / n)


def main() -> None:
    print(
        f"{KITCHENS} kitchens of {DISHES} dishes, {SERVICES} services, seed {SEED}; covered / left over / pinball, in %"
    )
    print(f"{'':30}" + "".join(f"  level {level}: truth, history from 27 (8 to 26)" for level in LEVELS))
    pooled: dict[float, list[tuple[float, ...]]] = {level: [] for level in LEVELS}
    spent = 0.0
    for number, scene in enumerate(scenes()):
        of_truth = law(scene)
        demand = of_truth.rvs(size=scene.means.shape, random_state=np.random.default_rng([SEED, number])).astype(int)
        said = f"{scene.name:30}"
        for level in LEVELS:
            began = process_time()
            both = [of_kitchen(scene, demand, kitchen, level) for kitchen in range(KITCHENS)]
            spent += process_time() - began
            pars, promised, means = (np.stack(part) for part in zip(*both, strict=True))
            true = figures(true_pars(scene, level), scene, level, slice(FROM, None))
            ours = figures(pars, scene, level, slice(FROM, None))
            early = figures(pars, scene, level, slice(EARLY, FROM))
            missed = (means - scene.means)[..., FROM:] ** 2 / (scene.means * scene.ratio)[..., FROM:]
            by_means = 0.0 if scene.noise else np.sqrt(1 + missed.mean()) - 1
            pooled[level].append((*true, *ours, early[0], promised[..., FROM:].mean(), by_means))
            said += f"  {100 * true[0]:5.1f} /{100 * true[1]:3.0f} /{100 * true[2]:5.2f},"
            said += f" {100 * ours[0]:5.1f} /{100 * ours[1]:3.0f} /{100 * ours[2]:5.2f} ({100 * early[0]:.1f})"
        print(said, flush=True)
    for level, of_level in pooled.items():
        pool = (100 * np.array(of_level)).mean(axis=0)
        true_kept, true_left, true_loss, kept, left, loss, early, promise, _by_means = pool
        by_means = 100 * np.mean([one[8] for one, scene in zip(of_level, scenes(), strict=True) if not scene.noise])
        apart = max(abs(one[3] - one[7]) for one in of_level) * 100
        print(
            f"level {level}: pooled truth {true_kept:.1f} / {true_left:.1f} / {true_loss:.2f}, history {kept:.1f} /"
            f" {left:.1f} / {loss:.2f}, early {early:.1f};"
            f" promised {promise:.1f}, worst set {apart:.1f} points from that;"
            f" left over {100 * (left / true_left - 1):+.1f} % of the truth's (of exact bookings the means explain"
            f" {by_means:+.1f} %); worst early set {100 * min(one[6] for one in of_level):.1f}"
        )
    learned = len(LEVELS) * len(scenes()) * KITCHENS * DISHES * SERVICES
    print(f"{1e6 * spent / learned:.0f} µs a dish-service, its par worked out three times")


if __name__ == "__main__":
    main()
