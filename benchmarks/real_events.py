"""Promise against reality: what a plan says it covers, what it captures of real events, and what habits capture.

    PYTHONPATH=.import python benchmarks/real_events.py [SPORT ...] [--data FOLDER] [--cameras N] [--halves]

For each sport with real positions the default match on the data's own ground is planned, and every kind of real event
is scored at the places where it happened. A row gives the share promised by the zones of the definition, the share
captured, their difference in points (the calibration error), a 95 % interval of the captured share (by match where
rows are known, from the number of events where only shares are) and the error that naive zones would have made: an even
spread over the half of the ground in which the moment happens. Where that is no larger, the zones are not needed for
the promise, and a small error says little about them. The last row of a sport weighs kinds of event by
what they are worth (rate x importance): what the plan sees, as far as there are real events for it. Below stands
how far the plan is ahead of each plain habit, on real events, with the same weights.

Rows of football and badminton are read from FOLDER (`football*.csv`, `badminton*.csv` with event, x_m, y_m and
match_id or match), by default the small samples in benchmarks/data; other sports are laid out from the shares by
place in benchmarks/data/zone_shares.toml. `--halves` estimates zones on every other match, plans with them, and holds
the promise against the matches kept aside: whether an estimate fits noise.
"""

from __future__ import annotations

import argparse
import csv
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from zone_shares import DATA, PAIRS, naive_area

from standmark.cli.input.zone_events import added, no_counts, zone_estimates
from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match, Venue, camera_copies
from standmark.optimizer.match.presets import DELIVERABLES
from standmark.optimizer.match.read_match import default_camera
from standmark.optimizer.match.usual_areas import default_areas
from standmark.optimizer.planning import plan
from standmark.optimizer.scoring.choice import (
    PeriodTask,
    Score,
    Stations,
    choice_score,
    period_tasks,
    plan_choice,
)
from standmark.optimizer.scoring.estimate import ZoneEstimate
from standmark.optimizer.scoring.event_sums import match_interval
from standmark.optimizer.scoring.events import UNKNOWN, Events, capture, event_kinds
from standmark.optimizer.scoring.habit import plain_habits
from standmark.optimizer.value.targets import moment_weight, sample_zone
from standmark.sports.library import load_sport
from standmark.sports.sport import Sport, Zone
from standmark.sports.timeline import length_shares

TOLERATED = 0.05  # calibration error that we promise to stay under
NAIVE_CELLS = 400
FINE = 4  # places along and across each bin of a share
ROWS = {
    "football": {
        "goal": ("goal",),
        "shot": ("shot",),
        "free-kick": ("free kick shot", "free kick goal"),
        "penalty-kick": ("penalty goal", "penalty missed"),
        "corner-delivery": ("corner",),
    },
    "badminton": {"serve": ("serve",), "smash": ("smash",), "defence": ("rally end landing",)},
}
PRESETS = {pair.sport: pair.preset for pair in PAIRS}


@dataclass(frozen=True, eq=False)
class Kind:
    """Real events of one key moment."""

    moment: str
    xy_m: Floats  # shape (n, 2)
    weight: Floats  # shape (n,), sums to 1
    match: NDArray[np.intp]  # shape (n,), UNKNOWN where only shares are known
    n_events: int


