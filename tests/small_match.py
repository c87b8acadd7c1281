"""Small matches for tests of rules and advice: association football with few moments and few places."""

from dataclasses import replace

import shapely

from standmark.optimizer.match.match import AllowedArea, Match, Rules, Venue, camera_copies
from standmark.optimizer.match.presets import deliverable_for
from standmark.optimizer.match.read_match import default_camera
from standmark.optimizer.scoring.breach import area_of
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.work.assignment import Station, spot_at
from standmark.sports.library import load_sport

SIDE = AllowedArea("south", "south touchline", shapely.LineString([(-40, -38), (40, -38)]), (1.6, 1.6))
FAR_SIDE = AllowedArea("north", "north touchline", shapely.LineString([(-40, 38), (40, 38)]), (1.6, 1.6))
EAST = AllowedArea("east", "east end", shapely.LineString([(57, -30), (57, -6)]), (1.2, 1.2))
WEST = AllowedArea("west", "west end", shapely.LineString([(-57, -30), (-57, -6)]), (1.2, 1.2))


def small_match(
    *,
    cameras=1,
    moments=("goal", "save", "duel"),
    areas=(SIDE, EAST, WEST),
    deliverable="highlights",
    rules=None,
    **more,
):
    """A match on a 105 x 68 m pitch with a few lines to stand on."""
    sport = load_sport("football")
    sport = replace(sport, moments=tuple(m for m in sport.moments if m.key in moments))
    return Match(
        sport=sport,
        title="Small match",
        venue=Venue("Invented ground", tuple(areas), respect_keep_clear=False),
        cameras=camera_copies((default_camera(),), cameras),
        deliverable=deliverable_for(deliverable, sport.area),
        rules=Rules(**(rules or {})),
        **more,
    )


def station_at(match, x_m, y_m, z_m=1.6, *, camera=0, lens=None):
    """A camera of a match at a spot with one of its lenses; the last one when none is named."""
    camera = match.cameras[camera]
    outfits = {outfit.lens.name: outfit for outfit in camera_outfits(match, camera)}
    outfit = outfits[lens] if lens else list(outfits.values())[-1]
    return Station(camera, outfit, spot_at(area_of(match, x_m, y_m, z_m), x_m, y_m, z_m))
