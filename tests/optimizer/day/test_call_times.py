"""Running order: leads before the start, periods, breaks, back-up; clock changes and odd zones."""

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.optimizer.day.call_times import call_times
from standmark.optimizer.match.leads import AFTER_FINISH, BEFORE_START
from standmark.sports.order import Ceremony, Clock, Order, Overtime, Pause, Toss
from standmark.sports.sport import Period

HALVES = (
    Period("first-half", "First half", 45.0, 1, "first", 15.0, True),
    Period("second-half", "Second half", 45.0, 1, "swapped", 0.0, False),
)
LISBON = ZoneInfo("Europe/Lisbon")
START = datetime(2027, 5, 8, 15, 0, tzinfo=LISBON)


def at(times, key):
    return next(time.at for time in times if time.key == key)


def test_football_afternoon():
    times = call_times(START, HALVES)
    clock = {time.key: f"{time.at:%H:%M}" for time in times}
    assert clock["arrive"] == "13:30"
    assert clock["start-first-half"] == "15:00"
    assert clock["break-first-half"] == "15:45"
    assert clock["back-first-half"] == "15:57"
    assert clock["start-second-half"] == "16:00"
    assert clock["finish"] == "16:45"
    assert clock["back-up"] == "17:15"
    assert {lead.key for lead in (*BEFORE_START, *AFTER_FINISH)} <= set(clock)


def test_keys_are_unique_and_times_run_forward():
    quarters = tuple(Period(f"q{n}", f"Quarter {n}", 15.0, 1, "first", 3.0, False) for n in range(1, 5))
    times = call_times(START, quarters)
    assert len({time.key for time in times}) == len(times)
    assert all(a.at <= b.at for a, b in pairwise(times))


def test_short_break_keeps_three_quarters_of_it():
    sevens = (
        Period("h1", "First half", 7.0, 1, "first", 2.0, True),
        Period("h2", "Second half", 7.0, 1, "swapped", 0.0, False),
    )
    times = call_times(START, sevens, move_after={"h1": "Camera A to the far end."})
    assert at(times, "start-h2") - at(times, "back-h1") == timedelta(minutes=0.5)


@pytest.mark.parametrize(("minutes", "told"), [(2, "stay in"), (4, "only if"), (5, "Fresh battery"), (15, "Fresh")])
def test_a_short_break_asks_for_a_drink_and_a_long_one_for_a_card(minutes, told):
    periods = (replace(HALVES[0], break_after_min=minutes), HALVES[1])
    lines = {time.key: time.what for time in call_times(START, periods)}
    assert told in lines["break-first-half"]
    assert ("back-first-half" in lines) == (minutes >= 5)


def test_order_of_a_sport_is_told_at_its_times():
    order = Order(
        clock=Clock("overs", 2, 20.0, "ipl-cond"),
        toss=Toss("Toss", 30.0, "on the field of play", "mcc-13"),
        pauses=(
            Pause("Drinks", 4.0, "estimate", period="second-half", after_min=20.0),
            Pause("Between overs", 1.0, "estimate", how_often="after every over"),
        ),
        ceremonies=(Ceremony("Cup", "Medals.", "estimate", after_min=10.0, is_certain=False),),
        overtime=Overtime("Extra time", "Two halves of 15 minutes.", 5.0, 33.0, "estimate"),
    )
    times = {time.key: time for time in call_times(START, HALVES, order=order)}
    clock = {key: f"{time.at:%H:%M}" for key, time in times.items()}
    assert (clock["toss"], clock["pause-1"], clock["ceremony-1"], clock["overtime"]) == (
        "14:30",
        "16:20",
        "16:55",
        "16:50",
    )
    assert "17:23" in times["overtime"].what
    assert times["start-first-half"].what == "First half. 20 overs a side. Between overs (1 minute): after every over."
    assert [key for key, time in times.items() if not time.is_certain] == ["overtime", "ceremony-1"]


def test_own_leads_and_moves():
    times = call_times(START, HALVES, leads={"arrive": 180.0}, move_after={"first-half": "Camera A to the far end."})
    assert f"{at(times, 'arrive'):%H:%M}" == "12:00"
    told = next(time.what for time in times if time.key == "break-first-half")
    assert told.startswith("Camera A to the far end.")


def test_real_hours_across_a_change_of_clocks():
    # Lisbon puts its clocks back at 02:00 on 31 October 2027: 23:30 plus 4 h is 02:30 on the clock.
    late = datetime(2027, 10, 30, 23, 30, tzinfo=LISBON)
    long = (Period("only", "Only period", 240.0, 1, "same", 0.0, False),)
    finish = at(call_times(late, long), "finish")
    assert f"{finish:%H:%M}" == "02:30"
    assert finish.timestamp() - late.timestamp() == 4 * 3600


def test_half_hour_zone():
    adelaide = datetime(2027, 1, 9, 19, 30, tzinfo=ZoneInfo("Australia/Adelaide"))
    assert at(call_times(adelaide, HALVES), "finish").utcoffset() == timedelta(hours=10, minutes=30)


@given(st.lists(st.tuples(st.floats(5, 60), st.floats(0, 20)), min_size=1, max_size=5))
def test_every_period_has_its_length(spans):
    periods = tuple(Period(f"p{i}", f"P{i}", m, 1, "first", b, False) for i, (m, b) in enumerate(spans))
    times = call_times(START, periods)
    played = sum(m for m, _ in spans) + sum(b for _, b in spans[:-1])
    assert (at(times, "finish") - START).total_seconds() == pytest.approx(60 * played, abs=1e-3)


@pytest.mark.parametrize(
    ("zone", "back"),
    [
        ("Europe/Lisbon", (2027, 10, 31)),
        ("America/New_York", (2027, 11, 7)),
        ("Australia/Lord_Howe", (2027, 4, 4)),
        ("Africa/Cairo", (2027, 10, 29)),
        ("America/Asuncion", (2024, 3, 24)),
    ],
)
@pytest.mark.parametrize("hour", [21, 22, 23])
def test_running_order_is_one_of_true_time(zone, back, hour):
    """Times that a clock shows twice are told in the order in which they come."""
    start = datetime(*back, hour, 15, tzinfo=ZoneInfo(zone)) - timedelta(days=1)
    times = call_times(start, HALVES)
    assert all(a.at.timestamp() <= b.at.timestamp() for a, b in pairwise(times))
    assert [t.key for t in times if t.key in ("finish", "back-up")] == ["finish", "back-up"]