@dataclass(frozen=True, eq=False)
class Capture:
    """What positions capture of every kind, and of all by worth."""

    promised: Floats  # shape (n_kinds,)
    captured: Floats  # shape (n_kinds,)
    naive: Floats  # shape (n_kinds,), promised by zones that spread evenly over half the ground
    interval: list[tuple[float, float]]  # of each kind
    total: tuple[float, float, tuple[float, float]]  # promised, captured, interval
    total_naive: float


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("sports", nargs="*", help="keys of sports; default: all with data")
    parser.add_argument("--data", type=Path, default=DATA, help="folder with rows of football and badminton")
    parser.add_argument("--cameras", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--halves", action="store_true", help="estimate zones on half the matches, judge on the rest")
    options = parser.parse_args()
    shares = tomllib.loads((DATA / "zone_shares.toml").read_text(encoding="utf-8"))
    worst: list[tuple[float, str]] = []
    for key in options.sports or PRESETS:
        sport = ground_of(key, shares)
        kinds = list(row_kinds(key, options.data) if key in ROWS else share_kinds(key, shares))
        for cameras in options.cameras:
            worst += report(match_of(sport, cameras), kinds)
            if options.halves and key in ROWS:
                report_halves(sport, kinds, cameras)
    ranked = sorted(worst, key=lambda entry: -abs(entry[0]))
    over = [f"{name} {100 * error:+.1f}" for error, name in ranked if abs(error) > TOLERATED]
    print(f"\n{len(worst)} kinds of event; off by more than {100 * TOLERATED:g} points: {', '.join(over) or 'none'}")


def ground_of(key: str, shares: dict[str, Any]) -> Sport:
    """Load a sport at the size of the ground that its data were measured on."""
    table = shares[next(pair.table for pair in PAIRS if pair.sport == key)]
    return load_sport(key, preset=PRESETS[key], length_m=table["length_m"], width_m=table["width_m"])


def match_of(sport: Sport, cameras: int) -> Match:
    """Lay out the match that is planned when nothing but the sport is known."""
    venue = Venue("Default ground", default_areas(sport), is_indoor=sport.setting == "indoor")
    kit = camera_copies((default_camera(),), cameras)
    return Match(sport, sport.name, venue, kit, DELIVERABLES["highlights"])


def row_kinds(key: str, folder: Path) -> Iterator[Kind]:
    """Events of a sport whose rows may be used."""
    path = sorted(folder.glob(f"{key}*.csv"))[0]
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    names = {pair.moment: pair.is_mirrored for pair in PAIRS if pair.sport == key}
    for moment, events in ROWS[key].items():
        own = [row for row in rows if row["event"] in events]
        xy_m = np.array([(float(row["x_m"]), float(row["y_m"])) for row in own]).reshape(-1, 2)
        match = np.array([int(row.get("match_id") or row["match"]) for row in own], dtype=np.intp)
        if names.get(moment, False):  # where the other side plays the ball: only what passed the net, turned round
            kept = xy_m[:, 0] > 0
            xy_m, match = -xy_m[kept], match[kept]
        if len(xy_m):
            yield Kind(moment, xy_m, np.full(len(xy_m), 1 / len(xy_m)), match, len(xy_m))


def share_kinds(key: str, shares: dict[str, Any]) -> Iterator[Kind]:
    """Events laid out evenly over the bins of a sport of which only shares are known, left and right alike."""
    for pair in PAIRS:
        if pair.sport != key or pair.is_across_only:
            continue
        table = shares[pair.table]
        parts, weights = [], []
        for event in pair.events:
            for x0, x1, y0, y1, share in table[event]["bins"]:
                if pair.is_mirrored and x0 < 0:
                    continue
                xy_m = bin_places(x0, x1, y0, y1)
                parts.append(-xy_m if pair.is_mirrored else xy_m)
                weights.append(np.full(len(xy_m), share * table[event]["n"] / len(xy_m)))
        weight = np.concatenate(weights)
        n = sum(table[event]["n"] for event in pair.events)
        unknown = np.full(len(weight), UNKNOWN, dtype=np.intp)
        yield Kind(pair.moment, np.concatenate(parts), weight / weight.sum(), unknown, n)


def bin_places(x0: float, x1: float, y0: float, y1: float) -> Floats:
    """Places spread evenly over a bin and its mirror image."""
    steps = (np.arange(FINE) + 0.5) / FINE
    x, y = np.meshgrid(x0 + (x1 - x0) * steps, y0 + (y1 - y0) * steps)
    half = np.column_stack([x.ravel(), y.ravel()])
    return np.vstack([half, half * (1, -1)])


def report(match: Match, kinds: Sequence[Kind]) -> list[tuple[float, str]]:
    """Print what the plan promises and captures, and how far it is ahead of habits; return the errors."""
    sport, tasks = match.sport, period_tasks(match)
    choice = plan_choice(plan(match))
    mine = captured(match, choice, tasks, kinds)
    n = len(match.cameras)
    print(f"\n{sport.name}, {sport.area.length_m:g} x {sport.area.width_m:g} m, {n} camera(s)")
    print(
        f"  {'key moment':28}{'events':>8}{'promised':>10}{'captured':>10}{'error':>8}{'95 % interval':>17}{'naive':>9}"
    )
    rows = zip(kinds, mine.promised, mine.captured, mine.naive, mine.interval, strict=True)
    for kind, promise, share, naive, (low, high) in rows:
        print(f"  {kind.moment:28}{kind.n_events:8,}{line(promise, share, low, high)}{100 * (share - naive):+9.1f}")
    promise, share, (low, high) = mine.total
    total = f"{sum(kind.n_events for kind in kinds):8,}{line(promise, share, low, high)}"
    print(f"  {'all, by worth':28}{total}{100 * (share - mine.total_naive):+9.1f}")
    for habit in plain_habits(match, tasks):
        cameras = tuple(station.camera for station in habit.choice[0])
        if len(cameras) != n:
            continue
        theirs = captured(replace(match, cameras=cameras), habit.choice, tasks, kinds)
        refused = f" (not allowed: {habit.refused})" if habit.refused else ""
        print(f"  ahead of {habit.name}: {100 * (share - theirs.total[1]):+.1f} points{refused}")
    errors = zip(mine.captured - mine.promised, kinds, strict=True)
    return [(float(e), f"{sport.key} {kind.moment} ({n})") for e, kind in errors] + [
        (share - promise, f"{sport.key} all ({n})")
    ]


def line(promise: float, share: float, low: float, high: float) -> str:
    """Figures of one row in per cent."""
    interval = f"{100 * low:.1f} to {100 * high:.1f}"
    return f"{100 * promise:10.1f}{100 * share:10.1f}{100 * (share - promise):+8.1f}{interval:>17}"


def captured(match: Match, choice: Sequence[Stations], tasks: Sequence[PeriodTask], kinds: Sequence[Kind]) -> Capture:
    """Score positions on every kind of event."""
    scored = choice_score(match, choice, tasks=tasks)
    moments = {moment.key: (i, moment) for i, moment in enumerate(match.sport.moments)}
    worth = np.array([moment_weight(match, moments[kind.moment][1]) for kind in kinds])
    worth = worth / worth.sum()
    promised, shares, naive, intervals, each = [], [], [], [], []
    for kind in kinds:
        index, moment = moments[kind.moment]
        quality = event_quality(match, choice, scored, tasks, index, kind.xy_m, kind.weight, kind.match)
        even_xy_m, even = sample_zone(naive_area(match.sport, moment), cells=NAIVE_CELLS)
        naive.append(float(even @ event_quality(match, choice, scored, tasks, index, even_xy_m, even, None)))
        by_period = np.array([period.seen_by_moment[moment.key] for period in scored.periods])
        promised.append(float(length_shares(match.sport.periods) @ by_period))
        shares.append(float(kind.weight @ quality))
        intervals.append(interval(kind, quality))
        each.append(quality)
    total = float(worth @ promised), float(worth @ shares), total_interval(kinds, each, worth)
    return Capture(np.array(promised), np.array(shares), np.array(naive), intervals, total, float(worth @ naive))


def event_quality(
    match: Match,
    choice: Sequence[Stations],
    scored: Score,
    tasks: Sequence[PeriodTask],
    index: int,
    xy_m: Floats,
    weight: Floats,
    of_match: NDArray[np.intp] | None,
) -> Floats:
    """What positions capture of events of one moment, shape (n,)."""
    n = len(weight)
    of_match = np.full(n, UNKNOWN) if of_match is None else of_match
    events = Events(xy_m, np.full(n, index), np.full(n, UNKNOWN), weight, of_match)
    found = capture(match, choice, scored.periods, tasks, events, kinds=event_kinds(match, events))
    return np.asarray(found.captured[:, index])


def interval(kind: Kind, quality: Floats) -> tuple[float, float]:
    """By match where matches are known, else from the number of events."""
    if (kind.match == UNKNOWN).any():
        mean = float(kind.weight @ quality)
        error = float(np.sqrt(kind.weight @ (quality - mean) ** 2 / kind.n_events))
        return mean - 1.96 * error, mean + 1.96 * error
    return match_interval(np.bincount(kind.match, kind.weight * quality), np.bincount(kind.match, kind.weight))


def total_interval(kinds: Sequence[Kind], quality: Sequence[Floats], worth: Floats) -> tuple[float, float]:
    """Interval of the share by worth."""
    if any((kind.match == UNKNOWN).any() for kind in kinds):
        mean = sum(w * float(kind.weight @ q) for kind, q, w in zip(kinds, quality, worth, strict=True))
        half = [(high - low) / 2 for low, high in (interval(k, q) for k, q in zip(kinds, quality, strict=True))]
        error = float(np.sqrt((worth**2 * np.array(half) ** 2).sum()))
        return mean - error, mean + error
    match = np.concatenate([kind.match for kind in kinds])
    weight = np.concatenate([w * kind.weight for kind, w in zip(kinds, worth, strict=True)])
    return match_interval(np.bincount(match, weight * np.concatenate(quality)), np.bincount(match, weight))


def report_halves(sport: Sport, kinds: Sequence[Kind], cameras: int) -> None:
    """Estimate zones on even matches; hold the promise of plans with old and new zones against odd matches."""
    order = {m: i for i, m in enumerate(sorted({int(m) for kind in kinds for m in kind.match}))}
    halves = [[half(kind, order, k) for kind in kinds] for k in (0, 1)]
    estimates = estimated(sport, halves[0])
    for name, variant in (("zones as shipped", sport), ("zones from half the matches", with_zones(sport, estimates))):
        match = match_of(variant, cameras)
        choice = plan_choice(plan(match))
        found = captured(match, choice, period_tasks(match), halves[1])
        parts = zip(halves[1], found.captured - found.promised, strict=True)
        errors = ", ".join(f"{kind.moment} {100 * error:+.1f}" for kind, error in parts)
        promise, share, _ = found.total
        print(f"  {name}, matches kept aside: promised {100 * promise:.1f}, captured {100 * share:.1f} ({errors})")


def half(kind: Kind, order: dict[int, int], k: int) -> Kind:
    """Events of every other match."""
    own = np.array([order[int(m)] % 2 == k for m in kind.match])
    n = int(own.sum())
    return Kind(kind.moment, kind.xy_m[own], np.full(n, 1 / n), kind.match[own], n)


def estimated(sport: Sport, kinds: Sequence[Kind]) -> dict[str, ZoneEstimate]:
    """Zones from events, as `standmark zones` makes them."""
    counts = no_counts(sport)
    keys = [m.key for m in sport.moments]
    order = {m: i for i, m in enumerate(sorted({int(m) for kind in kinds for m in kind.match}))}
    for kind in kinds:
        n = len(kind.weight)
        match = np.array([order[int(m)] for m in kind.match], dtype=np.intp)
        moment = np.full(n, keys.index(kind.moment), dtype=np.intp)
        counts = added(counts, Events(kind.xy_m, moment, np.full(n, UNKNOWN), np.ones(n), match))
    return zone_estimates(counts, most=16)


def with_zones(sport: Sport, estimates: dict[str, ZoneEstimate]) -> Sport:
    """Return the sport with estimated zones in place of its own."""
    moments = []
    for moment in sport.moments:
        if moment.key in estimates:
            moment = replace(moment, zones=tuple(zones_of(estimates[moment.key], sport)))
        moments.append(moment)
    return replace(sport, moments=tuple(moments))


def zones_of(estimate: ZoneEstimate, sport: Sport) -> Iterator[Zone]:
    """Rectangles with their mirror images, cut at the playing area."""
    signs = {"none": [(1, 1)], "y": [(1, 1), (1, -1)], "xy": [(1, 1), (1, -1), (-1, 1), (-1, -1)]}[estimate.mirror]
    for box in estimate.boxes:
        shape = shapely.box(box.x_m[0], box.y_m[0], box.x_m[1], box.y_m[1])
        images = shapely.union_all([shapely.affinity.scale(shape, x, y, origin=(0, 0)) for x, y in signs])
        yield Zone(shapely.intersection(images, sport.area.outline), box.weight)


if __name__ == "__main__":
    main()
