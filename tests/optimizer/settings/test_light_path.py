"""Light through a match: falling evenings, lamps that take over, measured figures that follow the sun."""

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from math import log2
from zoneinfo import ZoneInfo

import pytest
from small_match import SIDE, small_match

from standmark.geometry.optics.exposure import NeutralDensity
from standmark.optimizer.match.filming import Filming
from standmark.optimizer.match.light_kinds import LAMPS, SKIES
from standmark.optimizer.match.presets import MODES
from standmark.optimizer.match.weather import Weather
from standmark.optimizer.planning import plan
from standmark.optimizer.settings.card import settings_card
from standmark.optimizer.settings.frame_rate import choose_frame_rate, frame_rate
from standmark.optimizer.settings.light import daylight, lamplight
from standmark.optimizer.settings.light_path import light_changes, match_light, match_lights
from standmark.optimizer.settings.planned import planned_cards
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot

LISBON = ZoneInfo("Europe/Lisbon")
AT_SEA = {"latitude_deg": 38.7, "longitude_deg": -12.1, "bearing_deg": 0.0, "has_bearing": True}
OCTOBER = datetime(2027, 10, 16, tzinfo=LISBON)


def evening(hour, minute=0, *, sky="sun", **venue):
    match = small_match(areas=(SIDE,))
    return replace(
        match,
        venue=replace(match.venue, **AT_SEA, **venue),
        start=OCTOBER.replace(hour=hour, minute=minute),
        filming=Filming(weather=Weather(sky=sky)),
    )


def stops_between(lights):
    return log2(lights[0].light.lux / lights[-1].light.lux)


def test_high_sun_gives_what_the_exposure_table_says():
    noon = replace(evening(13), start=datetime(2027, 6, 21, 13, 30, tzinfo=LISBON))
    assert match_light(noon).lux == pytest.approx(2.5 * 2.0 ** SKIES["sun"].ev100, rel=0.01)


def test_after_sunset_it_is_twilight():
    """Forty-odd minutes after sunset: civil twilight is all but over, a few lux (AMS glossary: 2 to 3.5 at its end)."""
    match = evening(18)
    lights = match_lights(match)
    six_below = min(lights, key=lambda now: abs(now.elevation_deg + 6.0))
    assert abs(six_below.elevation_deg + 6.0) < 0.2
    assert 0.5 < six_below.light.lux < 3.0


def test_changes_are_a_stop_apart_and_start_with_the_first():
    lights = match_lights(evening(17, 30))
    changes = light_changes(lights)
    assert changes[0] is lights[0]
    steps = [log2(a.light.lux / b.light.lux) for a, b in pairwise(changes)]
    assert len(steps) >= 6
    assert all(1.0 <= step < 1.5 for step in steps)
    assert len(changes) - 1 <= stops_between(lights)


def test_lamps_take_over():
    match = evening(18, is_floodlit=True, lux=200.0)
    lights = match_lights(match)
    assert lights[0].light.lux > 400.0
    assert lights[0].light.modulation < 0.1 < lights[-1].light.modulation
    assert lights[-1].light.lux == pytest.approx(200.0, rel=0.02)
    mixed = [now for now in lights if "mixed" in now.light.white_balance]
    assert mixed
    assert lights[-1] not in mixed


def test_a_measured_figure_follows_the_sun():
    match = evening(17, lux=10_000.0)
    lights = match_lights(match)
    assert lights[0].light.lux == pytest.approx(10_000.0)
    assert lights[-1].light.lux < 3_000.0


def test_nothing_is_known_without_a_place_or_indoors():
    nowhere = evening(17)
    assert match_lights(replace(nowhere, venue=replace(nowhere.venue, latitude_deg=None))) == ()
    assert match_lights(replace(evening(17), start=None)) == ()
    assert match_lights(evening(17, is_indoor=True)) == ()


def test_cards_follow_the_light_and_say_when_it_is_too_dark():
    cards = planned_cards(plan(evening(17, 30), advice="none"))
    last = [card for card in cards if card.period == "second-half"]
    assert last
    for card in last:
        assert card.dark_from is not None
        assert OCTOBER.replace(hour=18, minute=40) < card.dark_from < OCTOBER.replace(hour=19, minute=45)
        times = [change.at for change in card.changes]
        assert times == sorted(times)
        assert all(later - sooner >= timedelta(minutes=1) for sooner, later in pairwise(times))
    first = next(card for card in cards if card.period == "first-half")
    assert first.dark_from is None
    strengths = [first.card.settings.nd_stops, *(change.settings.nd_stops for change in first.changes)]
    assert strengths == sorted(strengths, reverse=True)


def test_a_high_sun_asks_for_no_change():
    noon = replace(evening(13), start=datetime(2027, 6, 21, 13, 0, tzinfo=LISBON))
    assert all(card.changes == () and card.dark_from is None for card in planned_cards(plan(noon, advice="none")))


def test_asked_for_a_hundred_frames_at_fifty_hertz():
    """A camera that stops at 60 takes 50: steady under the lamps and a whole multiple of what is delivered."""
    lamps = lamplight(LAMPS["led"], mains_hz=50.0)
    rates = tuple(frame_rate(fps, 25.0, light=lamps) for fps in (24.0, 25.0, 30.0, 50.0, 60.0))
    assert choose_frame_rate(rates, 100.0).fps == 50.0


@pytest.mark.parametrize("over", [0.3, 0.5, 1.0, 2.4, 3.1, 4.6, 6.0, 7.7])
@pytest.mark.parametrize(
    "filters", [NeutralDensity((3.0, 6.0)), NeutralDensity((), (2.0, 5.0)), NeutralDensity((2.0, 4.0, 6.0))]
)
def test_iso_never_pays_for_a_filter_that_is_too_strong(over, filters):
    shot = Shot("shots at goal", 40.0, 200.0, 2.8, 4.0, 1.8, 8.0, 30.0, 0.22)
    controls = Controls(MODES["full-frame-hd"], (100.0, 1600.0, 6400.0), filters)
    wish = FilmWish(least_fps=25.0, f_number=None)
    dim = settings_card(shot, controls, wish=wish, light=daylight(SKIES["sun"], lux=1000.0))
    base = iso_right(dim)
    light = daylight(SKIES["sun"], lux=base * 2.0**over)
    card = settings_card(shot, controls, wish=wish, light=light)
    assert card.settings.iso <= 126.0
    assert card.balance_stops > -0.34
    assert not any(step.text.startswith("Still 0.0") for step in card.steps)


def iso_right(card):
    """Light in which a card's aperture and time are right at base ISO [lux]."""
    wanted = next(step.settings for step in card.steps if step.about == "ISO")
    return 250.0 * wanted.f_number**2 / (wanted.time_s * 100.0)
