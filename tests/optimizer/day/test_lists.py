"""Kit, media, cautions and checks follow from the match and the weather line."""

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.optimizer.day.cautions import Caution, said_once
from standmark.optimizer.day.day import plan_day
from standmark.optimizer.day.media import BATTERY_FILL, CARD_FILL, media_need
from standmark.optimizer.day.outing import CameraDay, Outing
from standmark.optimizer.day.two_cameras import Setting, joint_checks
from standmark.optimizer.match.recorder import Recorder
from standmark.optimizer.match.weather import Weather, felt_heat_c, heat_bands
from standmark.optimizer.work.danger import SpotDanger
from standmark.sports.sport import Period

HALVES = (
    Period("first-half", "First half", 45.0, 1, "first", 15.0, True),
    Period("second-half", "Second half", 45.0, 1, "swapped", 0.0, False),
)
LOW = CameraDay("A", ("70-200",), 200.0, "tripod", 1.6, 50.0)
HIGH = CameraDay("B", ("24-70",), 70.0, "tripod", 6.0, 50.0)
OUTING = Outing(
    "Football", "Quarry Lane", datetime(2027, 5, 8, 15, 0, tzinfo=ZoneInfo("Europe/Lisbon")), HALVES, (LOW,)
)


def hazards(outing):
    return [caution.hazard for caution in plan_day(outing).cautions]


def kit(outing):
    return {(item.group, item.name): item.quantity for item in plan_day(outing).kit}


def test_storage_of_a_constant_bit_rate():
    # 100 Mbit/s for 130 min: 100 x 7800 / 8000 = 97.5 GB.
    need = media_need(Recorder(bit_rate_mbit_s=100.0, card_gb=64.0, battery_min=90.0), HALVES, fps=50.0)
    assert need.gigabytes == pytest.approx(97.5)
    assert need.card_min == pytest.approx(64.0 * 0.9 / 0.75)
    assert need.n_cards == 2


def test_bit_rate_grows_with_the_frame_rate():
    recorder = Recorder(bit_rate_mbit_s=100.0, bit_rate_fps=25.0)
    slow, fast = (media_need(recorder, HALVES, fps=fps) for fps in (25.0, 100.0))
    assert fast.gigabytes == pytest.approx(4.0 * slow.gigabytes)


def test_cold_costs_batteries():
    mild, cold, frost = (
        media_need(Recorder(), HALVES, fps=25.0, weather=Weather(temperature_c=t)).n_batteries for t in (15, 2, -10)
    )
    assert mild < cold < frost


def test_nobody_packs_for_the_sun_in_steady_rain_or_under_a_heavy_sky():
    for weather in (Weather(rain="heavy"), Weather(rain="rain", sky="sun"), Weather(sky="overcast")):
        wet = replace(OUTING, weather=weather)
        assert ("person", "hat and sunscreen") not in kit(wet)
        assert "sun through the lens" not in hazards(wet)
    for weather in (Weather(), Weather(rain="showers"), Weather(sky="bright cloud")):
        assert ("person", "hat and sunscreen") in kit(replace(OUTING, weather=weather))
        assert "sun through the lens" in hazards(replace(OUTING, weather=weather))


@given(st.floats(10, 800), st.floats(16, 2000), st.floats(20, 400), st.floats(24, 120))
def test_cards_and_batteries_are_enough_and_no_more(rate_mbit_s, card_gb, battery_min, fps):
    need = media_need(Recorder(rate_mbit_s, None, card_gb, battery_min), HALVES, fps=fps)
    assert need.n_cards * card_gb * CARD_FILL >= need.gigabytes * (1 - 1e-9)
    assert need.n_cards == 2 or (need.n_cards - 1) * card_gb * CARD_FILL < need.gigabytes
    assert (need.n_batteries - 1) * battery_min * BATTERY_FILL >= need.powered_min * (1 - 1e-9)


def test_rain_line_brings_covers():
    assert ("A", "rain cover") not in kit(OUTING)
    wet = replace(OUTING, weather=Weather(rain="showers"))
    assert kit(wet)[("A", "rain cover")] == 1
    assert ("weather", "towel") in kit(wet)
    assert ("A", "rain cover") not in kit(replace(wet, is_indoor=True))


def test_platform_brings_its_cautions_and_the_wind():
    assert "platforms" not in hazards(OUTING)
    high = replace(OUTING, cameras=(LOW, HIGH), weather=Weather(wind_m_s=6.0, gust_m_s=13.0))
    assert {"platforms", "wind on lifts and masts", "wind"} <= set(hazards(high))
    text = next(c.text for c in plan_day(high).cautions if c.hazard == "wind on lifts and masts")
    assert "13 m/s" in text
    assert ("B", "safety lines and sandbag") in kit(high)


