"""Where one more camera would add most, the planned ones staying where they are."""

from __future__ import annotations

from dataclasses import dataclass, replace

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import area_caps, open_rows, rows_beside
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search.kernel import gains
from standmark.optimizer.work.assignment import Spot, spot_at


@dataclass(frozen=True)
class Addition:
    """A further camera with the first one's kit, and what it adds to a stage."""

    spot: Spot
    lens: Lens
    gain: float  # coverage


def next_camera(match: Match, stage: Stage) -> Addition | None:
    """Best place for a further camera in a stage; None when the rules leave none."""
    further = replace(match.cameras[0], name="further", fixed=None)
    more = replace(match, cameras=(*match.cameras, further))
    places, rows = stage.grid.candidates, stage.grid.rows
    more_rows = match_rows(more, places, outfits=rows.outfits)
    problem = replace(
        stage.problem,
        rows_by_camera=open_rows(more, stage.task.periods, places, more_rows),
        separation_m=match.rules.separation_m,
        group_cap=area_caps(more),
    )
    own = rows_beside(problem, len(match.cameras), stage.chosen)
    if not len(own):
        return None
    level = stage.problem.quality[list(stage.chosen)].max(axis=0)
    values = gains(stage.problem.quality, level, stage.problem.weight, own)
    row = int(own[int(values.argmax())])
    at = rows.position(row)
    gain = float(values.max())
    return Addition(spot_at(places.area_keys[int(places.area[at])], *places.xyz_m[at]), rows.outfit(row).lens, gain)
