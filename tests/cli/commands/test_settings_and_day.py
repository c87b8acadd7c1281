"""`standmark settings` and `standmark day` as a user types them, and the match-file keys they read."""

import json
import re
import socket
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from icalendar import Calendar

from standmark.cli.main import standmark
from standmark.cli.words.plan_sections import plan_sections
from standmark.cli.words.section import WIDTH, Section, section_lines, sections_text
from standmark.cli.words.summary import plan_summary
from standmark.cli.words.units import Units
from standmark.geometry.errors import InputError
from standmark.optimizer.match.filming_schema import shutter_parts
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import plan

MATCH = """
[match]
sport = "football"
title = "Lantern Cup; first, round"
start = 2027-11-06T19:30:00
timezone = "Europe/Lisbon"
[venue]
name = "Kiln Park"
latitude = 38.7
longitude = -9.1
floodlit = true
lux = 300
[[venue.allowed]]
name = "by the goal"
side = "+x"
span_m = [11, 13]
offset_m = [4, 6]
[[camera]]
name = "A"
lenses = ["70-200/2.8"]
body = { iso = [100, 800, 6400], nd_stops = [2, 4], variable_nd_stops = [1.5, 5], readout_ms = 15, card_gb = 64 }
[film]
fps = 50
shutter = "1/200"
f_number = 8
[light]
lamp = "led steady"
[weather]
temperature_c = 3
rain = "showers"
[day]
minors = false
contact = "hut by the gate"
lead_min = { arrive = 100 }
ask_days = 4
visit = 2027-11-03T18:30:00
travel_min = 30
"""


@pytest.fixture(scope="module")
def match_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("match") / "match.toml"
    path.write_text(MATCH, encoding="utf-8")
    return path


def run(*args):
    done = CliRunner().invoke(standmark, [str(arg) for arg in args], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return done


def test_keys_reach_the_match(match_file):
    match = read_match(match_file)
    camera, filming = match.cameras[0], match.filming
    assert camera.body.iso == (100, 800, 6400)
    assert camera.body.filters.fixed_stops == (2, 4)
    assert camera.body.filters.variable_stops == (1.5, 5)
    assert camera.body.readout_s == pytest.approx(0.015)
    assert camera.body.recorder.card_gb == 64
    assert (filming.least_fps, filming.shutter_s, filming.f_number) == (50, 1 / 200, 8)
    assert (filming.lamp, filming.weather.rain, filming.has_minors) == ("led steady", "showers", False)
    assert filming.leads == (("arrive", 100),)


def test_defaults_need_no_keys(tmp_path):
    path = tmp_path / "bare.toml"
    path.write_text('[match]\nsport = "football"\n', encoding="utf-8")
    filming = read_match(path).filming
    assert (filming.lamp, filming.weather.rain, filming.leads) == ("unknown", "none", ())


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('[film]\nshutter = "fast"', r'not a shutter \(got "fast"\); write "1/200"'),
        ("[film]\nshutter = 400", r"the angle must be between 1 and 360 degrees \(got 400\); write"),
        ('[light]\nlamp = "metal halid"', r'light\.lamp: not known.*did you mean "?metal halide'),
        ('[weather]\nsky = "sunny"', r'weather\.sky: not known \(got "sunny"\); allowed: sun'),
        ("[weather]\nwind_m_s = 9\ngust_m_s = 5", r":5: weather.gust_m_s: gusts of 5 m/s are below the wind of 9 m/s"),
        ("[day]\nlead_min = { arive = 60 }", r'day.lead_min.arive: not known.*did you mean "?arrive'),
        ('[[camera]]\nname = "A"\nbody = { iso = [800, 100, 6400] }', r":5: camera\[1\].body.iso: must rise"),
        ('[[camera]]\nname = "A"\nbody = { variable_nd_stops = [8, 2] }', r"variable_nd_stops: must rise"),
        ("[weather]\nrain = true", r"rain"),
        ('[weather]\nfile = "forecast.json"', r"weather.file: unknown key"),
        ('[weather]\nrain = "https://example.org/forecast"', r"weather.rain: not known .*allowed: none, showers"),
        ("[day]\nvisit = 2027-05-01T18:00:00", r"day.visit: needs the start of the match"),
        ("[day]\nask_days = -1", r"day.ask_days: out of range \(got -1\); allowed: at least 0"),
    ],
)
def test_mistakes_are_told_in_one_line(tmp_path, line, told):
    path = tmp_path / "wrong.toml"
    path.write_text(f'[match]\nsport = "football"\n{line}\n', encoding="utf-8")
    with pytest.raises(InputError, match=told):
        read_match(path)


