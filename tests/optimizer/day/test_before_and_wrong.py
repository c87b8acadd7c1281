"""What has a date before the match, the lists of a visit, and what each camera does when something goes wrong."""

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from standmark.geometry.heat import LIGHTNING_30_30
from standmark.optimizer.day.day import plan_day
from standmark.optimizer.day.deadlines import deadlines, setting_off
from standmark.optimizer.day.mishaps import camera_mishaps, card_words
from standmark.optimizer.day.outing import Ask, CameraDay, Outing
from standmark.optimizer.match.recorder import Recorder
from standmark.sports.order import Order, Stop
from standmark.sports.sport import Period

ZONE = ZoneInfo("Europe/Lisbon")
START = datetime(2027, 5, 10, 15, 0, tzinfo=ZONE)  # a Monday
HALVES = (
    Period("first-half", "First half", 45.0, 1, "first", 15.0, True),
    Period("second-half", "Second half", 45.0, 1, "swapped", 0.0, False),
)
LOW = CameraDay("Camera A", ("70-200",), 200.0, "tripod", 1.6, 50.0, Recorder(100.0, None, 128.0, 90.0))
OUTING = Outing("Football", "Reed End", START, HALVES, (LOW,), watch=("Who takes corners.",))


def dates(outing):
    return {time.key: f"{time.at:%a %d %H:%M}" for time in deadlines(outing)}


def test_ground_and_start_are_checked_twice():
    found = deadlines(OUTING)
    assert dates(OUTING) == {"check-first": "Mon 03 15:00", "check-second": "Sun 09 18:00"}
    assert all("Reed End" in time.what and "15:00" in time.what for time in found)
    assert deadlines(replace(OUTING, start=None)) == ()


def test_leave_is_counted_back_in_days_or_working_days():
    assert dates(replace(OUTING, ask=Ask(3, False, "match file")))["ask"] == "Fri 07 15:00"
    working = replace(OUTING, ask=Ask(3, True, "rules of a league"))
    assert dates(working)["ask"] == "Wed 05 15:00"  # Friday, Thursday, Wednesday
    ask = next(time for time in deadlines(working) if time.key == "ask")
    assert "3 working days" in ask.what
    assert ask.source == "rules of a league"


def test_setting_off_counts_the_road_and_parking():
    arrive = START - timedelta(minutes=90)
    assert setting_off(OUTING, arrive) is None
    off = setting_off(replace(OUTING, travel_min=35.0), arrive)
    assert f"{off.at:%H:%M}" == "12:45"
    assert f"{setting_off(replace(OUTING, travel_min=35.0, parking_min=3.0), arrive).at:%H:%M}" == "12:52"
    day = plan_day(replace(OUTING, travel_min=35.0))
    assert [time.key for time in day.times[:2]] == ["leave-home", "arrive"]


def test_lists_of_a_visit():
    day = plan_day(replace(OUTING, visit=START - timedelta(days=2)))
    assert "visit" in {time.key for time in day.deadlines}
    assert day.training[0] == "Who takes corners."
    assert any("hour of the match" in line for line in day.visit)
    assert any("flicker" in line for line in plan_day(replace(OUTING, is_lit=True)).visit)
    high = replace(OUTING, cameras=(replace(LOW, lens_height_m=6.0),))
    assert any("guardrails" in line for line in plan_day(high).visit)
    assert not any("guardrails" in line for line in day.visit)


@pytest.mark.parametrize(
    ("card_gb", "told"),
    [
        # 100 Mbit/s are 0.75 GB a minute; a card is filled to nine tenths.
        (
            128.0,
            "One holds 154 minutes, more than you record at a stretch. Change it in the break after the",
        ),
        (32.0, "One holds 38 minutes: it's full 38 minutes into the first half, at 15:38"),
        (50.0, "more than you record at a stretch"),  # 60 minutes: the break comes first
    ],
)
def test_when_a_card_is_full(card_gb, told):
    camera = replace(LOW, recorder=Recorder(100.0, None, card_gb, 90.0))
    assert told in card_words(OUTING, camera)


def test_a_card_is_changed_where_play_is_dead_long_enough():
    camera = replace(LOW, recorder=Recorder(100.0, None, 32.0, 90.0))
    stops = (Stop("before a throw-in", 8.3, "x"), Stop("before a kick", 60.4, "x"), Stop("before a corner", 40.4, "x"))
    assert "before a corner (about 40 seconds)" in card_words(replace(OUTING, order=Order(stops=stops)), camera)
    assert "before that, at a stoppage" in card_words(replace(OUTING, order=Order(stops=stops[:1])), camera)


def test_a_short_break_leaves_the_card_in():
    # 12 minutes a quarter, breaks of 2: a card of 30 minutes is full 2 minutes into the third quarter, at 15:30.
    quarters = tuple(Period(f"q{n}", f"Quarter {n}", 12.0, 1, "first", 2.0, False) for n in range(1, 5))
    camera = replace(LOW, recorder=Recorder(100.0, None, 25.0, 90.0))
    words = card_words(replace(OUTING, periods=quarters), camera)
    assert "2 minutes into the quarter 3, at 15:30" in words
    assert "in the break" not in words


def test_each_camera_knows_what_to_do():
    told = {mishap.key: mishap for mishap in camera_mishaps(OUTING, LOW)}
    assert set(told) == {"fails", "card", "refused", "thunder", "injury"}
    assert "30 minutes after the last thunder" in told["thunder"].text
    assert told["thunder"].source == LIGHTNING_30_30.source
    assert "telephone" in told["fails"].text  # alone
    assert "lens down" in told["injury"].text
    high = replace(LOW, lens_height_m=6.0, spare="to the bank", if_lost="camera B goes to the halfway line.")
    both = replace(OUTING, cameras=(high, replace(LOW, name="Camera B")), has_minors=False)
    told = {mishap.key: mishap.text for mishap in camera_mishaps(both, high)}
    assert told["thunder"].startswith("Come down first.")
    assert "Go to the bank." in told["refused"]
    assert "camera B goes to the halfway line." in told["fails"]
    assert "child" not in told["injury"]
    other = {mishap.key: mishap.text for mishap in camera_mishaps(both, both.cameras[1])}
    assert "the others go wider" in other["fails"]
    assert "thunder" not in {m.key for m in camera_mishaps(replace(OUTING, is_indoor=True), LOW)}
