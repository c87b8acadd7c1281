"""No plan stands where its own brief or the rules of its competition say not to: all sports, one and two cameras."""

from dataclasses import replace

import pytest
import shapely

from standmark.optimizer.advice.competition import spot_objections
from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.match.competition_rules import under_profile
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.scoring.breach import spot_breach
from standmark.optimizer.work.assignment import spot_at
from standmark.optimizer.work.hold import hold_at
from standmark.sports.competition import load_profile, profile_keys, profile_table
from standmark.sports.library import sport_keys
from standmark.sports.place_kind import OVER_HEAD_LENS_M

SOME = 12  # places looked at for each profile


def quick(match):
    """The same match with its dearest moment in its first period only: enough for a plan."""
    dearest = max(match.sport.moments, key=lambda m: m.rate_per_match * m.importance)
    return replace(match, sport=replace(match.sport, moments=(dearest,), periods=match.sport.periods[:1]))


def planned_spots(match):
    found = plan(match)
    for period in found.periods:
        for assignment in period.assignments:
            yield period.period, next(c for c in match.cameras if c.name == assignment.camera), assignment.spot


def check(match):
    spots = list(planned_spots(match))
    assert spots
    for period, camera, spot in spots:
        assert spot_breach(match, spot, period) == ""
        here = shapely.Point(spot.x_m, spot.y_m)
        hold = hold_at(match, camera, spot)
        area = next(a for a in match.venue.allowed if a.key == spot.area)
        assert area not in match.venue.asked
        assert hold.posture in area.postures
        assert hold.support in area.supports
        assert spot.z_m <= OVER_HEAD_LENS_M or hold.carried_by
        for thing in match.venue.furniture:
            assert not thing.shape.buffer(-0.05).contains(here), thing.name
        brief = f"{match.sport.brief.stand} {' '.join(match.sport.brief.dangers)}".lower()
        if area.key.split("-plus")[0].split("-minus")[0] in ("end-line", "back-line") and "stand up" in brief:
            assert hold.posture == "stand"  # the brief says so of whoever is in the way of players
        if "never sit" in brief:
            assert hold.posture != "sit"
        if "sit cross-legged" in brief and area.key.startswith("end-line"):
            assert (hold.posture, hold.support) == ("sit", "hands")


@pytest.mark.parametrize("cameras", [1, 2])
@pytest.mark.parametrize("key", sport_keys())
def test_no_plan_stands_where_its_brief_says_not_to(key, cameras):
    check(quick(default_match(key, cameras=cameras)))


@pytest.mark.parametrize("key", profile_keys())
def test_no_place_is_left_that_the_rules_refuse(key):
    """A plan takes only places that were tried or lie in the same areas at heights between."""
    match = default_match(profile_table(key).sports[0])
    kept = under_profile(match, load_profile(key, match.sport))
    if not kept.venue.allowed:
        assert kept.venue.asked
        return
    tried = match_candidates(kept)
    for i in range(0, len(tried.xyz_m), max(1, len(tried.xyz_m) // SOME)):
        spot = spot_at(tried.area_keys[tried.area[i]], *tried.xyz_m[i])
        assert list(spot_objections(kept, kept.profile, kept.cameras[0], spot)) == []
