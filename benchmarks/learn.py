"""Simulated operators with known delay, wish and rates: do the ranges that are learned hold the truth.

Example: .venv/bin/python benchmarks/learn.py --operators 200
"""

from __future__ import annotations

import argparse
import time

import numpy as np

from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.scoring.logs.filmed import FACTOR_OF, Count
from standmark.optimizer.scoring.logs.profile import (
    DELAY_SPREAD,
    PRIOR_DELAY_S,
    PRIOR_MATCHES,
    WISH_SPREAD,
    FilmedMatch,
    chances_at,
    learn,
)
from standmark.optimizer.scoring.logs.promise import PlannedCamera, PlannedMatch, PlannedPeriod, promises
from standmark.optimizer.value.outfit import camera_outfits

AT_M = (0.0, -38.0, 2.0)
SAID = 0.5  # share of losses for which a reason is given


def planned_match(sport: str) -> PlannedMatch:
    match = default_match(sport)
    outfit = max(camera_outfits(match, match.cameras[0]), key=lambda o: o.lens.focal_mm[1])
    seen = {m.key: 0.99 for m in match.sport.moments}
    periods = [PlannedPeriod(p, (PlannedCamera("A", AT_M, outfit, seen),)) for p in match.sport.periods]
    return PlannedMatch("0" * 16, match, tuple(periods))


def simulated_log(rng, planned, told, chances, rates):
    counts = []
    both = [p for p in told if p.attack == 0]
    for promise, chance in zip(both, chances, strict=True):
        happened = int(rng.poisson(rates[promise.moment] / len(planned.periods)))
        got, *lost = (int(n) for n in rng.multinomial(happened, chance / chance.sum()))
        why = {reason: int(rng.binomial(n, SAID)) for reason, n in zip(FACTOR_OF, lost, strict=True)}
        counts.append(Count("A", promise.period, promise.moment, 0, happened, got, why))
    return FilmedMatch(planned, told, tuple(counts))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sport", default="football")
    parser.add_argument("--operators", type=int, default=200)
    parser.add_argument("--matches", type=int, nargs="+", default=[3, 10, 30])
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    rng = np.random.default_rng(options.seed)
    planned = planned_match(options.sport)
    told = tuple(promises(planned))
    both = [p for p in told if p.attack == 0]
    started = time.process_time()
    found: dict[int, list[tuple[bool, bool, float, float]]] = {n: [] for n in options.matches}
    for _ in range(options.operators):
        delay_s = float(np.clip(PRIOR_DELAY_S * np.exp(DELAY_SPREAD * rng.standard_normal()), 0.052, 1.08))
        wish = float(np.clip(np.exp(WISH_SPREAD * rng.standard_normal()), 0.52, 1.95))
        moments = planned.match.sport.moments
        rates = {m.key: rng.gamma(max(PRIOR_MATCHES * m.rate_per_match, 1e-9)) / PRIOR_MATCHES for m in moments}
        chances = [np.clip(chances_at(p, np.array([delay_s]), np.array([wish]))[0, 0], 0, 1) for p in both]
        logs = [simulated_log(rng, planned, told, chances, rates) for _ in range(max(options.matches))]
        for n in options.matches:
            profile = learn(logs[:n])
            low, high = profile.delay_s.after_interval
            wished = profile.wish.after_interval[0] <= wish <= profile.wish.after_interval[1]
            own = profile.rates[options.sport]
            held = np.mean([r.after_interval[0] <= rates[k] <= r.after_interval[1] for k, r in own.items()])
            found[n].append((low <= delay_s <= high, wished, float(held), abs(profile.delay_s.after / delay_s - 1.0)))
    print(f"{options.operators} operators, {time.process_time() - started:.0f} s of processor time")
    print("matches  delay held  wish held  rates held  delay off: median  root mean square")
    for n, rows in found.items():
        delay, wished, held, off = np.array(rows, float).T
        shares = f"{delay.mean():10.1%}  {wished.mean():9.1%}  {held.mean():10.1%}"
        print(f"{n:7d}  {shares}  {np.median(off):17.1%}  {np.sqrt((off**2).mean()):16.1%}")


if __name__ == "__main__":
    main()
