"""Settings and day of a planned match: the plan's own distances, lenses, periods and people."""

from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import shapely

from standmark.geometry.optics.camera import Lens, RecordingMode, Support
from standmark.optimizer.day.planned import planned_day
from standmark.optimizer.match.filming import Filming
from standmark.optimizer.match.match import AllowedArea, Camera, Deliverable, FixedSpot, Match, Venue
from standmark.optimizer.match.weather import Weather
from standmark.optimizer.planning import plan
from standmark.optimizer.settings.light_path import match_light
from standmark.optimizer.settings.planned import match_wish, planned_cards
from standmark.optimizer.value.targets import period_targets
from standmark.sports.library import load_sport

SPORT = load_sport("football")
MODE = RecordingMode("full frame UHD", 36.0, 20.25, 3840, 2160, (25.0, 50.0))
LENS = Lens("70-200", (70.0, 200.0), (2.8, 2.8))
HIGHLIGHTS = Deliverable("highlights", "Highlights", 0.12, 0.45, 250.0, 1.0, (16, 9), 25.0)
SLOW_MOTION = Deliverable("slow-motion", "Slow motion", 0.20, 0.60, 350.0, 0.8, (16, 9), 100.0)


def match(*, filming=None, venue=None, deliverable=HIGHLIGHTS):
    areas = (AllowedArea("by-the-goal", "by the goal", shapely.box(57.0, 11.0, 58.0, 13.0), (1.6, 1.6)),)
    camera = Camera("A", MODE, (LENS,), Support("tripod", 60.0, 40.0), fixed=FixedSpot(57.5, 12.0, 1.6))
    return Match(
        sport=SPORT,
        title="Test match",
        venue=Venue("Test ground", areas, **(venue or {})),
        cameras=(camera,),
        deliverable=deliverable,
        start=datetime(2027, 5, 8, 15, 0, tzinfo=ZoneInfo("Europe/Lisbon")),
        filming=filming or Filming(),
    )


@pytest.fixture(scope="module")
def planned():
    return plan(match(filming=Filming(weather=Weather(sky="sun", rain="showers"))))


def test_every_camera_and_period_has_cards(planned):
    cards = planned_cards(planned)
    assert {(card.camera, card.period) for card in cards} == {("A", p.key) for p in SPORT.periods}
    for card in cards:
        assert card.group.distance_m[0] <= card.group.shot.distance_m <= card.group.distance_m[1]
        assert 70.0 <= card.group.focal_mm[0] <= card.group.shot.focal_mm <= card.group.focal_mm[1] <= 200.0
        assert card.card.settings.fps in MODE.fps


def test_each_moment_belongs_to_one_group_of_a_period(planned):
    for period in SPORT.periods:
        keys = [key for card in planned_cards(planned) if card.period == period.key for key in card.group.moments]
        assert len(keys) == len(set(keys))
        assert set(keys) <= {moment.key for moment in SPORT.moments}


def test_distances_are_those_of_the_ground(planned):
    first = SPORT.periods[0]
    targets = period_targets(planned.match, first)
    reach = np.linalg.norm(targets.xyz_m - np.array([57.5, 12.0, 1.6]), axis=1)
    for card in planned_cards(planned):
        assert reach.min() <= card.group.distance_m[0] <= card.group.distance_m[1] <= reach.max()


def test_people_and_play_are_told_apart(planned):
    is_play = {moment.key: moment.is_play for moment in SPORT.moments}
    for card in planned_cards(planned):
        assert {is_play[key] for key in card.group.moments} == {card.group.name.startswith("play")}


def test_light_follows_the_venue():
    sun = match_light(match(filming=Filming(weather=Weather(sky="sun"))))
    assert sun.lux == pytest.approx(81920.0)  # EV 15 at ISO 100, C = 250
    lamps = match_light(
        match(
            venue={"is_floodlit": True, "lux": 500.0, "mains_hz": 60.0},
            filming=Filming(lamp="sodium", is_lux_horizontal=True),
        )
    )
    assert (lamps.ripple_hz, lamps.lux, lamps.name) == (120.0, 250.0, "high-pressure sodium")
    hall = match_light(match(venue={"is_indoor": True}))
    assert hall.ripple_hz == 100.0
    assert "guess" in hall.lux_source


def test_wishes():
    plain = match_wish(match())
    assert (plain.delivery_fps, plain.least_fps, plain.shutter_deg) == (25.0, 25.0, 90.0)
    american = match_wish(match(venue={"mains_hz": 60.0}, deliverable=SLOW_MOTION))
    assert (american.delivery_fps, american.least_fps, american.shutter_deg) == (30.0, 100.0, 180.0)
    asked = match_wish(match(filming=Filming(least_fps=50.0, shutter_s=1 / 200, f_number=8.0)))
    assert (asked.least_fps, asked.shutter_s, asked.f_number) == (50.0, 1 / 200, 8.0)


def test_day_of_the_plan(planned):
    day = planned_day(planned, planned_cards(planned), say_place=lambda spot: spot.id)
    assert next(time for time in day.times if time.key == "start-first-half").at == planned.match.start
    assert any(item.name == "rain cover" for item in day.kit)
    assert day.joint_checks == ()
    told = [caution.text for caution in day.cautions]
    assert set(SPORT.brief.dangers) & set(told), "the sport's own dangers are among them"
    assert any("neutral density" in item.name for item in day.kit), "what the settings use is packed"
