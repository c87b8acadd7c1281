"""What check warns of: sizes that look like feet or yards, a start that is past."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from standmark.cli.words.match_warnings import match_warnings
from standmark.optimizer.match.read_match import match_of
from standmark.sports.toml.file import parse_toml

NOW = datetime(2027, 6, 1, tzinfo=UTC)
BASE = '[match]\nsport = "football"\n'


def warnings(text):
    match = match_of(parse_toml(text, name="m.toml"), folder=Path())
    return list(match_warnings(match, text, file="m.toml", now=NOW))


def test_sizes_in_feet_are_asked_about():
    first, second = warnings(f"{BASE}[venue]\nlength_m = 344\nwidth_m = 223\n")
    assert first.startswith("m.toml:4: venue.length_m: warning: 344 m")
    assert first.endswith('are these feet? Then write length = "344 ft"')
    assert second.endswith('Then write width = "223 ft"')


def test_a_size_given_in_yards_is_told_under_its_own_key():
    first, _ = warnings(f'{BASE}[venue]\nlength = "80 yd"\nwidth = "40 yd"\n')
    assert first.startswith("m.toml:4: venue.length: warning: 73.15")


@pytest.mark.parametrize(("year", "n"), [(2026, 1), (2028, 0)])
def test_a_start_that_is_past_is_mentioned(year, n):
    found = warnings(f"{BASE}start = {year}-05-08T15:00:00+00:00\n")
    assert len(found) == n
    assert (
        not found
        or found[0] == f"m.toml:3: match.start: warning: {year}-05-08 15:00 is in the past; is the year right?"
    )


def test_a_place_that_reaches_onto_the_playing_area_is_said_to_and_how_far():
    places = [("off", (-36.5, -38.5)), ("on the line", (-33.9, -37)), ("onto", (-31, -39)), ("within", (-31, -33))]
    text = f'{BASE}[venue]\nusual_places = ["halfway"]\n' + "".join(
        f'[[venue.allowed]]\nname = "{name}"\npolygon = [[20, {low}], [26, {low}], [26, {high}], [20, {high}]]\n'
        for name, (low, high) in places
    )
    assert warnings(text) == [
        "m.toml:11: venue.allowed[3]: warning: "
        "onto reaches 3 m onto the playing area: only the part outside it is used",
        "m.toml:14: venue.allowed[4]: warning: "
        "within reaches 3 m onto the playing area: nobody may stand there during play",
    ]
