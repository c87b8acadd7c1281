"""What every definition must hold: weights, zones on the ground, places people may stand, words, round trip."""

import math
import re
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standmark.sports.library import DEFINITIONS, load_definition, load_sport, sport_keys
from standmark.sports.reading.known_sources import KNOWN_SOURCES
from standmark.sports.reading.schema import SportFile
from standmark.sports.toml.file import as_tuples

KEYS = sport_keys()
PRESETS = [(key, p.key) for key in KEYS for p in load_definition(DEFINITIONS / f"{key}.toml").definition.preset]
SURROUNDINGS_M = 50.0
SPEED_LIMIT_M_S = 10.5  # nobody runs or skates faster in a match
OF_WHO_DEFENDS = {"block", "dig"}  # described for the side that attacks +x, so the attack is at the other end


@cache
def sport_at(key, preset):
    return load_sport(key, preset=preset)


def test_there_are_the_sports_that_were_promised():
    assert len(KEYS) == 25
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key) for key in KEYS)


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_zones_lie_on_the_ground_or_near_it_and_weigh_one(key, preset):
    sport = sport_at(key, preset)
    near = sport.area.outline.buffer(SURROUNDINGS_M)
    for moment in sport.moments:
        assert sum(zone.weight for zone in moment.zones) == pytest.approx(1.0, abs=1e-9)
        for zone in moment.zones:
            assert zone.shape.is_valid
            assert zone.shape.area > 0
            assert near.covers(zone.shape), moment.key


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_most_of_play_happens_on_the_playing_area(key, preset):
    sport = sport_at(key, preset)
    for moment in (m for m in sport.moments if m.is_play):
        inside = sum(z.weight * z.shape.intersection(sport.area.run_off).area / z.shape.area for z in moment.zones)
        assert inside > 0.6, moment.key


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_places_are_outside_the_playing_area_and_what_is_kept_clear(key, preset):
    area = sport_at(key, preset).area
    assert len({place.key for place in area.places}) == len(area.places)
    for place in area.places:
        assert place.shape.is_valid
        assert place.shape.intersection(area.outline).area < 1e-9
        assert 0.3 <= place.lens_height_m[0] < place.lens_height_m[1] <= 12.0
        for clear in area.keep_clear:
            assert place.shape.intersection(clear.shape).area < 1e-6, (place.key, clear.name)
    assert area.outline.within(area.run_off.buffer(1e-9))


@pytest.mark.parametrize("key", KEYS)
def test_every_definition_is_complete(key):
    sport = sport_at(key, None)
    play = [m for m in sport.moments if m.is_play]
    other = [m for m in sport.moments if not m.is_play]
    assert 6 <= len(play) <= 14
    assert 2 <= len(other) <= 8
    assert any(m.must for m in play)
    worth = sum(m.rate_per_match * m.importance for m in sport.moments)
    assert sum(m.rate_per_match * m.importance for m in other) <= 0.25 * worth
    assert len({m.key for m in sport.moments}) == len(sport.moments)
    assert len(sport.brief.vocabulary) == 10
    assert len({term.lower() for term, _ in sport.brief.vocabulary}) == 10
    assert len(sport.brief.dangers) >= 3
    assert len(sport.area.keep_clear) >= 2
    assert sport.area.targets or key == "ultimate"  # its target is a zone
    for moment in sport.moments:
        assert moment.speed_m_s <= SPEED_LIMIT_M_S
        assert moment.subject_height_m <= 2.1
        assert moment.action_height_m[1] <= 4.5
        assert moment.extent_m[1] >= 0.9 * (moment.action_height_m[1] - moment.action_height_m[0])
        assert moment.picture.endswith(".")


@pytest.mark.parametrize("key", [k for k in KEYS if k not in ("baseball", "softball")])
def test_what_belongs_to_no_side_is_the_same_at_both_ends(key):
    for moment in (m for m in sport_at(key, None).moments if not m.sided):
        here = sum(zone.weight * zone.shape.centroid.x for zone in moment.zones)
        assert here == pytest.approx(0.0, abs=1e-6), moment.key


@pytest.mark.parametrize("key", KEYS)
def test_every_figure_names_a_source_that_exists_and_every_source_is_used(key):
    text = (DEFINITIONS / f"{key}.toml").read_text(encoding="utf-8")
    definition = load_definition(DEFINITIONS / f"{key}.toml").definition
    used = set(re.findall(r'source = "([^"]+)"', text))
    assert used - set(KNOWN_SOURCES) == set(definition.sources)
    for source in definition.sources.values():
        assert source.title
        assert source.kind


@pytest.mark.parametrize("key", KEYS)
def test_the_brief_has_words_for_every_moment_and_no_other(key):
    definition = load_definition(DEFINITIONS / f"{key}.toml").definition
    assert set(definition.brief.moments) == {moment.key for moment in definition.moment}


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_no_shot_save_or_restart_weighs_more_than_the_scores(key, preset):
    weight = {m.key: m.rate_per_match * m.importance for m in sport_at(key, preset).moments}
    scores = sum(weight.get(name, 0.0) for name in ("goal", "point", "two-pointer", "set-shot", "try", "touchdown"))
    for name in ("shot", "save", "corner-contest", "kick-out", "puck-out", "contested-mark", "snap", "catch"):
        assert scores == 0 or weight.get(name, 0.0) <= scores, name


