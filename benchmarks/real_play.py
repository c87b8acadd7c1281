"""Promise against play: what the value model says of kicks, and what a simulated operator gets of the real ones.

    PYTHONPATH=.import python benchmarks/real_play.py [--data FILE.npz] [--sport KEY] [--spots N]

Every kick in half a match of tracked play (see tracking.py for the form of a file; others work as well) is filmed from
named places and from N random ones by an operator who follows the ball late. Played: held, the kicker is in the frame
for 80 % of the 0.8 s round the kick; clear, the share of the kicker in sight past everybody else as they really stood;
size, the size factor at the zoom that the operator has then; seen, all three together. Promised: what the model says
of a key moment of the definition at the very same place. A kick counts as the moments of open play whose zones hold
its place, by how often the definition says they happen there.

Rows give promised / played for each zone of the pitch and place with the standard error of the difference in points.
The random places say whether the model ranks places as play does. The last line is one JSON object.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import spearmanr
from tracking import Follower, Kicks, Track, clear_of_people, follow, in_frame, kicks_of, offsets, read_track

from standmark.geometry.optics.camera import Lens, Operator
from standmark.optimizer.match.presets import DELIVERABLES, MODES, SUPPORTS
from standmark.optimizer.scoring.events import moment_density
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.quality import Surroundings, row_factors
from standmark.optimizer.value.size import framed_extent_m, reach_in_use_m_mm, size_share, wanted_size
from standmark.optimizer.value.targets import targets_at
from standmark.sports.library import load_sport
from standmark.sports.sport import KeyMoment, Sport

Floats = NDArray[np.float64]
DATA = Path(__file__).parent / "data" / "football_half.npz"
FILM = DELIVERABLES["highlights"]
LENS = Lens("24-400", (24.0, 400.0))
FACTORS = ("held", "clear", "size", "seen")
LEAST_KICKS = 10  # in a zone, for its cells to count
NEAR_GOAL = (0.157, 0.593)  # share of length and width of the penalty area in football
OFF_LINES_M, HEIGHTS_M = (2.0, 30.0), (0.6, 12.0)  # of the random places


@dataclass(frozen=True, eq=False)
class Result:
    """Promised and played share of each kick at each spot, by factor; shape (k, spots)."""

    promised: dict[str, Floats]
    played: dict[str, Floats]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--data", type=Path, default=DATA, help="tracked play; default: half a match of football")
    parser.add_argument("--sport", default="football", help="key of the sport")
    parser.add_argument("--spots", type=int, default=200, help="random places")
    options = parser.parse_args()
    track = read_track(options.data)
    length_m, width_m = track.size_m or (None, None)
    sport = load_sport(options.sport, length_m=length_m, width_m=width_m)
    kicks, who = kicks_of(track), Follower()
    named = named_spots(sport)
    spots_m = np.vstack([np.array(list(named.values())), random_spots(sport, options.spots)])
    weights = moment_weights(sport, kicks.xy_m)
    result = Result(promised(kicks, spots_m, weights, who), played(track, kicks, spots_m, weights, who))
    zone = zones_of(sport, kicks.xy_m)
    print(
        f"{sport.name}, {len(kicks.frame)} kicks; operator {who.delay_s:.2f} s behind steady movement, {LENS.name} mm"
    )
    report_cells(result, zone, list(named))
    rms, n_cells = errors(result, zone)
    rank = report_ranks(result, kicks, spots_m, len(named))
    told = {name: round(value, 2) for name, value in rms.items()}
    print(json.dumps({
        "rms_points": told, "rank_correlation": rank, "kicks": len(kicks.frame), "cells": n_cells
    }))  # fmt: skip


def named_spots(sport: Sport) -> dict[str, tuple[float, float, float]]:
    """Places that people use, for an attack toward +x."""
    end, side = sport.area.length_m / 2, sport.area.width_m / 2
    beside = 0.11 * sport.area.width_m + 4.0  # 8 m beside the post in football
    return {
        "end line beside the goal, 0.6": (end + 5, beside, 0.6),
        "end line beside the goal, 1.7": (end + 5, beside, 1.7),
        "off the corner, 1.7": (end + 3, -side - 3, 1.7),
        "side line, a fifth from the end, 1.7": (0.62 * end, -side - 4, 1.7),
        "side line at halfway, 1.7": (0.0, -side - 4, 1.7),
        "scaffold at halfway, 5": (0.0, -side - 6, 5.0),
        "stand at halfway, 10": (0.0, -side - 20, 10.0),
        "high behind the goal, 5": (end + 12, 0.0, 5.0),
    }


def random_spots(sport: Sport, n: int, *, seed: int = 1) -> Floats:
    """Places off the lines all round."""
    rng = np.random.default_rng(seed)
    end, side = sport.area.length_m / 2, sport.area.width_m / 2
    off, height = rng.uniform(*OFF_LINES_M, n), rng.uniform(*HEIGHTS_M, n)
    along, sign = rng.uniform(-1, 1, n), rng.choice([-1.0, 1.0], n)
    is_end = rng.uniform(size=n) < side / (side + end)
    x = np.where(is_end, sign * (end + off), along * end)
    y = np.where(is_end, along * side, sign * (side + off))
    return np.column_stack([x, y, height])


def zones_of(sport: Sport, xy_m: Floats) -> NDArray[np.str_]:
    """Name the part of the pitch of each kick."""
    length, width = sport.area.length_m, sport.area.width_m
    x, y = xy_m[:, 0], np.abs(xy_m[:, 1])
    is_middle = y < NEAR_GOAL[1] * width / 2
    zone = np.where(x < length / 6, "midfield", np.where(is_middle, "final third, middle", "final third, wing"))
    return np.where((x > length / 2 - NEAR_GOAL[0] * length) & is_middle, "near the goal", zone)


def moment_weights(sport: Sport, xy_m: Floats) -> list[tuple[KeyMoment, Floats]]:
    """Say as how much of each moment of open play a kick counts, each of shape (k,), together 1."""
    moments = [m for m in sport.moments if m.is_play and m.jump.share > 0]
    weight = np.array([m.rate_per_match * moment_density(m, xy_m) for m in moments])
    rate = np.array([m.rate_per_match for m in moments])[:, None]
    weight = np.where(weight.sum(axis=0) > 0, weight, rate)  # outside every zone: as often as they happen anywhere
    return list(zip(moments, weight / weight.sum(axis=0), strict=True))


def outfit_of(who: Follower) -> Outfit:
    return Outfit(MODES["full-frame-uhd"], LENS, SUPPORTS["tripod"], Operator("simulated", who.delay_s))


def promised(
    kicks: Kicks, spots_m: Floats, weights: list[tuple[KeyMoment, Floats]], who: Follower
) -> dict[str, Floats]:
    """What the model says of every kick from every spot."""
    told = {name: np.zeros((len(kicks.frame), len(spots_m))) for name in FACTORS}
    for moment, weight in weights:
        own = np.flatnonzero(weight > 0)
        if not len(own):
            continue
        targets = targets_at(moment, kicks.xy_m[own], turned=False)
        for j, spot in enumerate(spots_m):
            factors = row_factors(spot, targets, outfit=outfit_of(who), deliverable=FILM, around=Surroundings())
            for name in FACTORS:
                told[name][own, j] += weight[own] * getattr(factors, name)
    return told


def played(
    track: Track, kicks: Kicks, spots_m: Floats, weights: list[tuple[KeyMoment, Floats]], who: Follower
) -> dict[str, Floats]:
    """What the operator gets of every kick from every spot, with the zoom of the moments that the kick counts as."""
    aim = follow(track, kicks, spots_m, who)
    off_m, away_m = offsets(track, kicks, spots_m, aim)
    at = int(np.argmin(np.abs(aim.t_s)))
    clear = clear_of_people(kicks, spots_m)
    got = {name: np.zeros_like(clear) for name in FACTORS} | {"clear": clear}
    outfit = outfit_of(who)
    for moment, weight in weights:
        own = np.flatnonzero(weight > 0)
        if not len(own):
            continue
        extent_m = framed_extent_m(np.array([moment.extent_m]), FILM)
        wanted = wanted_size(np.array([moment.subject_height_m]), extent_m, mode=outfit.mode, deliverable=FILM)
        believed = aim.aim_m[:, own]
        zoom = reach_in_use_m_mm(believed.reshape(-1, 1), wanted, outfit.lens).reshape(believed.shape) / believed
        reach = zoom * away_m[:, own]
        held = in_frame(off_m[:, own], 0.5 * outfit.mode.width_mm * reach)
        size = size_share(reach[at].reshape(-1, 1), wanted).reshape(held.shape)
        share = weight[own][:, None]
        got["held"][own] += share * held
        got["size"][own] += share * size
        got["seen"][own] += share * held * size * clear[own]
    return got


def cells(zone: NDArray[np.str_]) -> list[tuple[str, NDArray[np.intp]]]:
    """Zones with kicks enough, and their kicks."""
    names = dict.fromkeys(["near the goal", "final third, middle", "final third, wing", "midfield"])
    found = [(name, np.flatnonzero(zone == name)) for name in names]
    return [(name, own) for name, own in found if len(own) >= LEAST_KICKS]


def report_cells(result: Result, zone: NDArray[np.str_], names: list[str]) -> None:
    """Print promised / played by zone and place."""
    print("promised / played in per cent, and the standard error of the difference in points")
    for title, own in [*cells(zone), ("all kicks", np.arange(len(zone)))]:
        print(f"\n{title}, {len(own)} kicks\n  {'':38}" + "".join(f"{name:>20}" for name in FACTORS))
        for j, name in enumerate(names):
            line = f"  {name:38}"
            for factor in FACTORS:
                one, two = result.promised[factor][own, j], result.played[factor][own, j]
                error = np.std(two - one, ddof=1) / np.sqrt(len(own))
                line += f"{100 * one.mean():9.0f} /{100 * two.mean():4.0f} +-{100 * error:3.1f}"
            print(line)
    few = [f"{name} {np.sum(zone == name)}" for name in dict.fromkeys(zone) if np.sum(zone == name) < LEAST_KICKS]
    if few:
        print(f"\ntoo few kicks for a row of their own: {', '.join(few)}")


def errors(result: Result, zone: NDArray[np.str_]) -> tuple[dict[str, float], int]:
    """Root mean square of promised less played over zones and spots, named and random [points]; and how many there are.

    A cell counts by its kicks: one of 11 kicks is 13 points uncertain by sampling alone. Printed beside it: the same
    with every cell alike, and for both what sampling would make of a model that is exactly right.
    """
    parts: list[dict[str, list[Floats]]] = [{name: [] for name in FACTORS} for _ in range(3)]
    square, chance, n_kicks = parts
    for _, own in cells(zone):
        for name in FACTORS:
            off = result.played[name][own] - result.promised[name][own]
            square[name].append(off.mean(axis=0) ** 2)
            chance[name].append(off.var(axis=0, ddof=1) / len(own))
            n_kicks[name].append(np.full(off.shape[1], len(own)))
    titles = ("each cell by its kicks", "  by sampling alone", "every cell alike", "  by sampling alone, alike")
    rms: dict[str, dict[str, float]] = {title: {} for title in titles}
    for name in FACTORS:
        squares, noise, weight = (np.concatenate(some[name]) for some in (square, chance, n_kicks))
        values = np.average(squares, weights=weight), np.average(noise, weights=weight), squares.mean(), noise.mean()
        for title, value in zip(titles, values, strict=True):
            rms[title][name] = 100 * float(np.sqrt(value))
    n_cells = sum(len(s) for s in square["seen"])
    print(f"\npromised less played, root mean square over {n_cells} zones x places, in points")
    for title, values in rms.items():
        print(f"  {title:38}" + "".join(f"{values[name]:20.1f}" for name in FACTORS))
    return rms[titles[0]], n_cells


def report_ranks(result: Result, kicks: Kicks, spots_m: Floats, n_named: int) -> float | None:
    """Say how the model ranks random places, and what a greedy choice would have got; return the rank correlation."""
    told, got = (values["seen"].mean(axis=0)[n_named:] for values in (result.promised, result.played))
    if len(told) < 3:
        return None
    near = np.hypot(*(kicks.xy_m[:, None] - spots_m[None, n_named:, :2]).transpose(2, 0, 1)).mean(axis=0)
    rank = round(float(spearmanr(told, got).statistic), 3)
    best, greedy = int(np.argmax(told)), int(np.argmin(near))
    print(
        f"\n{len(told)} random places: rank correlation of promise and play {rank:.2f}; play gives"
        f" {100 * got[best]:.0f} % at the place that the model puts first, {100 * got.max():.0f} % at the best in"
        f" hindsight, {100 * got[greedy]:.0f} % at the one nearest to where the events are (greedy),"
        f" {100 * got.mean():.0f} % on average"
    )
    return rank


if __name__ == "__main__":
    main()
