"""Cameras with a role of their own are placed first, each by what its role asks; the others then serve the film.

A wide camera stays all match where it holds the shape of play best. A camera for faces stands, period by period,
where faces show best. Each place is the proven best for that role alone; the film's own coverage counts what these
cameras capture of it from there, and the others are placed to add most to that. Wide cameras choose first.
"""

from __future__ import annotations

from dataclasses import replace

import shapely

from standmark.optimizer.choice.kept import TOUCH_M, Kept
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.choice.stage import solve_stages
from standmark.optimizer.match.match import ForbiddenArea, Match
from standmark.optimizer.match.role import role_wish

OWN_WISH = ("wide", "faces")


def role_places(match: Match, *, time_limit_s: float | None = None, memory: Memory | None = None) -> tuple[Kept, ...]:
    """Where the cameras stand whose role asks for something else than the film; none without such cameras.

    Raises
    ------
    NoPlanError : the rules leave one of them no place
    """
    placed: list[Kept] = []
    own = [c for role in OWN_WISH for c in match.cameras if c.role == role and c.fixed is None]
    for camera in own:
        taken = tuple(
            ForbiddenArea(f"place of {k.camera}", shapely.Point(k.xyz_m[:2]).buffer(match.rules.separation_m + TOUCH_M))
            for k in placed
        )
        alone = replace(
            match,
            cameras=(camera,),
            deliverable=role_wish(match, camera),
            venue=replace(match.venue, forbidden=(*match.venue.forbidden, *taken)),
            rules=replace(match.rules, must_cover={}, moves="never" if camera.role == "wide" else match.rules.moves),
        )
        for stage in solve_stages(alone, time_limit_s=time_limit_s, memory=memory):
            lens = stage.grid.rows.outfit(stage.chosen[0]).lens.name
            x_m, y_m, z_m = stage.grid.candidates.xyz_m[stage.positions[0]].tolist()
            placed += [Kept(camera.name, p.key, (x_m, y_m, z_m), lens, is_must=True) for p in stage.task.periods]
    return tuple(placed)