def test_shutter_forms():
    assert shutter_parts("1/200") == (None, 1 / 200)
    assert shutter_parts(" 1/59.94 s") == (None, 1 / 59.94)
    assert shutter_parts(180) == (180.0, None)


def test_settings_told_with_figures(match_file):
    # 300 lux, f/8, 1/200 s at ISO 800 with C = 250: 3.7 stops short; f/8 to f/2.8 gives 3.0 back.
    text = run("settings", match_file, "--more").output
    for part in ("300 lux", "3.7 stops short", "gives back 3.0 stops", "f/2.8", "Camera A: set", "Order:"):
        assert part in " ".join(text.split())
    assert max(len(line) for line in text.splitlines()) <= 120


def test_settings_document(match_file):
    document = json.loads(run("settings", match_file, "--json").output)
    assert document["schema"] == "standmark.settings/1"
    card = document["cards"][0]["card"]
    assert card["settings"]["f_number"] == 2.8
    assert [row["angle_deg"] for row in card["shutters"]] == [360, 180, 90, 45]
    assert {step["about"] for step in card["steps"]} >= {"frame rate", "shutter", "flicker", "aperture", "ISO"}


def test_day_told_and_calendar(match_file, tmp_path):
    ics = tmp_path / "day.ics"
    text = run("day", match_file, "--more", "--ics", ics).output
    for part in ("17:50", "Arrive", "rain cover", "Cautions", "hut by the gate", "lightning", "17:10", "permission"):
        assert part in text
    assert "Tue 2 Nov, 19:30" in text  # four days before
    assert "If something goes wrong" in text
    events = {str(e["summary"]): e for e in Calendar.from_ical(ics.read_bytes()).walk("VEVENT")}
    start = events["Start: Lantern Cup; first, round"]
    assert start["dtstart"].dt == datetime(2027, 11, 6, 19, 30, tzinfo=UTC)
    assert start["dtend"].dt == datetime(2027, 11, 6, 20, 18, tzinfo=UTC)
    assert start["location"] == "Kiln Park"
    assert len({str(e["uid"]) for e in events.values()}) == len(events)
    raw = ics.read_bytes()
    assert b"Lantern Cup\\; first\\, round" in raw
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    run("day", match_file, "--ics", ics, "--force")
    assert ics.read_bytes() == raw


def test_nothing_is_fetched(match_file, monkeypatch):
    """The forecast is typed in: a day is worked out with every way to a network closed."""

    def closed(*_args, **_more):
        raise AssertionError("a network was asked")

    for name in ("socket", "create_connection", "getaddrinfo"):
        monkeypatch.setattr(socket, name, closed)
    assert "rain cover" in run("day", match_file, "--json").output  # showers, as the file says


def test_calendar_is_not_overwritten_and_needs_a_start(match_file, tmp_path):
    ics = tmp_path / "day.ics"
    ics.write_text("kept", encoding="utf-8")
    done = CliRunner().invoke(standmark, ["day", str(match_file), "--ics", str(ics)])
    assert "--force" in str(done.exception)
    assert ics.read_text(encoding="utf-8") == "kept"
    done = CliRunner().invoke(standmark, ["day", "--sport", "football", "--ics", str(tmp_path / "new.ics")])
    assert "no start" in str(done.exception)
    assert not Path(tmp_path / "new.ics").exists()


