"""What every other spot would give: a table small enough to be looked into without computing anything.

For a period of a plan, places are laid evenly over the allowed areas. For each camera and place the height and lens
are chosen that add most beside the other cameras where the plan has them. Every row of the table then holds the
quality of one place, height and lens for every target, so that any choice of places can be worth by taking maxima.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.optimizer.choice.candidates import Candidates, match_candidates
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import Rows
from standmark.optimizer.value.people import people_shares, seen_of
from standmark.optimizer.value.quality import quality_matrix
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, period_targets
from standmark.optimizer.work.assignment import PeriodPlan, Station, plan_stations, spot_at
from standmark.optimizer.work.ground_map import Mesh
from standmark.sports.sport import Period

MOST_PLACES = 84
SPACINGS_M = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 50.0, 100.0)
NOWHERE = -1


@dataclass(frozen=True, eq=False)
class WhatIf:
    """Places that cameras could have in a period, and what each would get from there."""

    xy_m: Floats  # shape (n_places, 2)
    choice: Indices  # shape (n_cameras, n_places), row of the table, NOWHERE where a camera may not stand
    planned: tuple[int, ...]  # place of each camera in the plan
    stations: tuple[Station, ...]  # place, height and lens of each row; the camera is one that may take it
    targets: Targets
    quality: Singles  # shape (n_rows, n_targets)
    seen: Singles  # shape (n_rows, n_targets), share captured usably


def what_if(match: Match, period: PeriodPlan, *, most_places: int = MOST_PLACES) -> WhatIf:
    """Lay out what other spots would give in a period; the plan's own spots are among them.

    Parameters
    ----------
    most_places : looked at beside the plan's own
    """
    stations = plan_stations(match, period)
    targets, around = period_targets(match, period.period), period_surroundings(match, period.period)
    places, place_of = _thinned(_with_planned(_open(match, period.period), stations), stations, most_places)
    rows = match_rows(match, places)
    quality = quality_matrix(places.xyz_m, targets, rows=rows, deliverable=match.deliverable, around=around)
    chosen = _choices(match, rows, quality, targets, place_of, stations, places)
    used, compact = np.unique(chosen[chosen != NOWHERE], return_inverse=True)
    choice = np.full(chosen.shape, NOWHERE, dtype=np.intp)
    choice[chosen != NOWHERE] = compact
    planned = tuple(int(place_of[_position(places, s)]) for s in stations)
    used_at, all_at = np.unique([rows.position(int(row)) for row in used], return_inverse=True)
    _, faces = people_shares(places.xyz_m[used_at], targets)
    wish = match.deliverable.faces
    first = np.unique(place_of, return_index=True)[1]
    return WhatIf(
        xy_m=places.xyz_m[first, :2],
        choice=choice,
        planned=planned,
        stations=tuple(_station(match, places, rows, int(row)) for row in used),
        targets=targets,
        quality=quality[used],
        seen=seen_of(quality[used], faces[all_at], faces_matter=targets.faces_matter, wish=wish),
    )


def mesh_means(match: Match, table: WhatIf, mesh: Mesh) -> tuple[Floats, Floats]:
    """Quality of every row of a table for what happens in each cell of a mesh, and the share of it captured usably.

    Returns
    -------
    quality, seen : shape (n_rows, n_cells)
    """
    outfits = tuple(dict.fromkeys(s.outfit for s in table.stations))
    means, seen = (np.empty((len(table.stations), len(mesh.worth))) for _ in range(2))
    wish, matter = match.deliverable.faces, mesh.targets.faces_matter
    for outfit in outfits:
        own = [i for i, s in enumerate(table.stations) if s.outfit == outfit]
        xyz_m = np.array([[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in (table.stations[i] for i in own)])
        rows = Rows((outfit,), len(own), ())
        quality = quality_matrix(xyz_m, mesh.targets, rows=rows, deliverable=match.deliverable, around=mesh.around)
        _, faces = people_shares(xyz_m, mesh.targets)
        means[own] = mesh.mean(quality.astype(np.float64))
        seen[own] = mesh.mean(seen_of(quality, faces, faces_matter=matter, wish=wish).astype(np.float64))
    return means, seen


def _open(match: Match, period: Period) -> Candidates:
    """Candidates in the areas that are open in a period, and the fixed ones."""
    candidates = match_candidates(match)
    is_open = np.array([a.periods is None or period.key in a.periods for a in match.venue.allowed])
    kept = is_open[candidates.area]
    return Candidates(candidates.xyz_m[kept], candidates.area[kept], candidates.area_keys)


def _with_planned(places: Candidates, stations: tuple[Station, ...]) -> Candidates:
    xyz_m = [[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in stations]
    area = [places.area_keys.index(s.spot.area) for s in stations]
    return Candidates(
        np.vstack([np.array(xyz_m), places.xyz_m]),
        np.concatenate([np.array(area, dtype=np.intp), places.area]),
        places.area_keys,
    )


def _thinned(places: Candidates, stations: tuple[Station, ...], most: int) -> tuple[Candidates, Indices]:
    """Leave places out until few enough are left, the planned ones first; heights of a place stay together.

    Returns
    -------
    candidates, and for each the index of its place
    """
    key = np.column_stack([places.area, places.xyz_m[:, :2].round(6)])
    _, first, place = np.unique(key, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first, kind="stable")  # places in the order of the candidates, planned ones first
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    place = rank[place.ravel()]
    xy_m = places.xyz_m[first[order], :2]
    n_planned = len({(s.spot.area, s.spot.x_m, s.spot.y_m) for s in stations})
    apart = (_apart(xy_m, spacing, n_planned, most=most + n_planned) for spacing in SPACINGS_M)
    kept = next((k for k in apart if k is not None), np.arange(n_planned))
    new = np.full(len(xy_m), NOWHERE, dtype=np.intp)
    new[kept] = np.arange(len(kept))
    stays = new[place] != NOWHERE
    return Candidates(places.xyz_m[stays], places.area[stays], places.area_keys), new[place][stays]


def _apart(xy_m: Floats, spacing_m: float, n_first: int, *, most: int) -> Indices | None:
    """Places at least a distance apart, taken in order; the first ones always. None where they are more than `most`."""
    kept = list(range(n_first))
    is_left = np.arange(len(xy_m)) >= n_first
    for place in kept:
        is_left &= _is_far(xy_m, place, spacing_m)
    while is_left.any():
        kept.append(int(is_left.argmax()))
        if len(kept) > most:
            return None
        is_left &= _is_far(xy_m, kept[-1], spacing_m)
    return np.array(kept, dtype=np.intp)


def _is_far(xy_m: Floats, place: int, spacing_m: float) -> Flags:
    """Which places are at least a distance from one, which is not."""
    far: Flags = np.hypot(*(xy_m - xy_m[place]).T) >= spacing_m - 1e-9
    far[place] = False
    return far


def _choices(
    match: Match,
    rows: Rows,
    quality: Singles,
    targets: Targets,
    place_of: Indices,
    stations: tuple[Station, ...],
    places: Candidates,
) -> Indices:
    """Best row of each camera at each place, beside the other cameras where the plan has them."""
    planned = [rows.outfits.index(s.outfit) * rows.n_positions + _position(places, s) for s in stations]
    choice = np.full((len(match.cameras), int(place_of.max()) + 1), NOWHERE, dtype=np.intp)
    for index, own in enumerate(rows.by_camera):
        others = np.delete(quality[planned], index, axis=0)
        level = others.max(axis=0) if len(others) else np.zeros(quality.shape[1], dtype=np.float32)
        worth = np.maximum(quality[own], level) @ targets.weight
        for at in np.lexsort((own, worth)):  # the best comes last and stays
            choice[index, place_of[rows.position(int(own[at]))]] = own[at]
        choice[index, place_of[rows.position(planned[index])]] = planned[index]
    return choice


def _position(places: Candidates, station: Station) -> int:
    spot = station.spot
    away = np.abs(places.xyz_m - (spot.x_m, spot.y_m, spot.z_m)).max(axis=1)
    return int(np.argmin(away + (places.area != places.area_keys.index(spot.area))))


def _station(match: Match, places: Candidates, rows: Rows, row: int) -> Station:
    outfit, position = rows.outfit(row), rows.position(row)
    camera = next(c for c, own in zip(match.cameras, rows.by_camera, strict=True) if row in own)
    return Station(camera, outfit, spot_at(places.area_keys[int(places.area[position])], *places.xyz_m[position]))


def spot_coverage(table: WhatIf, camera: int) -> tuple[Floats, Floats]:
    """What the period would be covered with one camera at each place it may take, the others where the plan has them.

    Returns
    -------
    places, shape (n, 2) [m], and coverage, shape (n,)
    """
    planned = [int(table.choice[i, place]) for i, place in enumerate(table.planned)]
    others = np.delete(table.quality[planned], camera, axis=0)
    level = others.max(axis=0) if len(others) else np.zeros(table.quality.shape[1], dtype=np.float32)
    places = np.flatnonzero(table.choice[camera] != NOWHERE)
    rows = table.choice[camera, places]
    return table.xy_m[places], np.maximum(table.quality[rows], level).astype(np.float64) @ table.targets.weight
