"""The plan in words: short, nothing twice, and a warning where a camera is fixed on ground that is kept clear."""

from dataclasses import replace

import pytest
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.cli.words.advice_sections import duty_section
from standmark.cli.words.summary import caution_words, heading, plan_summary, proof_words
from standmark.optimizer.match.match import FixedSpot
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Station, period_plan, spot_at


@pytest.fixture(scope="module")
def two():
    return plan(small_match(cameras=2, areas=(SIDE, FAR_SIDE)), advice="quick")


def fixed(match, x_m, y_m):
    camera = replace(match.cameras[0], fixed=FixedSpot(x_m, y_m, 1.6))
    return plan(replace(match, cameras=(camera,)))


def test_both_ends_share_a_row_of_who_takes_what(two):
    section = duty_section(two.periods[0], two.match)
    assert [row[0] for row in section.rows] == ["Goal", "Save", "Tackle or header in midfield"]
    both = [d for d in two.periods[0].duties if d.moment == "goal"]
    assert len(both) == 2
    assert max(map(len, plan_summary(two).splitlines())) <= 100
    assert section.rows[0][1] == f"{100 * sum(d.weight for d in both):.0f} %"


def test_halves_alike_are_told_once(two):
    assert plan_summary(two).count("Camera A:") == 1
    assert "First half, Second half: covers" in plan_summary(two)


def test_no_two_empty_lines_in_a_row(two):
    assert "\n\n\n" not in plan_summary(two)


def test_title_does_not_repeat_the_sport():
    match = default_match("football")
    assert heading(match) == "Association football at Default ground, for highlights"
    assert "Match" not in heading(match)
    assert heading(replace(match, title="Cup")).startswith("Cup - Association football at")


def test_camera_fixed_on_the_playing_area_is_warned_of():
    text = " ".join(plan_summary(fixed(small_match(), 0.0, 0.0)).split())
    assert "! the match file fixes it here (at_m), but it stands on ground that is kept clear (playing area)" in text
    assert "stand on the playing area, level with halfway" in text
    allowed = plan_summary(fixed(small_match(), 0.0, -38.0))
    assert "at_m" not in allowed
    assert "south touchline" in allowed


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
    stopped = plan(small_match(cameras=4, areas=(SIDE, FAR_SIDE, EAST, WEST)), time_limit_s=1e-3)
    assert (stopped.caveat if stopped.proven else stopped.message) in proof_words(stopped)
    assert stopped.caveat
