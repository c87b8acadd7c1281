"""A walk with play on a drawing of the ground: zones of the ball, the stations they send to, the ways between."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely

from standmark.cli.drawing.ground import Box, Ground
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, disc_ring
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.roam.card import CardLine
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.optimizer.work.walk import walk_between

DISC_MM = 2.4
SMALL_DISC_MM, SMALL_MM = 1.5, 2.3  # on a plan, beside the cameras themselves
DOT_MM, STEP_MM = 0.45, 1.5
TICK_SHARE = 0.07  # of the width of the ground: how far a zone's edge reaches in from the side where its number is


def walk_on_plan_marks(plan: Plan, period: PeriodPlan, ground: Ground, *, only: int | None) -> Iterator[Mark]:
    """Draw where cameras walk in a period: stations, ways, and along the side the zones of the ball, by number.

    Parameters
    ----------
    only : camera that is drawn; None: all that walk
    """
    for follow in plan.follow:
        index = camera_index(plan.match, follow)
        if only not in (None, index):
            continue
        scene = next(s for s in follow.scenes if any(p.key == period.period.key for p in s.periods))
        attack = scene.ours_x or 1
        stretches = zone_lines(follow, scene, attack)
        if len(stretches) > 1:
            for number, line in stretches:
                yield from _edge_marks(plan.match, line, number, index, ground, attack)
        yield from walk_marks(plan.match, scene, [line for _, line in stretches], index, ground, attack)
        yield from station_marks(scene, index, ground, attack, is_small=True)


def station_boxes(plan: Plan, period: PeriodPlan, ground: Ground) -> list[Box]:
    """Return the boxes that stations take on the page."""
    boxes = []
    for follow in plan.follow:
        scene = next(s for s in follow.scenes if any(p.key == period.period.key for p in s.periods))
        for place in card_places(scene):
            x, y = ground.point(*map(float, scene.stations.xyz_m[place, :2]))
            boxes.append((x - SMALL_DISC_MM, y - SMALL_DISC_MM, 2 * SMALL_DISC_MM, 2 * SMALL_DISC_MM))
    return boxes


def camera_index(match: Match, follow: FollowPlan) -> int:
    """Number of a camera, which gives its colour."""
    return [c.name for c in match.cameras].index(follow.camera.name)


def card_places(scene: SceneFollow) -> list[int]:
    """Places that a card sends to, for both directions of attack."""
    return sorted({place for line in scene.card.lines for place in (line.place, line.mirror)})


def zone_lines(follow: FollowPlan, scene: SceneFollow, attack: int) -> list[tuple[int, CardLine]]:
    """Lines of a card that hold while the ball is in a stretch of the ground, with their numbers."""
    zoned = [(n, line) for n, line in enumerate(scene.card.lines, start=1) if line.attack_x in (0, attack)]
    has_zones = len(follow.plays.flow.states) > 1
    return [(n, line) for n, line in zoned if has_zones and follow.plays.main_kind in line.kinds]


def zone_shape(match: Match, line: CardLine, attack: int) -> shapely.Polygon:
    """Stretch in which the ball is, right across the ground."""
    low, high = sorted((line.low_m * attack, line.high_m * attack))
    wide = match.sport.area.width_m
    return shapely.box(low, -wide, high, wide)


def zone_middle(match: Match, line: CardLine, attack: int) -> tuple[float, float]:
    """Where the number of a zone stands."""
    low, high = zone_on_ground(match, line)
    return attack * (low + high) / 2, -0.22 * match.sport.area.width_m


def walk_marks(
    match: Match, scene: SceneFollow, lines: Sequence[CardLine], index: int, ground: Ground, attack: int
) -> Iterator[Mark]:
    """Dotted ways between the stations of neighbouring stretches."""
    places = [line.place if attack > 0 else line.mirror for line in lines]
    for first, second in pairwise(places):
        if first != second:
            ends = [(float(x), float(y)) for x, y in scene.stations.xyz_m[[first, second], :2]]
            way = walk_between(match, *ends)
            dots = shapely.LineString([ground.point(*p) for p in way.points_m])
            points = [dots.interpolate(float(s)) for s in np.arange(0.0, dots.length, STEP_MM)]
            yield Fill(f"camera-{index}", tuple(disc_ring(p.x, p.y, DOT_MM, points=10) for p in points))


def station_marks(
    scene: SceneFollow, index: int, ground: Ground, attack: int, *, is_small: bool = False
) -> Iterator[Mark]:
    """Numbered discs where the lines of a card send to; the first lines lie on top."""
    radius, size = (SMALL_DISC_MM, SMALL_MM) if is_small else (DISC_MM, 3.3)
    for number, line in reversed(list(enumerate(scene.card.lines, start=1))):
        place = line.place if (line.attack_x or attack) > 0 else line.mirror
        x, y = ground.point(*map(float, scene.stations.xyz_m[place, :2]))
        yield Fill(f"station-{index}", (disc_ring(x, y, radius),))
        yield Words("on-camera", x, y + 0.35 * size, str(number), size, "middle")


def _edge_marks(match: Match, line: CardLine, number: int, index: int, ground: Ground, attack: int) -> Iterator[Mark]:
    """Number of a zone, and a short line at each end of it, inside the far side of the ground."""
    low, high = zone_on_ground(match, line)
    _, low_y, _, high_y = match.sport.area.outline.bounds
    reach_m = TICK_SHARE * (high_y - low_y)
    for x_m in (low, high):
        yield Line(f"ray-{index}", (ground.place(np.array([[attack * x_m, low_y], [attack * x_m, low_y + reach_m]])),))
    x, y = ground.point(attack * (low + high) / 2, low_y + reach_m / 2)
    yield Words(f"name-{index}", x, y + 0.35 * SMALL_MM, f"ball: {number}", SMALL_MM, "middle")


def zone_on_ground(match: Match, line: CardLine) -> tuple[float, float]:
    """Ends of a zone along the ground [m], as the attacking side counts them, cut at the ends of the ground."""
    edge = match.sport.area.outline.bounds[2]
    return max(line.low_m, -edge), min(line.high_m, edge)
