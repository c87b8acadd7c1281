"""Modelled against real: where key moments happen, sport by sport, in shares by place.

    PYTHONPATH=.import python benchmarks/zone_shares.py [SPORT ...] [--fit] [--halves]

Prints for each moment the distance between the zones of the definition and the real shares: half the sum of the
differences over the listed bins and the rest, 0 the same, 1 nothing in common. Beside it stands what sampling alone
makes of such a distance for a perfect model (n events, normal approximation), a uniform spread over the attacked
half as the naive model, and the bins where they differ most. `--fit` prints the weights that fit best with the zones'
shapes as they are; `--halves` fits on every other match of the samples and measures on the rest, which
tells whether the number of parts fits noise.
"""

from __future__ import annotations

import argparse
import csv
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.sports.library import load_sport
from standmark.sports.sport import KeyMoment, Sport

DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Pair:
    """One key moment, and the real events it is held against."""

    sport: str
    preset: str
    moment: str
    table: str
    events: tuple[str, ...]
    is_mirrored: bool = False  # the events are where the other side plays the ball
    is_across_only: bool = False  # only the place across is comparable
    note: str = ""


PAIRS = (
    Pair("football", "adult", "goal", "football", ("goal",)),
    Pair("football", "adult", "shot", "football", ("shot",)),
    Pair("football", "adult", "free-kick", "football", ("free kick",)),
    Pair("badminton", "singles", "serve", "badminton", ("serve",)),
    Pair("badminton", "singles", "smash", "badminton", ("smash",)),
    Pair("badminton", "singles", "defence", "badminton", ("rally end landing",), is_mirrored=True,
         note="where rallies end, only those that passed the net"),
    Pair("basketball", "international", "basket", "basketball", ("two-point made",)),
    Pair("basketball", "international", "shot", "basketball", ("two-point missed", "three-point missed")),
    Pair("basketball", "international", "three-point", "basketball", ("three-point made", "three-point missed")),
    Pair("ice-hockey", "north-american", "goal", "ice_hockey", ("goal",)),
    Pair("ice-hockey", "north-american", "shot", "ice_hockey", ("shot",)),
    Pair("handball", "adult", "goal", "handball", ("goal",)),
    Pair("handball", "adult", "shot", "handball", ("shot",)),
    Pair("tennis", "singles", "serve", "tennis", ("serve",)),
    Pair("tennis", "singles", "winner", "tennis", ("last stroke",)),
    Pair("volleyball", "any-match", "attack", "volleyball", ("attack",)),
    Pair("volleyball", "any-match", "serve", "volleyball", ("serve",), is_across_only=True,
         note="the data put servers inside the court, which the rules forbid"),
    Pair("volleyball", "any-match", "dig", "volleyball", ("attack landing",), is_mirrored=True),
    Pair("volleyball", "any-match", "reception", "volleyball", ("serve landing",), is_mirrored=True),
    Pair("american-football", "professional", "snap", "american_football", ("snap",), note="highlight plays only"),
    Pair("american-football", "professional", "pass", "american_football", ("pass release",), note="highlight plays"),
    Pair("american-football", "professional", "catch", "american_football", ("catch",), note="highlight plays only"),
    Pair("american-football", "professional", "touchdown", "american_football", ("touchdown", "touchdown catch"),
         note="highlight plays only, so wide ones are over-told: not fitted"),
    Pair("lacrosse", "men", "shot", "lacrosse", ("shot",), note="one team, few shots: not fitted"),
)  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("sports", nargs="*", help="keys of sports; default: all with data")
    parser.add_argument("--fit", action="store_true", help="print the best weights for the zones as they are")
    parser.add_argument(
        "--halves", action="store_true", help="fit on half of the sample's matches, measure on the rest"
    )
    options = parser.parse_args()
    shares = tomllib.loads((DATA / "zone_shares.toml").read_text(encoding="utf-8"))
    print("sport              moment        events   distance  sampling  uniform  inside zones")
    for pair in PAIRS:
        if not options.sports or pair.sport in options.sports:
            compare(pair, shares[pair.table], fit=options.fit)
    if options.halves:
        for sport, preset, moment, event in (
            ("football", "adult", "goal", "goal"), ("football", "adult", "shot", "shot"),
            ("badminton", "singles", "smash", "smash"),
        ):  # fmt: skip
            compare_halves(sport, preset, moment, event)