def test_heat_and_lightning():
    # Heat index chart: 96 F at 65 percent reads 121 F; the class "danger" starts at 103 F.
    hot = Weather(temperature_c=(96 - 32) / 1.8, humidity_percent=65.0, sky="overcast", has_thunder=True)
    assert felt_heat_c(hot) == pytest.approx((121 - 32) / 1.8, abs=0.7)
    assert [band.name for band in heat_bands(hot)] == ["danger"]
    day = plan_day(replace(OUTING, weather=hot))
    assert "heat" in [c.hazard for c in day.cautions]
    lightning = next(c.text for c in day.cautions if c.hazard == "lightning")
    assert lightning.startswith("Thunder is forecast. Thunder within 30 seconds")
    assert "10 km" in lightning
    assert "lightning" not in hazards(replace(OUTING, is_indoor=True))


def test_full_sun_adds_to_the_heat_index():
    shade = Weather(temperature_c=32.0, humidity_percent=60.0, sky="overcast")
    assert felt_heat_c(replace(shade, sky="sun")) - felt_heat_c(shade) == pytest.approx(15 / 1.8)
    assert felt_heat_c(Weather()) is None


def test_minors_lamps_and_sun():
    assert "children and young people" in hazards(OUTING)
    grown = replace(OUTING, has_minors=False, is_lit=True)
    assert "people in the picture" in hazards(grown)
    assert "laser and LED" in hazards(grown)
    assert "sun through the lens" in hazards(OUTING)
    assert "sun through the lens" not in hazards(replace(OUTING, is_indoor=True))
    assert "burns" in next(c.text for c in plan_day(OUTING).cautions if c.hazard == "sun through the lens")


def test_every_caution_has_a_source_and_the_page_defers():
    day = plan_day(
        replace(OUTING, cameras=(LOW, HIGH), is_lit=True, dangers=("Balls leave the field at head height.",))
    )
    assert all(caution.source for caution in day.cautions)
    assert day.cautions[0].text == "Balls leave the field at head height."
    assert "venue" in day.defer
    assert "law" in day.defer


def test_ground_and_start_are_double_checked():
    first = plan_day(OUTING).preparation[0]
    assert "Quarry Lane" in first
    assert "Saturday 8 May 2027, 15:00" in first
    open_start = plan_day(replace(OUTING, start=None))
    assert open_start.times == ()
    assert "not known yet" in open_start.preparation[0]


def test_breaks_are_used():
    assert any("(from 15:45)" in line for line in plan_day(OUTING).welfare)


def test_joint_checks():
    assert joint_checks((Setting("A", 50.0, 0.01),)) == ()
    alike = joint_checks((Setting("A", 50.0, 0.01), Setting("B", 50.0, 0.01)))
    assert [check.is_met for check in alike[:2]] == [True, True]
    assert {check.name for check in alike} >= {"time of day", "white balance", "clap"}
    apart = joint_checks((Setting("A", 50.0, 0.01), Setting("B", 100.0, 0.005)))
    assert [check.is_met for check in apart[:2]] == [False, False]
    nearly = joint_checks((Setting("A", 60.0, 0.01), Setting("B", 59.94, 0.01)))
    assert "sound drifts" in nearly[0].text


def test_cautions_are_chosen_for_each_camera():
    danger = SpotDanger("line of shots", "Keep one eye off the finder.", "common practice")
    low, high = replace(LOW, dangers=(danger,)), replace(HIGH, support="handheld")
    walker = replace(HIGH, name="C", lowest_m=1.6)
    both = replace(OUTING, cameras=(low, high, walker), dangers=("Balls leave the field.",), weather=Weather())
    day = plan_day(both)
    own = {name: {c.hazard: c.text for c in cautions} for name, cautions in day.camera_cautions}
    assert {"line of shots", "Football", "balls and players"} <= set(own["A"])
    assert not {"platforms", "things that fall"} & set(own["A"])
    assert {"platforms", "things that fall"} <= set(own["B"])
    assert not {"line of shots", "Football", "balls and players"} & set(own["B"])
    assert {"platforms", "balls and players"} <= set(own["C"])  # a gantry in one half, the ground in the other
    assert "tripod" in own["A"]["walkways"]
    assert "tripod" not in own["B"]["walkways"]
    assert "first thunder" in own["B"]["lightning"]
    assert "first thunder" not in own["A"]["lightning"]
    concerned = {c.hazard: c.cameras for c in day.cautions}
    assert concerned["line of shots"] == ("A",)
    assert concerned["platforms"] == ("B", "C")
    assert concerned["people in the picture" if not both.has_minors else "children and young people"] == ()


def test_what_two_cautions_say_alike_is_said_once_and_of_consent_the_last_is_kept():
    slide, same, shot, children, people = (
        Caution("", text, "")
        for text in (
            "Players slide over the line at speed. Keep your kit behind you.",
            "Players slide over the lines at speed: never put a bag beside them.",
            "Players shoot.",
            "With children, written consent comes first.",
            "Children: written consent of a parent first; ask who must not be shown.",
        )
    )
    assert said_once((slide, shot, same, children, people)) == (slide, shot, people)
    assert said_once((children,)) == (children,)
    out, media = (
        Caution("", text, "")
        for text in (
            "Plays run out of bounds at full speed. Stand up.",
            "Plays run out of bounds at full speed into the media line: stand up.",
        )
    )
    assert said_once((out, shot, media)) == (out, shot)
