"""One focal length for each moment from each place: value, plan, settings, pictures, command and page agree."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner
from small_match import FAR_SIDE, SIDE, small_match

from standmark.cli.commands.frame import command
from standmark.cli.drawing.scene import match_scene
from standmark.cli.sheet.data import sheet_data
from standmark.cli.sheet.html_sheet import page_ground
from standmark.cli.words.units import Units
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.picture.frame import take_frame
from standmark.optimizer.picture.key_frames import key_frames
from standmark.optimizer.picture.stretch import plan_stretches
from standmark.optimizer.planning import plan
from standmark.optimizer.settings.moment_group import moment_groups
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import plan_stations, role_factors, station_factors

CAMERAS = (0, 1)  # the second holds the shape of play


@cache
def planned():
    """Plan of two cameras, one of them wide, and its only stretch."""
    match = small_match(cameras=2, areas=(SIDE, FAR_SIDE), moments=("goal", "save", "duel"))
    first, second = match.cameras
    found = plan(replace(match, cameras=(first, replace(second, role="wide"))))
    return found, plan_stretches(found)[0]


def used(camera):
    """Targets of the first period and the focal length at which the value sees each of them from a camera's place."""
    found, stretch = planned()
    period, match = stretch.first, found.match
    targets, around = period_targets(match, period.period), period_surroundings(match, period.period)
    station = plan_stations(match, period)[camera]
    framing = role_factors(match, station, targets, around=around)
    return targets, station, (framing or station_factors(match, station, targets, around=around)).focal_mm


@pytest.mark.parametrize("camera", CAMERAS)
def test_a_picture_is_taken_at_the_focal_length_of_the_value(camera):
    found, _ = planned()
    targets, station, focal_mm = used(camera)
    spot, outfit = station.spot, station.outfit
    for i in range(0, len(focal_mm), 7):
        moment = found.match.sport.moments[targets.moment[i]]
        frame = take_frame((spot.x_m, spot.y_m, spot.z_m), tuple(targets.xyz_m[i, :2]), moment=moment, lens=outfit.lens,
                           mode=outfit.mode, deliverable=role_wish(found.match, station.camera))  # fmt: skip
        assert frame.view.focal_mm == pytest.approx(focal_mm[i], rel=1e-9)


def test_the_frame_is_no_tighter_than_it_has_to_be():
    """At the focal length in use the wanted size is reached, and a longer one would add none."""
    targets, station, focal_mm = used(0)
    low, high = station.outfit.lens.focal_mm
    free = (focal_mm > low + 1e-6) & (focal_mm < high - 1e-6)
    assert free.any()
    found, stretch = planned()
    around = period_surroundings(found.match, stretch.first.period)
    factors = station_factors(found.match, station, targets, around=around)
    np.testing.assert_allclose(factors.size[free], 1.0)


@pytest.mark.parametrize("camera", CAMERAS)
def test_settings_and_plan_keep_to_it(camera):
    found, stretch = planned()
    targets, station, focal_mm = used(camera)
    assignment = stretch.first.assignments[camera]
    assert focal_mm.min() - 0.05 <= assignment.focal_mm[0] <= assignment.focal_mm[1] <= focal_mm.max() + 0.05
    for group in moment_groups(found.match, targets, assignment, outfit=station.outfit):
        keys = [found.match.sport.moments[m].key for m in targets.moment]
        own = focal_mm[np.isin(keys, group.moments)]
        for value in (*group.focal_mm, group.shot.focal_mm):
            assert np.abs(own - value).min() < 1e-9


@pytest.mark.parametrize("camera", CAMERAS)
def test_the_page_knows_the_same_and_so_do_the_pictures_on_it(camera):
    found, stretch = planned()
    data = sheet_data(found, (stretch,), match_scene(found.match), page_ground(found), Units.METRIC)["stretches"][0]
    row = data["rows"][data["choice"][camera][data["planned"][camera]]]
    outfit = data["outfits"][row["outfit"]]
    targets, _, focal_mm = used(camera)
    away = np.linalg.norm(targets.xyz_m - np.array(row["xyz"]), axis=1)
    on_page = np.clip(away / np.array(outfit["reach"][camera])[targets.moment], *outfit["focal"])
    np.testing.assert_allclose(on_page, focal_mm, rtol=2e-4)
    for shot in key_frames(found.match, stretch, camera):
        index = next(i for i, m in enumerate(found.match.sport.moments) if m == shot.frame.moment)
        mine = np.clip(shot.frame.distance_m / outfit["reach"][camera][index], *outfit["focal"])
        if shot.role != "widest":
            assert shot.frame.view.focal_mm == pytest.approx(mine, rel=2e-4)


def test_the_two_cameras_frame_differently():
    """The wide one holds more, or the tests above could not tell their wishes apart."""
    assert np.median(used(1)[2] / used(0)[2]) < 0.8


def test_the_command_takes_the_same_frame():
    match = default_match("football")
    moment = next(m for m in match.sport.moments if m.key == "save")
    said = CliRunner().invoke(command, ["--sport", "football", "--at", "0,-40,1.6", "--lens", "24-400",
                                        "--look", "50,0", "--moment", "save"])  # fmt: skip
    lens = replace(match.cameras[0].lenses[0], focal_mm=(24.0, 400.0))
    frame = take_frame((0.0, -40.0, 1.6), (50.0, 0.0), moment=moment, lens=lens, mode=match.cameras[0].mode,
                       deliverable=match.deliverable)  # fmt: skip
    assert f"at {frame.view.focal_mm:.0f} mm on" in said.output
