"""Light presets: exposure table, ground levels and how lamps ripple."""

import pytest

from standmark.optimizer.match.light_kinds import LAMPS, SKIES
from standmark.optimizer.settings.light import FACING_SHARE, daylight, lamplight


@pytest.mark.parametrize(
    ("sky", "ev100"),
    # Exposure value, table of lighting conditions at ISO 100: sunny 16 = 15, hazy 14, cloudy bright 13, overcast 12.
    [("sun", 15.0), ("hazy", 14.0), ("bright cloud", 13.0), ("overcast", 12.0), ("shade", 12.0)],
)
def test_skies_follow_the_exposure_table(sky, ev100):
    light = daylight(SKIES[sky])
    assert light.lux == pytest.approx(2.5 * 2.0**ev100)
    assert light.ripple_hz is None


def test_measured_light_goes_before_the_table():
    assert daylight(SKIES["sun"], lux=50_000.0).lux == 50_000.0
    assert daylight(SKIES["sun"], lux=50_000.0).lux_source == "measured"


def test_every_lamp_ripples_at_twice_the_mains():
    for lamp in LAMPS.values():
        light = lamplight(lamp, mains_hz=60.0, lux=500.0)
        assert light.ripple_hz == 120.0
        assert 0.0 <= light.modulation <= 1.0
        assert "estimate" in light.modulation_source


def test_ground_level_figures_are_turned_to_the_camera():
    light = lamplight(LAMPS["led"], mains_hz=50.0, lux=500.0, is_horizontal=True, modulation=0.1)
    assert light.lux == 500.0 * FACING_SHARE
    assert "ground" in light.lux_source
    assert (light.modulation, light.modulation_source) == (0.1, "measured")
    # Lighting practice: sports facilities: at least 0.3; FIFA pitch lighting grades 500/750 to 400/500.
    assert 0.3 <= FACING_SHARE <= 500 / 750


def test_unstated_light_is_called_a_guess():
    assert "guess" in lamplight(LAMPS["unknown"], mains_hz=50.0).lux_source
    assert (
        lamplight(LAMPS["unknown"], mains_hz=50.0, is_indoor=True).lux > lamplight(LAMPS["unknown"], mains_hz=50.0).lux
    )
