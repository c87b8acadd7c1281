"""What is set once on a body, and what log, a second base and a slow readout change on the cards."""

from dataclasses import replace
from math import log2

import pytest
from settings_shot import CONTROLS, FULL_FRAME, SHOT, STEADY

from standmark.geometry.optics.camera import Lens, RecordingMode
from standmark.geometry.optics.exposure import NeutralDensity, iso_needed
from standmark.optimizer.match.presets import deliverable_for
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.settings.card import settings_card
from standmark.optimizer.settings.set_up import set_up
from standmark.optimizer.settings.shot import Controls, FilmWish
from standmark.optimizer.value.outfit import camera_outfits, working_mode

FAST = replace(FULL_FRAME, fps=(25.0, 50.0, 60.0))


def lines_of(match=None, *, wish=None, controls=None, support="tripod", shot=SHOT, camera=None):
    match = match or default_match("football", cameras=2)
    wish = wish or FilmWish(least_fps=25.0)
    controls = controls or Controls(FAST, CONTROLS.iso)
    card = settings_card(shot, controls, wish=wish, light=STEADY)
    once = set_up(match, camera or match.cameras[0], [card], controls=controls, wish=wish, support=support)
    return {line.what: line.text for line in once}


def test_log_gets_its_stop_more_than_the_meter():
    filters = NeutralDensity((), (1.0, 10.0))
    plain, log = (
        settings_card(SHOT, Controls(FULL_FRAME, CONTROLS.iso, filters), light=STEADY, wish=wish)
        for wish in (FilmWish(least_fps=50.0), FilmWish(least_fps=50.0, profile="log", over_stops=1.0))
    )

    def over_stops(card):
        s = card.settings
        return log2(s.iso / iso_needed(STEADY.lux, s.f_number, s.time_s)) - s.nd_stops

    assert over_stops(log) - over_stops(plain) == pytest.approx(1.0, abs=0.4)  # as near as the marks allow


def test_just_under_a_second_base_the_iso_goes_up_to_it():
    dim = replace(STEADY, lux=STEADY.lux / 4)
    wish = FilmWish(least_fps=50.0)
    single = settings_card(SHOT, Controls(FULL_FRAME, (100.0, 6400.0, 12800.0)), wish=wish, light=dim).settings.iso
    bases = Controls(FULL_FRAME, (100.0, 6400.0, 12800.0), second_base_iso=single * 1.6)
    assert settings_card(SHOT, bases, wish=wish, light=dim).settings.iso == single * 1.6
    far = replace(bases, second_base_iso=min(single * 4.0, 6400.0))
    assert settings_card(SHOT, far, wish=wish, light=dim).settings.iso == single


def test_the_second_dial_takes_whole_multiples_of_the_delivery_rate():
    assert "50 fps" in lines_of()["dial 2"]
    assert "2 times" in lines_of()["dial 2"]
    stops = lines_of(controls=Controls(replace(FULL_FRAME, fps=(25.0,)), CONTROLS.iso))
    assert stops["dial 2"].startswith("slow motion in")  # the body's own mode has more frames
    camera = replace(default_match("football").cameras[0], mode=replace(FULL_FRAME, fps=(25.0,)))
    only = lines_of(controls=Controls(camera.mode, CONTROLS.iso), camera=camera)
    assert only["dial 2"] == "no slow motion: this body stops at 25 frames a second"
    crop = RecordingMode("crop", 24.0, 13.5, 3840, 2160, (100.0,))
    other = lines_of(controls=Controls(camera.mode, CONTROLS.iso), camera=replace(camera, more_modes=(crop,)))
    assert other["dial 2"].startswith("slow motion in crop, 4 times: 100 fps")
    assert other["dial 2"].endswith("it crops 1.5 times: 133 mm shows what 200 mm shows in dial 1")


def test_plan_and_settings_film_in_the_mode_that_has_the_frames():
    match = default_match("football")
    slow = replace(match, deliverable=deliverable_for("slow-motion", match.sport.area))
    crop = RecordingMode("crop", 24.0, 13.5, 3840, 2160, (100.0, 120.0))
    camera = replace(match.cameras[0], mode=replace(FULL_FRAME, fps=(25.0, 50.0)), more_modes=(crop,))
    assert working_mode(match, camera) is camera.mode
    assert working_mode(slow, camera) is crop
    assert {outfit.mode.width_mm for outfit in camera_outfits(slow, camera)} == {24.0}
    assert working_mode(slow, replace(camera, more_modes=())) is camera.mode


def test_what_holds_the_camera_decides_the_stabiliser():
    assert lines_of(support="tripod")["stabiliser"].startswith("off")
    assert lines_of(support="hands")["stabiliser"] == "on"


def test_a_slow_readout_leans_runners_by_speed_time_and_share():
    match = default_match("football")
    camera = replace(match.cameras[0], body=replace(match.cameras[0].body, readout_s=0.02))
    assert "rolling shutter" not in lines_of(camera=match.cameras[0])
    card = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=25.0), light=STEADY)
    lean_px = SHOT.player_m_s * 0.02 * card.frame_share * card.px_per_m
    assert f"{lean_px:.0f}" in lines_of(camera=camera)["rolling shutter"]


def test_a_lens_that_cannot_focus_so_near_says_so():
    match = default_match("football")
    near = Lens("long", (10.0, 600.0), (4.0, 5.6), close_focus_m=SHOT.distance_m)
    camera = replace(match.cameras[0], lenses=(near,))
    assert lines_of(camera=camera)["close focus"].startswith("nothing nearer than")
    assert "f/5.6" in lines_of(camera=camera)["zooming"]
    assert "close focus" not in lines_of()


def test_two_cameras_share_a_clock_and_one_does_not_ask_for_it():
    assert "time code into all 2 cameras" in lines_of()["clock"]
    assert "time code" not in lines_of(default_match("football"))["clock"]
