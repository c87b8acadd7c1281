"""Settings of a shot: the worked conflict, the order of remedies and what they add up to."""

from math import log2

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from settings_shot import CONTROLS, FULL_FRAME, SHOT, STEADY

from standmark.geometry.optics.camera import Lens, RecordingMode
from standmark.geometry.optics.exposure import NeutralDensity
from standmark.geometry.optics.flicker import is_safe_time
from standmark.optimizer.match.light_kinds import LAMPS, SKIES
from standmark.optimizer.settings.card import settings_card
from standmark.optimizer.settings.case import MARK_STOPS, Case, balance_stops, is_right
from standmark.optimizer.settings.focus_area import focus_area
from standmark.optimizer.settings.light import daylight, lamplight
from standmark.optimizer.settings.sharpness import aperture, widest_f_number
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot, px_per_m
from standmark.optimizer.settings.shutter import shutter, shutter_table


def about(card):
    return [step.about for step in card.steps]


def test_small_aperture_under_weak_lamps():
    # log2(250 * 8^2 * 200 / (300 * 800)) = 3.74 stops short; f/8 to f/2.8 is 2 log2(8 / 2.8) = 3.03 stops.
    card = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=50.0, f_number=8.0, shutter_s=1 / 200), light=STEADY)
    by_name = {step.about: step for step in card.steps}
    assert by_name["ISO"].balance_stops == pytest.approx(-3.737, abs=5e-4)
    assert "3.7 stops short" in by_name["ISO"].text
    opened = by_name["open the aperture"]
    assert opened.balance_stops - by_name["ISO"].balance_stops == pytest.approx(3.029, abs=5e-4)
    assert "gives back 3.0 stops and leaves 4.2 m sharp" in opened.text
    # H = 200^2 / (2.8 * 0.01875) + 200 mm = 762.1 m; 40 (H - f) / (H -+ 40): 38.0 to 42.2 m.
    sharp = aperture(2.8, shot=SHOT, controls=CONTROLS, wish=FilmWish())
    assert (sharp.near_m, sharp.far_m) == pytest.approx((38.015, 42.203), abs=5e-3)
    assert about(card)[-1] == "raise ISO"
    assert card.settings.iso == 1250.0


def test_every_remedy_in_order_then_a_stated_shortfall():
    dark = lamplight(LAMPS["metal halide"], mains_hz=50.0, lux=5.0)
    card = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=50.0, f_number=5.6), light=dark)
    assert about(card)[-4:] == ["open the aperture", "raise ISO", "slow the shutter", "shortfall"]
    assert card.settings.time_s == pytest.approx(1 / 50)
    expected = log2(250.0 * 2.8**2 / (5.0 * (1 / 50) * 6400.0))
    assert card.balance_stops == pytest.approx(-expected)
    assert any(f"{expected:.1f} stops short" in warning for warning in card.warnings)


def test_sun_needs_neutral_density():
    sun = daylight(SKIES["sun"])
    filters = NeutralDensity((3.0, 6.0))
    card = settings_card(SHOT, Controls(FULL_FRAME, CONTROLS.iso, filters), wish=FilmWish(least_fps=50.0), light=sun)
    assert about(card)[-2:] == ["neutral density", "close the aperture"]
    # 5 stops over: 6 stops of filter would take one more than needed, which ISO would have to pay for
    assert (card.settings.nd_stops, card.settings.f_number) == (3.0, 7.1)
    bare = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=50.0), light=sun)
    assert card.settings.iso <= 125.0
    assert about(bare)[-2:] == ["close the aperture", "speed the shutter"]
    assert bare.settings.time_s == 1 / 200


def test_without_remedies_the_excess_is_stated():
    # A lens that cannot close usefully and lamps that forbid shorter times.
    small = RecordingMode("2/3 inch UHD", 9.59, 5.39, 3840, 2160, (50.0,))
    blazing = lamplight(LAMPS["metal halide"], mains_hz=50.0, lux=80_000.0)
    shot = Shot("shots at goal", 40.0, 60.0, 2.8, 4.0, 1.8, 8.0, 30.0, 0.22)
    card = settings_card(shot, Controls(small, (400.0, 800.0, 1600.0)), wish=FilmWish(least_fps=50.0), light=blazing)
    assert about(card)[-1] == "excess"
    assert is_safe_time(card.settings.time_s, 100.0)
    assert card.balance_stops > MARK_STOPS