def compare(pair: Pair, table: dict[str, Any], *, fit: bool) -> None:
    """Print one row, the three bins with the largest differences, and the best weights if asked."""
    bins, real, n = real_shares(pair, table)
    sport = load_sport(pair.sport, preset=pair.preset)
    moment = next(m for m in sport.moments if m.key == pair.moment)
    inside = overlap([zone.shape for zone in moment.zones], bins)
    weights = np.array([zone.weight for zone in moment.zones])
    model = weights @ inside
    uniform = overlap([naive_area(sport, moment)], bins)[0]
    print(
        f"{pair.sport:18} {pair.moment:12} {n:7d} {distance(model, real):10.3f} {sampling_distance(real, n):9.3f}"
        f" {distance(uniform, real):8.3f} {model.sum():8.3f}  {pair.note}"
    )
    for index in np.argsort(-np.abs(model - real))[:3]:
        x0, x1, y0, y1 = bins[index]
        place = f"|y| {y0:g} to {y1:g}" if pair.is_across_only else f"x {x0:g} to {x1:g}, |y| {y0:g} to {y1:g}"
        print(f"    {place}: modelled {model[index]:.3f}, real {real[index]:.3f}")
    if fit:
        print(f"    best weights {np.round(fit_weights(inside, real), 3).tolist()}, now {weights.round(3).tolist()}")


def compare_halves(sport: str, preset: str, moment_key: str, event: str) -> None:
    """Fit on odd matches, measure on even ones; a fit that learns noise is worse there than the definition."""
    with (DATA / f"{sport}_sample.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["event"] == event]
    moment = next(m for m in load_sport(sport, preset=preset).moments if m.key == moment_key)
    shapes, weights = [z.shape for z in moment.zones], np.array([z.weight for z in moment.zones])
    scores = {}
    for half in (0, 1):
        points = np.array([(float(r["x_m"]), float(r["y_m"])) for r in rows if int(r["match"]) % 2 == half])
        scores[half] = np.array([shapely.contains_xy(s, *points.T) / s.area for s in shapes])
    fitted = fit_weights(scores[0], np.full(scores[0].shape[1], 1 / scores[0].shape[1]))
    own, other = (mean_log(w, scores[1]) for w in (weights, fitted))
    n = [score.shape[1] for score in scores.values()]
    print(
        f"{sport} {moment_key}: fitted on {n[0]}, mean log density on {n[1]} others: {other:.3f}; as shipped {own:.3f}"
    )


def real_shares(pair: Pair, table: dict[str, Any]) -> tuple[list[tuple[float, float, float, float]], Floats, int]:
    """Bins and the shares of all events of a pair together."""
    total = sum(table[event]["n"] for event in pair.events)
    found: dict[tuple[float, float, float, float], float] = {}
    for event in pair.events:
        for x0, x1, y0, y1, share in table[event]["bins"]:
            if pair.is_mirrored and x0 < 0:
                continue
            x_bin = (-100.0, 100.0) if pair.is_across_only else (-x1, -x0) if pair.is_mirrored else (x0, x1)
            key = (*x_bin, y0, y1)
            found[key] = found.get(key, 0.0) + share * table[event]["n"] / total
    shares = np.array(list(found.values()))
    return list(found), shares / shares.sum() if pair.is_mirrored else shares, total


def overlap(shapes: list[BaseGeometry], bins: list[tuple[float, float, float, float]]) -> Floats:
    """Share of each shape's area in each bin, shape (n_shapes, n_bins); a bin lies on both sides of the axis."""
    boxes = [shapely.union(shapely.box(a, c, b, d), shapely.box(a, -d, b, -c)) for a, b, c, d in bins]
    return np.array([shapely.area(shapely.intersection(shape, boxes)) / shape.area for shape in shapes])


def naive_area(sport: Sport, moment: KeyMoment) -> BaseGeometry:
    """Half of the playing area in which most of the moment lies."""
    is_far = sum(zone.weight * zone.shape.centroid.x for zone in moment.zones) > 0
    low_x, low_y, high_x, high_y = sport.area.outline.bounds
    return shapely.clip_by_rect(sport.area.outline, 0 if is_far else low_x, low_y, high_x if is_far else 0, high_y)


def distance(model: Floats, real: Floats) -> float:
    """Total variation distance over the bins and what lies in none of them."""
    return float(0.5 * (np.abs(model - real).sum() + abs(model.sum() - real.sum())))


def sampling_distance(real: Floats, n: int) -> float:
    """Distance that n events drawn from the real shares have from them on average."""
    return float(0.5 * np.sqrt(2 / np.pi) * np.sqrt(real * (1 - real) / n).sum())


def fit_weights(inside: Floats, real: Floats, *, steps: int = 3000) -> Floats:
    """Weights of most likelihood for parts of fixed shape: expectation-maximisation of a mixture.

    A. P. Dempster, N. M. Laird, D. B. Rubin, J. Royal Statistical Society B 39:1-38 (1977).
    """
    weights = np.full(len(inside), 1 / len(inside))
    for _ in range(steps):
        model = weights @ inside
        weights = weights * (inside @ np.divide(real, model, out=np.zeros_like(real), where=model > 0))
        weights /= weights.sum()
    return weights


def mean_log(weights: Floats, density: Floats) -> float:
    """Mean log density of points; a point outside every part counts as one in ten thousand per square metre."""
    return float(np.log(np.maximum(weights @ density, 1e-4)).mean())


if __name__ == "__main__":
    main()
