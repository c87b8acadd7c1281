"""The general standard at invented grounds: limits kept, shortfalls right, remedies that really fix."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from standmark.geometry.optics.camera import Lens
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import AllowedArea, ForbiddenArea
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.standard import options
from standmark.optimizer.standard.apply import apply_standard, sun_side
from standmark.optimizer.standard.cover import cover
from standmark.optimizer.standard.read_standard import read_standard
from standmark.optimizer.standard.standard import Role, Standard, coded_positions
from standmark.optimizer.standard.view import bar_height_m, direction_deg, lay_out, lay_view, look_down_deg

GENERAL, STEPS, _ = read_standard()


def band(x0, y0, x1, y1):
    return shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def ground(*, stand_m=(6.0, 14.0), side=-1.0):
    """An invented ground with a stand on one side and open strips all round."""
    match = default_match("football")
    areas = (
        AllowedArea("stand", "stand", band(-40, side * 44, 40, side * 52), stand_m),
        AllowedArea("near", "near strip", band(-50, side * 37.5, 50, side * 39), (0.5, 2.0)),
        AllowedArea("far", "far strip", band(-50, -side * 44, 50, -side * 47), (0.5, 6.0)),
        AllowedArea("right", "end +x", band(59, -30, 66, 30), (0.5, 7.0)),
        AllowedArea("left", "end -x", band(-66, -30, -59, 30), (0.5, 7.0)),
    )
    return replace(match, venue=replace(match.venue, allowed=areas))


def by_code(found):
    return {p.slot.code: p for p in found.positions}


def spot(position):
    s = position.filled.station.spot
    return np.array([s.x_m, s.y_m, s.z_m])


def test_every_position_stands_within_its_area_and_heights():
    match = ground()
    found = apply_standard(match, GENERAL, steps=STEPS)
    areas = {a.key: a for a in match.venue.allowed}
    assert found.is_exact
    assert set(by_code(found)) == {"M", "LL", "LR", "EL", "ER", "R", "HL", "HR", "C"}
    for position in found.positions:
        assert position.filled is not None, position.slot.code
        x, y, z = spot(position)
        area = areas[position.filled.station.spot.area]
        assert area.shape.distance(shapely.Point(x, y)) < 2e-3
        assert area.lens_height_m[0] <= z <= area.lens_height_m[1]
    places = [spot(p)[:2] for p in found.positions]
    assert min(np.hypot(*(a - b)) for i, a in enumerate(places) for b in places[:i]) >= 2 - 1e-9


def test_a_ground_with_everything_meets_everything():
    found = apply_standard(ground(), GENERAL, steps=STEPS)
    assert [p.slot.code for p in found.positions if not p.filled.is_met] == []
    assert all(p.remedies == () for p in found.positions)
    main = spot(by_code(found)["M"])
    assert main[0] == pytest.approx(0, abs=1e-3)  # exactly level with halfway
    assert found.main_side == "-y"


def test_wanted_values_are_what_trigonometry_gives():
    found = by_code(apply_standard(ground(), GENERAL, steps=STEPS))
    _, y, z = spot(found["M"])
    answers = {a.wish.key: a for a in found["M"].filled.answers}
    assert answers["look_down"].value == pytest.approx(math.degrees(math.atan2(z, abs(y))))
    assert answers["offset"].value == pytest.approx(abs(y) - 34)
    station = found["M"].filled.station
    size = 1.8 * found["M"].filled.focal_mm / (math.hypot(y, z - 0.9) * station.outfit.mode.height_mm)
    assert answers["size"].value == pytest.approx(size)


@pytest.mark.parametrize(("behind_m", "height_m"), [(5, 3.55), (10, 4.7), (15, 5.8), (20, 6.9), (30, 9.1)])
def test_height_over_the_bar(behind_m, height_m):
    """Bar 2.44 m, spot 11 m in front of the line (Laws of the Game, Laws 1 and 14): similar triangles, by hand."""
    role = Role("H", "h", "", True, True, 11.0, None, (90.0, 90.0), over_target=True)
    right = coded_positions(Standard("s", "1", (role,)), "football")[1]
    area = default_match("football").sport.area
    views = lay_out([lay_view(right, area, main_side="-y")])
    assert bar_height_m(views, 0, np.array([[52.5 + behind_m, 0.0]]))[0] == pytest.approx(height_m, abs=0.05)
    assert bar_height_m(views, 0, np.array([[52.5 + behind_m, 40.0], [40.0, 0.0]])) == pytest.approx([0, 0])


@pytest.mark.parametrize(("run_m", "angle_deg"), [(44, 19), (60, 14), (80, 11)])
def test_look_down_from_fifteen_metres(run_m, angle_deg):
    main = lay_view(coded_positions(GENERAL, "football")[0], default_match("football").sport.area, main_side="-y")
    assert look_down_deg(lay_out([main]), 0, np.array([[0.0, -run_m, 15.0]]))[0] == pytest.approx(angle_deg, abs=0.5)


@pytest.mark.parametrize("main_side", ["-y", "+y"])
def test_directions_are_told_from_the_main_side(main_side):
    sign = 1 if main_side == "+y" else -1
    area = default_match("football").sport.area
    left, right = (s for s in coded_positions(GENERAL, "football") if s.role.code == "E")
    at_main = lay_view(coded_positions(GENERAL, "football")[0], area, main_side=main_side)
    assert direction_deg(lay_out([at_main]), 0, np.array([[0.0, sign * 50.0, 5.0]]))[0] == pytest.approx(0)
    # someone at the main position who looks at the middle has the right end to the right
    look, to_right = np.array([0.0, -sign]), np.array([lay_view(right, area, main_side=main_side).aim_m[0], 0.0])
    assert look[0] * to_right[1] - look[1] * to_right[0] < 0
    for slot in (left, right):
        view = lay_view(slot, area, main_side=main_side)
        behind = np.array([[view.aim_m[0] * 1.5, 0.0, 1.0]])
        assert direction_deg(lay_out([view]), 0, behind)[0] == pytest.approx(90)


def mirrored(match):
    def flip(shape):
        return shapely.transform(shape, lambda xy: xy * [1, -1])

    areas = tuple(replace(a, shape=flip(a.shape)) for a in match.venue.allowed)
    clear = tuple(replace(k, shape=flip(k.shape)) for k in match.sport.area.keep_clear)
    sport = replace(match.sport, area=replace(match.sport.area, keep_clear=clear))
    return replace(match, sport=sport, venue=replace(match.venue, allowed=areas))


def test_mirrored_ground_mirrors_the_positions():
    match = ground()
    here = by_code(apply_standard(match, GENERAL, steps=STEPS))
    there = apply_standard(mirrored(match), GENERAL, steps=STEPS)
    assert there.main_side == "+y"
    swapped = {"L": "R", "R": "L"}
    for code, position in by_code(there).items():
        twin = code[:-1] + swapped[code[-1]] if len(code) == 2 else code
        x, y, z = spot(position)
        assert (x, -y, z) == pytest.approx(tuple(spot(here[twin])), abs=2e-3), code


def test_opening_an_area_never_takes_the_ground_further_from_the_standard():
    poor = default_match("football")
    extra = AllowedArea("roof", "roof", band(-10, -60, 10, -58), (12.0, 16.0))
    rich = replace(poor, venue=replace(poor.venue, allowed=(*poor.venue.allowed, extra)))

    def strain(match):
        found = apply_standard(match, GENERAL, steps=STEPS)
        costs = [
            1e6 if p.filled is None else sum((a.short / STEPS[a.wish.key]) ** 2 for a in p.filled.answers
                                             if a.wish.key != "size")
            for p in found.positions
        ]  # fmt: skip
        return sum(costs)

    assert strain(rich) <= strain(poor) + 1e-6


def with_change(match, remedy):
    """Do at the ground what a remedy says."""
    venue = match.venue
    if "height" in remedy.kinds:
        areas = tuple(
            replace(a, lens_height_m=(min(a.lens_height_m[0], remedy.z_m), max(a.lens_height_m[1], remedy.z_m)))
            if a.key == remedy.area else a for a in venue.allowed
        )  # fmt: skip
        match = replace(match, venue=replace(venue, allowed=areas))
    if "place" in remedy.kinds:
        point = shapely.Point(remedy.x_m, remedy.y_m).buffer(0.5)
        new = AllowedArea("new", "new", point, (remedy.z_m, remedy.z_m))
        match = replace(match, venue=replace(venue, allowed=(*venue.allowed, new)))
    if "lens" in remedy.kinds:
        lens = Lens("new", (remedy.focal_mm, remedy.focal_mm))
        match = replace(match, cameras=tuple(replace(c, lenses=(*c.lenses, lens)) for c in match.cameras))
    return match


@pytest.mark.parametrize("lenses", [("24-70", "70-200"), ("600",)])
def test_remedies_really_mend(lenses):
    match = default_match("football")
    ends = {"24-70": (24, 70), "70-200": (70, 200), "600": (600, 600)}
    match = replace(
        match, cameras=tuple(replace(c, lenses=tuple(Lens(n, ends[n]) for n in lenses)) for c in match.cameras)
    )
    alone = replace(GENERAL, separation_m=0.0)  # a remedy speaks of one position, not of its neighbours
    found = apply_standard(match, alone, steps=STEPS)
    tried = 0
    for position in found.positions:
        assert (position.filled is not None and position.filled.is_met) == (position.remedies == ())
        for remedy in position.remedies:
            if remedy.is_enough and remedy.closed_by is None:
                mended = by_code(apply_standard(with_change(match, remedy), alone, steps=STEPS))[position.slot.code]
                assert mended.filled is not None, (position.slot.code, remedy)
                assert mended.filled.is_met, (position.slot.code, remedy)
                tried += 1
    assert tried >= 5


def test_a_place_that_is_kept_clear_is_named():
    match = ground()
    everywhere = ForbiddenArea("building site", band(-200, -200, 200, -35))
    match = replace(match, venue=replace(match.venue, forbidden=(everywhere,), main_side="-y"))
    main = by_code(apply_standard(match, GENERAL, steps=STEPS))["M"]
    assert main.filled is None
    assert [r.closed_by for r in main.remedies] == ["building site"]


def test_ground_decides_its_main_side_before_the_sun():
    match = ground()
    match = replace(match, venue=replace(match.venue, main_side="+y"))
    found = apply_standard(match, GENERAL, steps=STEPS)
    assert (found.main_side, found.main_side_reason) == ("+y", "ground")


@pytest.mark.parametrize(
    ("latitude", "bearing", "side"),
    [
        (52, 90, "-y"),
        (52, 270, "+y"),
        (-34, 90, "+y"),
        (-34, 270, "-y"),
        (52, 0, None),
        (5, 90, None),
        (None, 90, None),
    ],
)
def test_sun_side(latitude, bearing, side):
    """+x to the east: -y is south, where the midday sun stands north of the tropics."""
    venue = replace(ground().venue, latitude_deg=latitude, bearing_deg=bearing)
    assert sun_side(venue) == side


def test_cover_is_the_planners_own_coverage():
    from standmark.optimizer.value.surroundings import period_surroundings
    from standmark.optimizer.value.targets import period_targets
    from standmark.optimizer.work.assignment import period_plan

    match = ground()
    stations = [p.filled.station for p in apply_standard(match, GENERAL, steps=STEPS).positions]
    found = cover(match, stations)
    plans = [
        period_plan(match, p, stations, targets=period_targets(match, p), around=period_surroundings(match, p))
        for p in match.sport.periods
    ]
    share = [p.minutes / sum(q.minutes for q in match.sport.periods) for p in match.sport.periods]
    assert found.together == pytest.approx(sum(s * p.coverage for s, p in zip(share, plans, strict=True)))
    first = sum(s * p.assignments[0].coverage for s, p in zip(share, plans, strict=True))
    assert found.alone[0] == pytest.approx(first)


def walled(match, top_m=12.0):
    """A wall before the middle of the stand: past it only from its ends, or from above."""
    wall = Occluder("wall", ((-20.0, -35.0), (20.0, -35.0)), 0.0, top_m)
    return replace(match, venue=replace(match.venue, obstacles=(wall,), main_side="-y"))


def test_a_view_past_a_wall_is_wanted_and_its_loss_is_told():
    main = by_code(apply_standard(walled(ground(stand_m=(6.0, 7.0))), GENERAL, steps=STEPS))["M"]
    short = {a.wish.key for a in main.filled.answers if a.short}
    assert "clear" in short or "direction" in short
    open_view = by_code(apply_standard(ground(stand_m=(6.0, 7.0)), GENERAL, steps=STEPS))["M"]
    assert open_view.filled.is_met


def test_a_low_wall_is_looked_over():
    main = by_code(apply_standard(walled(ground(), top_m=1.0), GENERAL, steps=STEPS))["M"]
    assert main.filled.is_met


@pytest.mark.parametrize("make", [lambda: walled(ground(), top_m=5.0), ground])
def test_looking_only_from_winners_is_looking_from_everywhere(make, monkeypatch):
    match = make()
    few = apply_standard(match, GENERAL, steps=STEPS)
    monkeypatch.setattr(options, "LOOKS", 10**6)
    assert [p.filled for p in few.positions] == [
        p.filled for p in apply_standard(match, GENERAL, steps=STEPS).positions
    ]


def test_a_position_that_is_crowded_out_is_told_apart():
    match = ground()
    spot = AllowedArea("spot", "one spot", shapely.Point(0, -48).buffer(0.4), (9.0, 9.0))
    match = replace(match, venue=replace(match.venue, allowed=(spot,), main_side="-y"))
    main = GENERAL.roles[0]
    twice = replace(GENERAL, roles=(main, replace(main, code="N", needed=False)))
    found = by_code(apply_standard(match, twice, steps=STEPS))
    assert found["M"].filled is not None
    assert found["N"].filled is None
    assert found["N"].is_crowded_out
    assert ("separation",) in {remedy.kinds for remedy in found["N"].remedies}


@pytest.mark.parametrize("side", ["+y", "-y"])
def test_a_ground_that_names_its_main_side_gets_it(side):
    match = ground(side=1.0)
    match = replace(match, venue=replace(match.venue, main_side=side))
    found = apply_standard(match, GENERAL, steps=STEPS)
    assert (found.main_side, found.main_side_reason) == (side, "ground")
    assert np.sign(spot(by_code(found)["M"])[1]) == (1 if side == "+y" else -1)
