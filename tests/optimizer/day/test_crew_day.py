"""Several matches on a day: changeovers, breaks, meals, batteries and clashes, against times worked out by hand."""

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from standmark.optimizer.day.breaks import Stretch, meals_of, work_between
from standmark.optimizer.day.crew_day import crew_day
from standmark.optimizer.day.day import plan_day
from standmark.optimizer.day.day_power import least_batteries
from standmark.optimizer.day.outing import CameraDay, Outing
from standmark.optimizer.day.stop import Stop, way_between
from standmark.optimizer.match.recorder import Recorder
from standmark.optimizer.match.weather import Weather
from standmark.sports.order import Order, Overtime
from standmark.sports.sport import Period

ZONE = ZoneInfo("Europe/Lisbon")
HALVES = (
    Period("first-half", "First half", 45.0, 1, "first", 15.0, True),
    Period("second-half", "Second half", 45.0, 1, "swapped", 0.0, False),
)
CAMERA = CameraDay("Camera A", ("70-200",), 200.0, "tripod", 1.6, 50.0, Recorder(100.0, None, 128.0, 90.0))


def clock(hour, minute=0):
    return datetime(2027, 5, 8, hour, minute, tzinfo=ZONE)


def stop(title, start, *, ground="Reed End", place=None, weather=Weather(), **more):  # noqa: B008
    outing = Outing("Football", ground, start, HALVES, (CAMERA,), weather=weather)
    return Stop(title, outing, plan_day(outing), start, place, **more)


def times_of(day):
    return {(entry.stop, entry.time.key): f"{entry.time.at:%H:%M}" for entry in day.times}


def test_two_matches_on_one_ground():
    day = crew_day([stop("Late", clock(15)), stop("Early", clock(10))])
    assert [s.title for s in day.stops] == ["Early", "Late"]
    times = times_of(day)
    assert times[0, "arrive"] == "08:30"
    assert times[0, "finish"] == "11:45"
    assert times[0, "leave"] == "11:50"  # five minutes of last pictures
    assert times[0, "back-up"] == "12:15"
    assert (1, "arrive") not in times  # they are there already
    assert times[1, "set-up"] == "14:10"  # ten minutes before the warm-up
    assert [(f"{r.start:%H:%M}", f"{r.end:%H:%M}") for r in day.rests] == [("12:30", "14:10")]
    assert day.clashes == ()
    (meal,) = day.meals
    assert f"{meal.at.start:%H:%M}" == "12:30"
    assert f"{day.longest_work.start:%H:%M}" == "08:30"
    assert day.longest_work.minutes == 240


def test_walk_between_grounds_takes_its_time():
    # 0.009 degrees of latitude near 38 degrees north: 110,990 m x 0.009 = 999 m, 1.3 times that at 1.07 m/s: 21 min.
    near = (-9.1, 38.7)
    day = crew_day([stop("A", clock(10), place=near), stop("B", clock(12, 25), ground="Sluice", place=(-9.1, 38.709))])
    (change,) = day.changeovers
    assert change.way.kind == "foot"
    assert change.way.length_m == pytest.approx(1299, abs=2)
    assert change.way.minutes == 21
    assert change.needed_min == 5 + 5 + 21 + 10
    assert change.free_min == 38
    assert "41 minutes are needed to change over, 38 are there, 3 too few" in day.clashes[0]
    assert (0, "back-up") not in times_of(day)  # no time: at the end of the day
    assert crew_day([stop("A", clock(10), place=near), stop("B", clock(12, 28), place=(-9.1, 38.709))]).clashes == ()


def test_what_a_file_says_of_the_road_goes_first():
    here, there = stop("A", clock(10)), stop("B", clock(15), ground="Sluice", travel_min=35.0)
    assert way_between(here, there).minutes == 45  # and ten to park
    assert way_between(here, replace(there, parking_min=3.0)).minutes == 38
    unknown = way_between(here, replace(there, travel_min=None))
    assert (unknown.kind, unknown.minutes) == ("unknown", 0.0)
    far = way_between(replace(here, place_deg=(-9.1, 38.7)), replace(there, travel_min=None, place_deg=(-9.1, 38.8)))
    assert far.kind == "road"
    assert far.minutes == pytest.approx(11_099 * 1.3 / (30 / 3.6) / 60 + 10, abs=1)


