"""Loading sports: known keys, presets, sizes, and what is said when something is wrong."""

import pytest

from standmark.geometry.errors import InputError
from standmark.sports.library import DEFINITIONS, load_definition, load_sport, sport_keys

KEYS = sport_keys()


@pytest.mark.parametrize("key", KEYS)
def test_every_preset_loads_at_its_usual_size(key):
    _, definition = load_definition(DEFINITIONS / f"{key}.toml")
    assert definition.key == key
    for preset in definition.preset:
        sport = load_sport(key, preset=preset.key)
        assert sport.preset == preset.key
        assert sport.moments
        assert sport.area.places


def test_unknown_sport_offers_the_nearest():
    with pytest.raises(InputError, match='unknown sport "footbal"; did you mean football'):
        load_sport("footbal")


def test_unknown_preset_offers_the_nearest():
    with pytest.raises(InputError, match=r'unknown preset "9vs9".*known: adult.*did you mean "9v9"'):
        load_sport("football", preset="9vs9")


@pytest.mark.parametrize("length_m", [0.0, -5.0, float("nan"), float("inf"), 1201.0])
def test_absurd_length_is_refused(length_m):
    with pytest.raises(InputError, match=r"football: length_m: .* cannot be right; allowed: over 0 to 1200"):
        load_sport("football", length_m=length_m)


def test_a_small_ground_is_accepted():
    sport = load_sport("football", length_m=40.0, width_m=25.0)
    assert sport.area.outline.bounds == (-20.0, -12.5, 20.0, 12.5)
