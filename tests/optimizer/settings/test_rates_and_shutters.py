"""Frame rates and shutters to the figure: which rate is taken, what ripple is left."""

from math import inf, log2

import pytest

from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.flicker import ripple_left, swing_stops
from standmark.optimizer.match.light_kinds import LAMPS, SKIES
from standmark.optimizer.settings.frame_rate import choose_frame_rate, frame_rate
from standmark.optimizer.settings.light import daylight, lamplight
from standmark.optimizer.settings.shot import Controls, Shot
from standmark.optimizer.settings.shutter import shutter

MODE = RecordingMode("full frame UHD", 36.0, 20.25, 3840, 2160, (25.0, 50.0))
SHOT = Shot("shots", 40.0, 200.0, 2.8, 4.0, 1.8, 9.0, 30.0, 0.2)
SUN = daylight(SKIES["sun"])


def lamps(modulation):
    return lamplight(LAMPS["sodium"], mains_hz=50.0, lux=500.0, modulation=modulation)


@pytest.mark.parametrize(
    ("fps", "delivery_fps", "slow", "is_even"),
    [
        (50.0, 25.0, 2.0, True), (120.0, 25.0, 4.8, False), (29.97, 30.0, 0.999, True), (24.0, 25.0, 0.96, False),
        (30.0, 25.0, 1.2, False), (59.94, 30.0, 1.998, True), (25.0, 50.0, 0.5, False), (119.7, 60.0, 1.995, False),
        (49.95, 25.0, 1.998, True), (50.2, 25.0, 2.008, False), (100.15, 25.0, 4.006, True), (75.0, 50.0, 1.5, False),
    ],
)  # fmt: skip
def test_a_rate_plays_evenly_near_a_whole_multiple(fps, delivery_fps, slow, is_even):
    rate = frame_rate(fps, delivery_fps, light=SUN)
    assert (rate.slow_down, rate.light_stops) == pytest.approx((slow, log2(slow)))
    assert rate.plays_evenly is is_even
    assert (rate.safe_times_s, rate.safe_angles_deg, rate.beat_hz, rate.is_safe) == ((), (), 0.0, True)


def test_a_rate_under_lamps_lists_its_times_without_flicker():
    rate, fast = (frame_rate(fps, 25.0, light=lamps(0.5)) for fps in (30.0, 120.0))
    assert rate.safe_times_s == (0.01, 0.02, 0.03)
    assert rate.safe_angles_deg == pytest.approx((108.0, 216.0, 324.0))
    assert (rate.beat_hz, rate.is_safe) == (10.0, True)
    assert (fast.beat_hz, fast.is_safe) == (20.0, False)


@pytest.mark.parametrize(
    ("offered", "light", "least_fps", "taken"),
    [
        ((25.0, 50.0, 100.0), SUN, 50.0, 50.0),
        ((25.0, 49.95, 100.0), SUN, 50.0, 49.95),
        ((25.0, 49.8, 100.0), SUN, 50.0, 100.0),
        ((60.0, 75.0), SUN, 50.0, 75.0),
        ((60.0, 80.0), SUN, 50.0, 60.0),
        ((25.0, 50.0, 60.0), SUN, 200.0, 50.0),
        ((55.0, 60.0), SUN, 200.0, 60.0),
        ((125.0, 60.0), lamps(0.5), 50.0, 60.0),
        ((125.0, 60.0), lamps(0.5), 200.0, 60.0),
    ],
)
def test_the_slowest_rate_that_is_fast_enough_is_taken(offered, light, least_fps, taken):
    assert choose_frame_rate(tuple(frame_rate(f, 25.0, light=light) for f in offered), least_fps).fps == taken


def test_a_shutter_in_steady_light_has_no_ripple():
    row = shutter(1 / 100, 50.0, shot=SHOT, controls=Controls(MODE), light=SUN)
    assert (row.frame_ripple, row.band_ripple, row.swing_stops, row.drift_swing_stops) == ((0.0, 0.0), 0.0, 0.0, 0.0)
    assert (row.is_clean, row.nearest_safe_s) == (True, None)
    assert row.player_blur_share == pytest.approx(9.0 / 100 / 1.8)
    unknown = Shot("shots", 40.0, 200.0, 2.8, 4.0, 1.8, 9.0, 30.0)
    assert shutter(1 / 100, 50.0, shot=unknown, controls=Controls(MODE), light=SUN).ball_blur_share is None


@pytest.mark.parametrize(
    ("time_s", "modulation", "readout_s", "bands"),
    [(1 / 300, 0.4, None, 1.0), (1 / 300, 0.4, 0.01, 1.0), (1 / 300, 0.4, 1 / 600, 0.5), (1 / 300, 0.4, 0.0, 0.0)],
)
def test_bands_are_as_deep_as_the_rows_are_apart(time_s, modulation, readout_s, bands):
    # 2 m sinc(f T) sin(pi f readout), whole from half a period on
    row = shutter(time_s, 60.0, shot=SHOT, controls=Controls(MODE, readout_s=readout_s), light=lamps(modulation))
    left = modulation * ripple_left(time_s, 100.0)
    assert row.band_ripple == pytest.approx(2 * left * bands)
    assert row.swing_stops == pytest.approx(swing_stops(left))
    assert row.frame_ripple[1] == pytest.approx(2 * left * 0.8660254)  # three phases: 2 cos(pi / 6)
    # 1 % off either way: 99 Hz leaves more ripple of an exposure this short than 101 Hz
    assert row.drift_swing_stops == pytest.approx(swing_stops(modulation * ripple_left(time_s, 99.0)))
    other = lamplight(LAMPS["sodium"], mains_hz=60.0, lux=500.0, modulation=modulation)
    row = shutter(time_s, 60.0, shot=SHOT, controls=Controls(MODE), light=other)
    assert row.drift_swing_stops == pytest.approx(swing_stops(modulation * ripple_left(time_s, 118.8)))


@pytest.mark.parametrize(("modulation", "is_clean"), [(0.03, True), (0.034, True), (0.036, False), (0.5, False)])
def test_under_a_tenth_of_a_stop_is_not_seen(modulation, is_clean):
    # log2((1 + a) / (1 - a)) = 0.1 at a = 0.03464, and next to nothing of the ripple is lost in 1/8000 s
    row = shutter(1 / 8000, 50.0, shot=SHOT, controls=Controls(MODE), light=lamps(modulation))
    assert row.is_clean is is_clean
    assert shutter(0.02, 50.0, shot=SHOT, controls=Controls(MODE), light=lamps(1.0)).is_clean
    assert shutter(1 / 8000, 50.0, shot=SHOT, controls=Controls(MODE), light=lamps(1.1)).swing_stops == inf
