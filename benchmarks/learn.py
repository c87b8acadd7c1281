"""Simulated operators with known delay, wish and rates: do the learned ranges hold the truth, do plans serve them.

Example: .venv/bin/python benchmarks/learn.py --operators 200
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Operator
from standmark.optimizer.match.match import FixedSpot, Match
from standmark.optimizer.match.operator_file import OperatorProfile, with_wishes
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
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
from standmark.optimizer.scoring.logs.promise import PlannedCamera, PlannedMatch, PlannedPeriod, Promise, promises
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


def made_for(match: Match, delay_s: float, wish: float) -> Match:
    profile = OperatorProfile(Operator("own", delay_s), wish, {})
    cameras = tuple(replace(c, operator=profile.operator) for c in match.cameras)
    return replace(match, cameras=cameras, deliverable=with_wishes(match.deliverable, {"A": profile}))


def spot_of(match: Match) -> tuple[float, float, float]:
    spot = plan(match).periods[0].assignments[0].spot
    return (spot.x_m, spot.y_m, spot.z_m)


def worth_to(truth: Match, spot: tuple[float, float, float]) -> float:
    fixed = tuple(replace(c, fixed=FixedSpot(*spot)) for c in truth.cameras)
    return plan(replace(truth, cameras=fixed)).coverage


def plan_gains(planned: PlannedMatch, told: tuple[Promise, ...], n: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    match = replace(planned.match, rules=replace(planned.match.rules, moves="never"))
    usual, gains = spot_of(match), []
    rates = {m.key: m.rate_per_match for m in match.sport.moments}
    for _ in range(n):
        delay_s, wish = drawn(rng)
        logs = [simulated_log(rng, planned, told, chances_of(told, delay_s, wish), rates) for _ in range(10)]
        profile = learn(logs)
        truth = made_for(match, delay_s, wish)
        learned = spot_of(made_for(match, profile.delay_s.value, profile.wish.value))
        gains.append(worth_to(truth, learned) - worth_to(truth, usual))
    points = 100 * np.array(gains)
    moved = int((np.abs(points) > 1e-6).sum())
    print(
        f"{n} plans after ten matches: for the true operator {points.mean():+.3f} points on average, worst "
        f"{points.min():+.3f}, best {points.max():+.3f}; {moved} stand elsewhere than the plan made without"
    )


def drawn(rng: np.random.Generator) -> tuple[float, float]:
    delay_s = float(np.clip(PRIOR_DELAY_S * np.exp(DELAY_SPREAD * rng.standard_normal()), 0.052, 1.08))
    return delay_s, float(np.clip(np.exp(WISH_SPREAD * rng.standard_normal()), 0.52, 1.95))


def chances_of(told: tuple[Promise, ...], delay_s: float, wish: float) -> list[Floats]:
    both = [p for p in told if p.attack == 0]
    return [np.clip(chances_at(p, np.array([delay_s]), np.array([wish]))[0, 0], 0, 1) for p in both]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sport", default="football")
    parser.add_argument("--operators", type=int, default=200)
    parser.add_argument("--matches", type=int, nargs="+", default=[3, 10, 30])
    parser.add_argument("--plans", type=int, default=0, help="operators for whom plans are compared, about 5 s each")
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    rng = np.random.default_rng(options.seed)
    planned = planned_match(options.sport)
    told = tuple(promises(planned))
    if options.plans:
        plan_gains(planned, told, options.plans, options.seed)
    started = time.process_time()
    found: dict[int, list[tuple[bool, bool, float, float]]] = {n: [] for n in options.matches}
    for _ in range(options.operators):
        delay_s, wish = drawn(rng)
        moments = planned.match.sport.moments
        rates = {m.key: rng.gamma(max(PRIOR_MATCHES * m.rate_per_match, 1e-9)) / PRIOR_MATCHES for m in moments}
        chances = chances_of(told, delay_s, wish)
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