def test_back_up_waits_until_the_crew_has_arrived():
    day = crew_day([stop("A", clock(10)), stop("B", clock(15), ground="Sluice", travel_min=60.0)])
    times = times_of(day)
    assert times[0, "leave"] == "11:50"
    assert times[1, "arrive"] == "13:05"
    assert times[0, "back-up"] == "13:05"


def test_matches_that_overlap_are_named():
    day = crew_day([stop("A", clock(10)), stop("B", clock(11, 30), ground="Sluice")])
    assert day.clashes[0].startswith("A (Reed End) and B (Sluice) overlap: the first ends at 11:45")
    assert any("isn't known" in words for words in day.warnings)


def test_no_break_is_told_with_its_law():
    starts = [clock(9), clock(11, 5), clock(13, 10), clock(15, 15)]
    day = crew_day([stop(f"M{i}", start) for i, start in enumerate(starts)])
    assert day.rests == ()
    assert day.longest_work.start == clock(7, 30)
    assert "regulation 12" in day.warnings[0]
    assert any("midday meal" in words for words in day.warnings)


def test_meals_only_where_their_hours_lie_in_the_day():
    day = Stretch(clock(9), clock(18))
    assert [(m.name, m.at) for m in meals_of(day, [])] == [("midday meal", None)]
    (meal,) = meals_of(day, [Stretch(clock(10), clock(11, 40)), Stretch(clock(14), clock(14, 50))])
    assert meal.at == Stretch(clock(11), clock(11, 40))
    short = [Stretch(clock(12), clock(12, 29))]
    assert meals_of(day, short)[0].at is None
    assert [w.minutes for w in work_between(day, short)] == [180, 331]


def test_cards_add_up_and_the_rest_is_packed_once():
    wet = Weather(rain="rain")
    day = crew_day([stop("A", clock(10)), stop("B", clock(15), weather=wet)])
    kit = {(item.group, item.name): item.quantity for item in day.kit}
    # 90 min of play and 40 more at 100 Mbit/s: 97.5 GB a match, 195 GB, on cards of 115.2 GB.
    assert kit["Camera A", "card of 128 GB"] == 2
    assert kit["Camera A", "rain cover"] == 1
    assert kit["person", "water, food"] == 1
    # 09:00 to 12:15 and 14:00 to 17:15: 390 min, 67.5 min a battery: 5.8, and one to spare.
    assert kit["Camera A", "battery"] == 7
    assert sum(item.name == "rain cover" for item in day.kit) == 1


def test_batteries_with_a_charger():
    day = [Stretch(clock(9), clock(12)), Stretch(clock(15), clock(18))]
    assert least_batteries(day, 60.0, charge_min=None) == 7
    assert least_batteries(day, 60.0, charge_min=90.0) == 5  # two of three are full again by 15:00
    assert least_batteries(day, 60.0, charge_min=60.0) == 4
    assert least_batteries(day, 60.0, charge_min=200.0) == 7  # none is full by then
    later_end = [*day, Stretch(clock(18), clock(18) + timedelta(minutes=30))]
    assert least_batteries(later_end, 60.0, charge_min=None) == 8


def test_overtime_that_would_spoil_a_changeover_is_named():
    over = Order(overtime=Overtime("Extra time", "Two halves.", 5.0, 33.0, "from-memory"))
    first, second = stop("A", clock(10)), stop("B", clock(12, 30))
    long = replace(first, outing=replace(first.outing, order=over))
    assert not any("extra time" in w for w in crew_day([first, second]).warnings)
    assert "If A needs extra time, you won't be ready for B" in crew_day([long, second]).warnings[-1]
    assert not any("extra time" in w for w in crew_day([long, stop("B", clock(15))]).warnings)
