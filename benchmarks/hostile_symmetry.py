"""What must hold of any ground, for `hostile.py`; yields as `hostile_runs.py` does.

Turned, moved, mirrored or on the other hemisphere it scores alike; one more camera never costs; no choice beats its
bound; and a search says what its choice scores.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.light.grandstand import Stand
from standmark.geometry.light.sun import pitch_direction
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.presets import MODES, OPERATORS, SUPPORTS, lens_from_words
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.search import SearchProblem, search, set_value
from standmark.optimizer.value.ground_view import FixedSight, SunLight
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.quality import Surroundings, quality_matrix, rows_factors
from standmark.optimizer.value.targets import Targets, period_targets

SPORTS = "football", "netball", "baseball", "tennis", "ice-hockey", "cricket"
LENSES = "16-35/2.8", "24-70/2.8", "70-200/2.8", "300/4", "100-400/5.6"
N_TARGETS, N_PLACES, N_OUTFITS, MOST_CAMERAS = 16, 8, 2, 3
SAME = 1e-9  # of a score, in double precision
SINGLE = 1e-5  # between the search, in single precision, and the score of its choice
MIRRORS = {"mirrored end to end": (-1, 1), "mirrored side to side": (1, -1)}


@dataclass(frozen=True, eq=False)
class Scene:
    """Targets of a sport, places with a camera each, and what stands in the way and shines."""

    match: Match
    targets: Targets
    positions_m: Floats  # shape (N_PLACES, 3)
    outfits: tuple[Outfit, ...]  # N_OUTFITS, in turn
    occluders: tuple[Occluder, ...]
    stands: tuple[Stand, ...]
    sky_deg: tuple[tuple[float, float], ...]  # azimuth from north, elevation
    bearing_deg: float
    turned: tuple[tuple[float, float], tuple[float, float]] = ((1.0, 0.0), (0.0, 1.0))  # of the sun, in the pitch frame

    @property
    def around(self) -> Surroundings:
        """Light and sight."""
        sky = [pitch_direction(*place, bearing_deg=self.bearing_deg) for place in self.sky_deg]
        suns = tuple((*map(float, np.array(self.turned) @ sun[:2]), float(sun[2])) for sun in sky)
        return Surroundings(
            SunLight(suns, self.stands) if suns else None, FixedSight(self.occluders) if self.occluders else None
        )

    def quality(self) -> Floats:
        """Quality of every place for every target, as plans are scored, shape (N_PLACES, N_TARGETS)."""
        film, outfits = self.match.deliverable, self.outfits * (N_PLACES // N_OUTFITS)
        found = rows_factors(self.positions_m, self.targets, outfits=outfits, deliverable=film, around=self.around)
        return np.array([factors.quality for factors in found])


@cache
def _all_targets(sport: str) -> tuple[Match, Targets]:
    match = default_match(sport)
    return match, period_targets(match, match.sport.periods[0])


def random_scene(rng: random.Random) -> Scene:
    """Some targets of a sport, seen from anywhere."""
    match, every = _all_targets(rng.choice(SPORTS))
    chosen = np.array(rng.choices(range(len(every.weight)), k=N_TARGETS))
    columns = {name: column[chosen] for name, column in vars(every).items() if name != "moment_keys"}
    columns["weight"] = columns["weight"] / columns["weight"].sum()
    far_x, far_y = (0.5 * size + 25.0 for size in (match.sport.area.length_m, match.sport.area.width_m))

    def corner() -> tuple[float, float]:
        return rng.uniform(-far_x, far_x), rng.uniform(-far_y, far_y)

    occluders = []
    for index in range(rng.randint(0, 3)):
        (x, y), base_m = corner(), rng.choice((0.0, 0.0, 2.0))
        footprint_m = ((x, y), (x + rng.uniform(0.5, 9), y), (x + 1.0, y + rng.uniform(0.5, 4)))
        top_m = base_m + rng.uniform(0.5, 4)
        occluders.append(Occluder(f"o{index}", footprint_m, base_m, top_m, rng.choice((0.0, 0.4)), True))
    heights_m = [rng.choice((0.5, 1.6, rng.uniform(0.3, 15))) for _ in range(N_PLACES)]
    lenses = [lens for lens in map(lens_from_words, LENSES) if lens]
    return Scene(
        match=match,
        targets=Targets(moment_keys=every.moment_keys, **columns),
        positions_m=np.array([(*corner(), height_m) for height_m in heights_m]),
        outfits=tuple(
            Outfit(
                rng.choice([*MODES.values()]), rng.choice(lenses), rng.choice([*SUPPORTS.values()]),
                rng.choice([*OPERATORS.values()]),
            )
            for _ in range(N_OUTFITS)
        ),
        occluders=tuple(occluders),
        stands=tuple(Stand((corner(), corner()), rng.uniform(3, 20)) for _ in range(rng.randint(0, 2))),
        sky_deg=tuple((rng.uniform(0, 360), rng.uniform(-5, 70)) for _ in range(rng.randint(0, 2))),
        bearing_deg=rng.uniform(0, 360),
    )  # fmt: skip


def moved(scene: Scene, turn: Floats, shift_m: tuple[float, float] = (0.0, 0.0)) -> Scene:
    """The same ground laid elsewhere.

    Parameters
    ----------
    turn : shape (2, 2), a rotation or reflection
    """

    def there(xy: Floats) -> Floats:
        return np.asarray(xy, float) @ turn.T + shift_m

    def places(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        return tuple((float(x), float(y)) for x, y in there(np.array(points)))

    targets = scene.targets
    looks = np.column_stack([np.cos(targets.facing_rad), np.sin(targets.facing_rad)]) @ turn.T
    new = replace(
        targets,
        xyz_m=np.column_stack([there(targets.xyz_m[:, :2]), targets.xyz_m[:, 2]]),
        facing_rad=np.arctan2(looks[:, 1], looks[:, 0]),
        attack_x=(targets.attack_x * round(turn[0, 0])).astype(np.int8) if abs(turn[0, 0]) == 1 else targets.attack_x,
    )
    return replace(
        scene,
        targets=new,
        positions_m=np.column_stack([there(scene.positions_m[:, :2]), scene.positions_m[:, 2]]),
        occluders=tuple(replace(o, footprint_m=places(o.footprint_m)) for o in scene.occluders),
        stands=tuple(replace(s, edge_m=places(s.edge_m)) for s in scene.stands),
        turned=tuple(map(tuple, (turn @ np.array(scene.turned)).tolist())),
    )


def turn_by(angle_rad: float) -> Floats:
    """Rotation of the ground, shape (2, 2)."""
    return np.array([[math.cos(angle_rad), -math.sin(angle_rad)], [math.sin(angle_rad), math.cos(angle_rad)]])


def on_other_hemisphere(scene: Scene) -> Scene:
    """The ground mirrored in a line from west to east, under the sky that is as far to the other side of it."""
    flipped = moved(scene, np.diag([1.0, -1.0]))
    sky_deg = tuple(((180.0 - azimuth) % 360.0, elevation) for azimuth, elevation in scene.sky_deg)
    return replace(flipped, sky_deg=sky_deg, bearing_deg=(180.0 - scene.bearing_deg) % 360.0, turned=scene.turned)


def faults_of(scene: Scene, rng: random.Random) -> list[str]:
    """Say what does not hold of a scene."""
    rows = tuple(rng.sample(range(N_PLACES), MOST_CAMERAS))
    before, faults = scene.quality(), []

    def compare(what: str, first: Floats, other: Scene) -> None:
        off = float(np.abs(first - other.quality()).max())
        if off > SAME:
            faults.append(f"{what}: scores differ by {off:.2g}")

    for what, signs in MIRRORS.items():
        compare(what, before, moved(scene, np.diag(np.array(signs, float))))
    compare("on the other hemisphere", before, on_other_hemisphere(scene))
    still = replace(scene, targets=replace(scene.targets, jump_share=np.zeros(N_TARGETS)))  # jumps go along x
    shift_m = rng.uniform(-300, 300), rng.uniform(-300, 300)
    if scene.occluders:  # past an edge a subject is four lines, which are the same again at every quarter turn
        compare("a quarter turned and moved", still.quality(), moved(still, turn_by(0.5 * math.pi), shift_m))
    free = replace(still, occluders=())
    compare("turned and moved", free.quality(), moved(free, turn_by(rng.uniform(0, 2 * math.pi)), shift_m))
    return faults + _search_faults(scene, before, rows)


def _search_faults(scene: Scene, scored: Floats, rows: tuple[int, ...]) -> list[str]:
    """Compare what a search says with what its choice scores, for one camera and for more.

    Parameters
    ----------
    scored : shape (N_PLACES, N_TARGETS), quality as plans are scored
    rows : any choice
    """

    def score(chosen: tuple[int, ...]) -> float:
        return float(scored[list(chosen)].max(axis=0) @ scene.targets.weight)

    film, around = scene.match.deliverable, scene.around
    every = Rows(scene.outfits, N_PLACES, ())
    quality = quality_matrix(scene.positions_m, scene.targets, rows=every, deliverable=film, around=around)
    quality = quality[[i % N_OUTFITS * N_PLACES + i for i in range(N_PLACES)]]
    faults, least = [], 0.0
    for n_cameras in range(1, MOST_CAMERAS + 1):
        result = search(SearchProblem(quality, scene.targets.weight, (np.arange(N_PLACES),) * n_cameras))
        worth = set_value(SearchProblem(quality, scene.targets.weight, (np.arange(N_PLACES),)), list(result.rows))
        if result.value < least - SAME:
            faults.append(f"camera {n_cameras} lowers the score from {least} to {result.value}")
        if result.upper_bound < result.value - SAME:
            faults.append(f"{result.value} is above its bound {result.upper_bound}")
        if abs(worth - result.value) > SAME:
            faults.append(f"the search says {result.value}, its rows are worth {worth}")
        if abs(score(result.rows) - result.value) > SINGLE:
            faults.append(f"the search says {result.value}, its choice scores {score(result.rows)}")
        if n_cameras == MOST_CAMERAS and score(rows) > result.upper_bound + SINGLE:
            faults.append(f"{score(rows)} is above the bound {result.upper_bound}")
        least = result.value
    return faults


def symmetries(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Check scenes made by chance."""
    for number in range(n):
        if time.monotonic() > end:
            return
        seed = rng.random()
        own = random.Random(seed)
        faults = faults_of(random_scene(own), own)
        yield f"scene {number}, seed {seed!r}: {'; '.join(faults)}" if faults else ""