def test_shutter_moves_to_a_flicker_free_time():
    lamps = lamplight(LAMPS["metal halide"], mains_hz=50.0, lux=2000.0)
    card = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=50.0, shutter_s=1 / 125), light=lamps)
    assert card.settings.time_s == 0.01
    assert card.shutter.is_clean
    assert [each.nearest_safe_s for each in card.shutters] == [0.02, 0.01, 0.01, 0.01]


def test_fast_frame_rate_under_lamps_is_warned_about():
    lamps = lamplight(LAMPS["metal halide"], mains_hz=50.0, lux=2000.0)
    only_fast = Controls(RecordingMode("crop", 36.0, 20.25, 1920, 1080, (120.0,)), CONTROLS.iso)
    card = settings_card(SHOT, only_fast, wish=FilmWish(least_fps=100.0), light=lamps)
    assert any("No shutter is free of flicker at 120" in warning for warning in card.warnings)
    assert not card.shutter.is_clean
    both = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=100.0), light=lamps)
    assert both.rate.fps == 100.0
    assert both.rate.safe_angles_deg == pytest.approx((360.0,))


def test_camera_too_slow_for_the_film():
    card = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=200.0), light=daylight(SKIES["overcast"]))
    assert card.rate.fps == 100.0  # 120 is no whole multiple of the 25 that are delivered
    assert "stops at 100" in card.warnings[0]


def test_depth_of_action_asks_for_a_small_aperture():
    deep = Shot("whole shape", 40.0, 100.0, 2.8, 20.0, 1.8, 8.0, 30.0, 0.22)
    card = settings_card(deep, CONTROLS, wish=FilmWish(), light=daylight(SKIES["bright cloud"]))
    asked = next(step for step in card.steps if step.about == "aperture").settings.f_number
    sharp = aperture(asked, shot=deep, controls=CONTROLS, wish=FilmWish())
    assert sharp.near_m <= 30.0
    assert sharp.far_m >= 50.0
    assert aperture(asked / 1.2, shot=deep, controls=CONTROLS, wish=FilmWish()).near_m > 30.0


def test_blur_table():
    # At 533 px/m (200 mm, 40 m, UHD) 8.79 m/s smears 4.7 px and 34.48 m/s 18.4 px in 1/1000 s.
    fast = Shot("shots", 40.0, 200.0, 2.8, 4.0, 1.8, 8.79, 34.48, 0.22)
    assert px_per_m(fast, FULL_FRAME) == pytest.approx(533.33, abs=5e-3)
    row = shutter(1 / 1000, 50.0, shot=fast, controls=CONTROLS, light=STEADY)
    assert (row.player_blur_px, row.ball_blur_px) == pytest.approx((4.688, 18.389), abs=5e-4)
    assert row.ball_blur_share == pytest.approx(34.48 / 1000 / 0.22)
    angles = [each.angle_deg for each in shutter_table(50.0, shot=fast, controls=CONTROLS, light=STEADY)]
    assert angles == pytest.approx([360.0, 180.0, 90.0, 45.0])


def test_mains_drift_hardly_touches_a_flicker_free_time():
    lamps = lamplight(LAMPS["sodium"], mains_hz=50.0, lux=500.0)
    row = shutter(0.01, 50.0, shot=SHOT, controls=CONTROLS, light=lamps)
    assert row.swing_stops == pytest.approx(0.0, abs=1e-12)
    assert 0.0 < row.drift_swing_stops < 0.03


def test_a_global_shutter_has_no_bands_but_frames_still_differ():
    lamps = lamplight(LAMPS["sodium"], mains_hz=50.0, lux=500.0)
    row = shutter(1 / 500, 60.0, shot=SHOT, controls=Controls(FULL_FRAME, readout_s=0.0), light=lamps)
    assert row.band_ripple == 0.0
    assert row.frame_ripple[0] > 0.5


def test_variable_aperture_zoom():
    lens = Lens("zoom", (100.0, 400.0), (4.0, 5.6))
    assert widest_f_number(lens, 100.0) == 4.0
    assert 4.0 < widest_f_number(lens, 250.0) < 5.6
    assert widest_f_number(Lens("prime", (300.0, 300.0), (2.8, 2.8)), 300.0) == 2.8


