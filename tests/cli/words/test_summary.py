"""The plan in words: short, nothing twice, and a warning where a camera is fixed on ground that is kept clear."""

import re
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest
from small_match import FAR_SIDE, SIDE, small_match

from standmark.cli.words.advice_sections import duty_section
from standmark.cli.words.moments import moment_words, taken_moments
from standmark.cli.words.proof_words import proof_words
from standmark.cli.words.strengths import weak_at
from standmark.cli.words.summary import caution_words, heading, plan_summary
from standmark.cli.words.usual import usual_place
from standmark.optimizer.match.match import FixedSpot
from standmark.optimizer.match.read_match import default_match, read_match
from standmark.optimizer.planning import plan
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Station, period_plan, spot_at

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="module")
def two():
    return plan(small_match(cameras=2, areas=(SIDE, FAR_SIDE)), advice="quick")


def fixed(match, x_m, y_m):
    camera = replace(match.cameras[0], fixed=FixedSpot(x_m, y_m, 1.6))
    return plan(replace(match, cameras=(camera,)))


def test_both_ends_share_a_row_of_who_takes_what(two):
    section, period = duty_section(two.periods[0], two.match), two.periods[0]
    weight = {d.moment: sum(e.weight for e in period.duties if e.moment == d.moment) for d in period.duties}
    ranked = [two.match.sport.brief.moments[key].plural for key in sorted(weight, key=lambda k: -weight[k])]
    assert [row[0] for row in section.rows] == ranked
    assert max(map(len, plan_summary(two, more=True).splitlines())) <= 80


def test_halves_alike_are_told_once(two):
    assert plan_summary(two).count("Camera A") == 1
    assert plan_summary(two).count("  All match ") == 2


def test_no_two_empty_lines_in_a_row(two):
    assert "\n\n\n" not in plan_summary(two, more=True)


def test_heading_names_ground_title_start_and_purpose_once():
    match = default_match("football")
    assert heading(match) == "Default ground, Association football. Highlights."
    start = datetime(2027, 4, 17, 15, 0, tzinfo=UTC)
    assert heading(replace(match, title="Cup", start=start)) == (
        "Default ground, Cup. Sat 17 April 2027, 15:00. Highlights."
    )


def test_camera_fixed_on_the_playing_area_is_warned_of():
    text = " ".join(plan_summary(fixed(small_match(), 0.0, 0.0)).split())
    assert "! The match file fixes it here (at_m), but it stands on ground that is kept clear (playing area)" in text
    assert "On the playing area: level with halfway" in text
    allowed = plan_summary(fixed(small_match(), 0.0, -38.0))
    assert "at_m" not in allowed


@cache
def heron_lane():
    return plan(read_match(ROOT / "examples" / "heron-lane.toml"), advice="quick")


def test_the_answer_is_short_and_comes_first():
    found = heron_lane()
    lines = plan_summary(found, usual=usual_place(found), out="plan").splitlines()
    assert lines[0] == "Heron Lane, Saltmarsh Cup, second round. Sat 17 April 2027, 15:00. Highlights."
    assert lines[1] == ""
    assert len([line for line in lines if line]) <= 15
    assert lines.count("") == 2
    assert max(map(len, lines)) <= 80
    first = next(i for i, line in enumerate(lines) if line.startswith("Camera A"))
    assert lines[first] == "Camera A, 70-200 mm, tripod, lens 1.6 m up"
    assert re.match(r"  1st half  Mill end: [\d.]+ m behind the goal line, \d+ m right", lines[first + 1])
    words = " ".join(" ".join(lines).split())
    share = "(half|[a-z]+-[a-z]+|a third)"
    said = f"You'll get about {share} of the match, {share} of that with faces; from halfway, {share}. No allowed spot"
    assert re.search(said, words)
    assert lines[-1] == "Open plan/sheet.html on your phone; print sheet.pdf. The proof: add --more."
    for no in ("coverage", "covers", "points", "candidate", "proven best", "what matters"):
        assert no not in words
    good = next(line for line in lines if line.strip().startswith("Good for"))
    assert "saves at the end you attack" in good
    assert re.search(r"Weak at goals \(you get \d in 10\), .* \(half\); faces at .* at the end you attack", words)


def test_weak_spots_come_in_the_order_of_what_they_are_worth():
    found = heron_lane()
    told = {(t.moment.key, t.end): t for t in taken_moments(found)}
    weak = [t for t in told.values() if t.captured < 0.55]
    first = max(weak, key=lambda t: t.weight * (2 if t.moment.must else 1) * (1 - t.captured))
    assert weak_at(found, "A").startswith(moment_words(found.match.sport, first.moment).plural)


def test_sun_is_no_caution_in_a_hall():
    assert "sun" in caution_words(default_match("football"))
    assert "sun" not in caution_words(indoor())
    assert "consent" in caution_words(indoor())


def indoor():
    match = default_match("netball")
    return replace(match, venue=replace(match.venue, is_indoor=True))


def test_moments_of_a_one_way_sport_name_no_end():
    match = default_match("baseball", cameras=1)
    period = match.sport.periods[0]
    area = match.venue.allowed[0]
    x_m, y_m = area.shape.centroid.coords[0]
    camera = match.cameras[0]
    station = Station(camera, camera_outfits(match, camera)[-1], spot_at(area.key, x_m, y_m, 1.5))
    scored = period_plan(
        match, period, [station], targets=period_targets(match, period), around=period_surroundings(match, period)
    )
    assert {duty.attack for duty in scored.duties} == {None}


def test_a_search_stopped_by_time_says_so():
    match = small_match(cameras=2, areas=(SIDE, FAR_SIDE), rules={"second_angle_give": 0.0})
    stopped = plan(match, time_limit_s=1e-3)
    assert stopped.proven or stopped.message in proof_words(stopped)
    assert "finer spots near them untried" in stopped.caveat
