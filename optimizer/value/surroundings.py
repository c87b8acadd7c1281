"""What the ground adds to the view in a period: fixed obstacles, the sport's own goals and nets, and the light."""

from __future__ import annotations

from datetime import UTC, timedelta

import numpy as np

from standmark.geometry.light.grandstand import Stand
from standmark.geometry.light.sun import sun_direction
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.ground_view import FixedSight, SunLight
from standmark.optimizer.value.quality import Surroundings
from standmark.sports.furniture import furniture_occluders
from standmark.sports.sport import Period
from standmark.sports.timeline import period_starts_min

SUN_STEP_MIN = 15.0  # the sun moves under 4 degrees in it


def period_surroundings(match: Match, period: Period) -> Surroundings:
    """Build the light and sight models of one period."""
    occluders = fixed_occluders(match)
    directions = sun_directions(match, period)
    return Surroundings(
        light=SunLight(directions, venue_stands(match)) if directions else None,
        sight=FixedSight(occluders) if occluders else None,
    )


def fixed_occluders(match: Match) -> tuple[Occluder, ...]:
    """Obstacles of the venue, its furniture, and what the sport's own goals, nets and boards hide."""
    area = match.sport.area
    own = tuple(occluder for target in area.targets for occluder in target.occluders)
    beside = tuple(wall for thing in match.venue.furniture for wall in furniture_occluders(thing, area.outline))
    return match.venue.obstacles + own + beside


def venue_stands(match: Match) -> tuple[Stand, ...]:
    """Stands of the venue that shade: as long as the playing area, the roof over the outer edge of its run-off."""
    x0, y0, x1, y1 = match.sport.area.outline.bounds
    left, low, right, high = match.sport.area.run_off.bounds
    edges = {
        "+x": ((right, y0), (right, y1)),
        "-x": ((left, y0), (left, y1)),
        "+y": ((x0, high), (x1, high)),
        "-y": ((x0, low), (x1, low)),
    }
    return tuple(Stand(edges[side], height) for side, height in sorted(match.venue.stand_height_m.items()))


def has_sun(match: Match) -> bool:
    """Is the place of the sun known and does it matter: outdoors, a place on earth, a start, no floodlight."""
    venue = match.venue
    is_placed = venue.latitude_deg is not None and venue.has_bearing
    return match.start is not None and is_placed and not (venue.is_indoor or venue.is_floodlit)


def sun_directions(match: Match, period: Period) -> tuple[tuple[float, float, float], ...]:
    """Unit vectors toward the sun, in the pitch frame, through a period; none when there is no sun to mind."""
    start, venue = match.start, match.venue
    if start is None or venue.latitude_deg is None or venue.longitude_deg is None or not has_sun(match):
        return ()
    begin_min = period_starts_min(match.sport.periods)[match.sport.periods.index(period)]
    n = max(2, round(period.minutes / SUN_STEP_MIN) + 1)
    directions = []
    for minutes in np.linspace(begin_min, begin_min + period.minutes, n):
        at = start.astimezone(UTC) + timedelta(minutes=float(minutes))  # clocks may change during the match
        x, y, z = sun_direction(
            at, latitude_deg=venue.latitude_deg, longitude_deg=venue.longitude_deg, bearing_deg=venue.bearing_deg
        )
        directions.append((float(x), float(y), float(z)))
    return tuple(directions)