def test_day_document(match_file):
    document = json.loads(run("day", match_file, "--json").output)
    assert document["schema"] == "standmark.day/1"
    assert document["times"][0]["at"] == "2027-11-06T17:10:00+00:00"
    assert document["times"][1]["at"] == "2027-11-06T17:50:00+00:00"
    assert [time["key"] for time in document["deadlines"]] == ["check-first", "ask", "visit", "check-second"]
    assert [mishap["key"] for mishap in document["mishaps"][0][1]][:3] == ["fails", "card", "refused"]
    assert all(caution["source"] for caution in document["cautions"])


def test_sections_have_keys_of_their_own_and_rows_as_wide_as_columns(match_file):
    sections = plan_sections(plan(read_match(match_file)))
    keys = [section.key for section in sections]
    assert len(set(keys)) == len(keys)
    assert {"light", "settings-A", "focus-A", "shutters-A", "rates-A", "steps-A", "times", "cautions", "kit"} <= set(
        keys
    )
    for section in sections:
        assert all(len(row) == len(section.columns) for row in section.rows)
        assert section.rows or section.notes or section.warnings


def test_daylight_from_a_table_is_not_told_to_the_lux():
    from standmark.cli.words.settings_sections import _lux_text
    from standmark.optimizer.match.light_kinds import LAMPS, SKIES
    from standmark.optimizer.settings.light import daylight, lamplight

    assert _lux_text(daylight(SKIES["overcast"])) == "about 10,000 lux"  # EV 12, 10240 lux, good to a stop
    assert _lux_text(daylight(SKIES["overcast"], lux=1234.0)) == "1234 lux"
    assert _lux_text(lamplight(LAMPS["unknown"], mains_hz=50.0, lux=275.0)) == "275 lux"


def test_untitled_match_is_called_by_its_sport(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text('[match]\nsport = "tennis"\n', encoding="utf-8")
    assert read_match(path).title == "Tennis"


METRES = re.compile(r"\d m\b(?!/s)")


def test_feet_are_shown_everywhere_when_asked_for(match_file):
    """No table, step or advice of a plan is left in metres; speeds keep metres a second."""
    found = plan(read_match(match_file), advice="quick")
    metric = plan_summary(found) + sections_text(plan_sections(found))
    imperial = plan_summary(found, units=Units.IMPERIAL) + sections_text(plan_sections(found, units=Units.IMPERIAL))
    own = [line for line in imperial.splitlines() if METRES.search(line) and "[" not in line]  # not a source's caution
    assert len(METRES.findall(metric)) > 20
    assert own == []
    assert " ft" in CliRunner().invoke(standmark, ["settings", str(match_file), "--more", "--units", "imperial"]).output


def test_tables_stay_within_the_width_and_lose_no_word():
    columns = ("shot", "when", "from", "shutter", "why")
    row = (
        "people, full figure, in the first half of the match",
        "First half",
        "22-100 m",
        "1/100 s (90 deg)",
        "because " * 12,
    )
    rows = (row, ("play", "always", "9 m", "1/50 s", "x"))
    lines = list(section_lines(Section("key", "Title", columns, rows)))
    assert max(map(len, lines)) <= WIDTH
    said = " ".join(" ".join(lines).split())
    for cell in (*row, *rows[1]):
        assert all(word in said for word in cell.split())
    assert said.count("because") == 12


def test_a_table_that_fits_is_not_broken():
    rows = (("a long name of a shot", "1/100 s (90 deg)"), ("b", "1/50 s"))
    assert len(list(section_lines(Section("key", "Title", ("shot", "shutter"), rows)))) == 1 + 1 + 2 + 1


def test_settings_and_day_answer_in_a_few_lines(match_file):
    dial = run("settings", match_file).output.splitlines()
    assert len([line for line in dial if line]) <= 12
    assert any(line.split()[:2] == ["rate", "shutter"] for line in dial)
    assert "add --more" in dial[-1]
    day = run("day", match_file).output.splitlines()
    assert len([line for line in day if line]) <= 20
    assert "Be there at" in day[0]
    assert any(line.strip().startswith("Care: ") for line in day)
    assert max(map(len, dial + day)) <= 80