def test_focus_area_changes_with_the_width_of_the_shot():
    said = [focus_area(share, by_hand="40 m") for share in (0.08, 0.5, 1.5)]
    assert [text.split()[0] for text in said] == ["focus", "continuous", "person"]
    assert "40 m" in said[0]


lamps_and_skies = st.one_of(
    st.builds(lambda key: daylight(SKIES[key]), st.sampled_from(sorted(SKIES))),
    st.builds(
        lambda key, mains_hz, lux: lamplight(LAMPS[key], mains_hz=mains_hz, lux=lux),
        st.sampled_from(sorted(LAMPS)),
        st.sampled_from([50.0, 60.0]),
        st.floats(10.0, 3000.0),
    ),
)


@settings(max_examples=60, deadline=None)
@given(
    lamps_and_skies,
    st.floats(15.0, 90.0),
    st.floats(50.0, 500.0),
    st.sampled_from([25.0, 50.0, 100.0]),
    st.sampled_from([360.0, 180.0, 90.0, 45.0]),
    st.sampled_from([NeutralDensity(), NeutralDensity((2.0, 4.0, 6.0)), NeutralDensity((), (1.0, 7.0))]),
)
def test_settings_stay_within_the_kit_and_the_balance_is_honest(light, distance_m, focal_mm, fps, angle_deg, filters):
    shot = Shot("shots", distance_m, focal_mm, 2.8, 4.0, 1.8, 8.0, 30.0, 0.22)
    controls = Controls(FULL_FRAME, (100.0, 800.0, 6400.0), filters)
    card = settings_card(shot, controls, wish=FilmWish(least_fps=fps, shutter_deg=angle_deg), light=light)
    used = card.settings
    assert 100.0 <= used.iso <= 6400.0
    assert used.f_number >= 2.8
    assert used.time_s <= 1.0 / used.fps * (1.0 + 1e-9)
    assert card.balance_stops == balance_stops(used, light)
    said_off = card.steps[-1].about in ("shortfall", "excess")
    assert said_off != is_right(used, light)
    if card.rate.is_safe:
        assert card.shutter.is_clean


@settings(max_examples=40, deadline=None)
@given(st.floats(20.0, 2000.0))
def test_twice_the_light_is_one_stop_less_short(lux):
    def short(level):
        light = lamplight(LAMPS["led steady"], mains_hz=50.0, lux=level)
        card = settings_card(SHOT, CONTROLS, wish=FilmWish(least_fps=50.0, f_number=8.0), light=light)
        wish = next(step for step in card.steps if step.about == "aperture")
        return balance_stops(wish.settings, light)

    assert short(2.0 * lux) - short(lux) == pytest.approx(1.0, abs=1e-9)


def test_case_is_plain_data():
    case = Case(SHOT, CONTROLS, FilmWish(), STEADY)
    assert case == Case(SHOT, CONTROLS, FilmWish(), STEADY)


@pytest.mark.parametrize("lux", [4_000.0, 9_000.0, 14_000.0, 20_000.0, 40_000.0])
def test_a_faster_shutter_under_lamps_stays_free_of_flicker(lux):
    lamps = lamplight(LAMPS["metal halide"], mains_hz=50.0, lux=lux)
    wish = FilmWish(shutter_s=1 / 25, f_number=5.6)
    card = settings_card(SHOT, Controls(FULL_FRAME, (100.0, 800.0, 6400.0)), wish=wish, light=lamps)
    assert is_safe_time(card.settings.time_s, 100.0)
    assert 0.01 <= card.settings.time_s <= 0.04
    # a time one mark longer would be over, or there is none that is shorter and free of flicker
    longer = log2((card.settings.time_s + 0.01) / card.settings.time_s)
    assert card.balance_stops <= MARK_STOPS or card.settings.time_s == 0.01
    assert card.settings.time_s == 0.04 or card.balance_stops + longer > 0


def test_mains_that_drift_either_way_count_alike():
    low, high = (lamplight(LAMPS["metal halide"], mains_hz=hz, lux=500.0) for hz in (50.0, 60.0))
    for light, time_s in ((low, 0.01), (high, 1 / 120)):
        drifting = shutter(time_s, 50.0, shot=SHOT, controls=CONTROLS, light=light)
        assert 0.0 < drifting.drift_swing_stops < 0.05
        assert drifting.swing_stops == pytest.approx(0.0, abs=1e-6)
        assert drifting.is_clean