@pytest.mark.parametrize("key", KEYS)
def test_every_moment_of_play_says_how_play_jumps_to_it(key):
    definition = load_definition(DEFINITIONS / f"{key}.toml").definition
    for moment in definition.moment:
        assert moment.jump is not None or not moment.is_play, moment.key
        if moment.jump is not None:
            assert max(moment.jump.along_m_s, moment.jump.across_m_s) <= 20.0, moment.key  # no pass is faster
            assert (moment.jump.share > 0) == (moment.jump.along_m_s > 0), moment.key


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_what_shows_the_same_people_of_one_event_is_counted_once(key, preset):
    """Second views are of other people: elsewhere, turned the other way, or of the side that defends."""
    definition = load_definition(DEFINITIONS / f"{key}.toml").definition
    shape = {m.key: shapely.union_all([z.shape for z in m.zones]) for m in sport_at(key, preset).moments}
    own = [m for m in definition.moment if m.event and m.key in shape]
    for second in (m for m in own if m.second_view):
        for first in (m for m in own if m.event == second.event and not m.second_view):
            common = shape[second.key].intersection(shape[first.key]).area
            is_elsewhere = common <= 0.5 * min(shape[second.key].area, shape[first.key].area)
            turned = abs(_look_deg(second) - _look_deg(first)) % 360 >= 90
            assert is_elsewhere or turned or second.key in OF_WHO_DEFENDS, (second.key, first.key)


def _look_deg(moment):
    return moment.facing.direction_deg if moment.facing.toward is None else 0.0


@pytest.mark.parametrize("key", KEYS)
def test_periods_say_who_attacks_where(key):
    for _, preset in (pair for pair in PRESETS if pair[0] == key):
        periods = sport_at(key, preset).periods
        assert len({p.key for p in periods}) == len(periods)
        attacks = [p.attack for p in periods]
        if "swapped" in attacks:
            assert attacks[0] == "first"
        assert ("same" in attacks) == (key in ("baseball", "softball"))


@pytest.mark.parametrize("key", KEYS)
def test_definition_survives_being_written_and_read(key):
    definition = load_definition(DEFINITIONS / f"{key}.toml").definition
    plain = definition.model_dump(mode="json", exclude_none=True, exclude_defaults=True)
    assert SportFile.model_validate(as_tuples(plain)) == definition


@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_size_that_the_laws_allow_builds(data):
    key, preset = data.draw(st.sampled_from(PRESETS))
    usual = sport_at(key, preset)
    length = data.draw(st.floats(*usual.length_range_m))
    width = data.draw(st.floats(*usual.width_range_m))
    sport = load_sport(key, preset=preset, length_m=length, width_m=width)
    assert (sport.area.length_m, sport.area.width_m) == (length, width)
    assert len(sport.area.markings) == len(usual.area.markings)
    assert len(sport.moments) == len(usual.moments)
    for here, there in zip(sport.moments, usual.moments, strict=True):
        assert len(here.zones) == len(there.zones)
    assert sport.area.places
    near = sport.area.outline.buffer(SURROUNDINGS_M)
    assert all(near.covers(zone.shape) for moment in sport.moments for zone in moment.zones)


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_presets_stay_within_their_own_range(key, preset):
    sport = sport_at(key, preset)
    assert sport.length_range_m[0] <= sport.area.length_m <= sport.length_range_m[1]
    assert sport.width_range_m[0] <= sport.area.width_m <= sport.width_range_m[1]
    definition = load_definition(DEFINITIONS / f"{key}.toml").definition
    for size in definition.sizes.values():
        assert (size.min or 0) <= size.typical <= (size.max or math.inf)


@pytest.mark.parametrize("key", [k for k in KEYS if k not in ("baseball", "softball")])
def test_playing_area_is_the_same_at_both_ends(key):
    area = sport_at(key, None).area
    for shape in (area.outline, *(m.shape for m in area.markings)):
        turned = shapely.transform(shape, lambda xy: xy * np.array([-1.0, 1.0]))
        is_bench_side = shape.centroid.y > 1.0
        assert is_bench_side or turned.hausdorff_distance(shape) < 1e-6


@pytest.mark.parametrize("key", ["baseball", "softball"])
def test_nobody_is_sent_against_the_net_that_foul_balls_hit(key):
    sport = load_sport(key)
    net = next(o for target in sport.area.targets for o in target.occluders if o.name == "backstop net")
    places = [place.shape for place in sport.area.places if place.key.startswith("backstop")]
    assert places
    assert min(shape.distance(shapely.LineString(net.footprint_m)) for shape in places) >= 1.0
    assert "mesh hole" not in sport.brief.stand


@pytest.mark.parametrize(("key", "preset"), PRESETS)
def test_moments_of_nobody_prefer_no_end(key, preset):
    """Where sides change ends, a moment that belongs to neither must not be better seen from one of them."""
    sport = sport_at(key, preset)
    if all(period.attack == "same" for period in sport.periods):
        return
    for moment in (m for m in sport.moments if not m.sided and m.facing.toward_m is None):
        is_any_way = moment.facing.spread_deg >= 180
        assert is_any_way or abs(math.cos(math.radians(moment.facing.direction_deg))) < 1e-9, moment.key
