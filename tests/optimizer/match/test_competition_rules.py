"""Rules of competitions: what they take from a match, and what is said where a match keeps to none."""

import pytest
import shapely

from standmark.geometry.errors import InputError
from standmark.optimizer.advice.competition import spot_objections
from standmark.optimizer.match.competition_rules import under_profile
from standmark.optimizer.match.read_match import default_match, match_of
from standmark.optimizer.work.assignment import spot_at
from standmark.sports.competition import load_profile, profile_keys, profile_table
from standmark.sports.library import load_sport, sport_keys
from standmark.sports.toml.file import parse_toml

OWN = """
schema_version = 1
key = "lantern-cup"
sports = ["football"]
name = "Lantern Cup"
level = "club cup"
year = "2027"
source = { title = "Handbook", publisher = "the committee", kind = "competition rules", read = "2027-02" }
least_m = { side = 3.5, end = 4 }
lens_height_m = [0, 1.5]
moves = "never"
"""


def read(text, tmp_path, sport="basketball"):
    return match_of(parse_toml(f'[match]\nsport = "{sport}"\n' + text, name="m.toml"), folder=tmp_path, cameras=None)


@pytest.mark.parametrize("key", profile_keys())
def test_every_profile_fits_its_sports_in_all_their_sizes(key):
    table = profile_table(key)
    assert table.key == key
    assert set(table.sports) <= set(sport_keys())
    for name in table.sports:
        for preset in load_sport(name).presets:
            profile = load_profile(key, load_sport(name, preset=preset))
            assert profile.source
            assert profile.read
            places = under_profile(default_match(name, preset=preset), profile)
            assert places.venue.allowed or places.venue.asked


def test_basketball_is_filmed_sitting_behind_the_end_lines_and_ends_change_at_half_time(tmp_path):
    match = read('rules = "basketball-fiba-2023"\n', tmp_path)
    end_m = match.sport.area.length_m / 2
    assert match.venue.asked == ()
    for area in match.venue.allowed:
        assert abs(area.shape.bounds[0]) >= end_m or abs(area.shape.bounds[2]) >= end_m
        assert area.postures == ("sit",)
        assert area.lens_height_m[1] <= 1.0
    assert ("sideline opposite the table", "only the photographers' benches behind the end lines") in {
        (place.name, place.reason) for place in match.venue.removed
    }
    assert [p.may_move_after for p in match.sport.periods].count(True) == 1


def test_futsal_leaves_nothing_behind_the_middle_of_the_goal(tmp_path):
    match = read('rules = "futsal-uefa-youth-2022"\n', tmp_path, sport="futsal")
    goal = shapely.box(20, -1.5, 40, 1.5)
    assert match.venue.allowed
    assert all(area.shape.intersection(goal).area < 1e-9 for area in match.venue.allowed)


@pytest.mark.parametrize(
    ("key", "sport", "side_m", "end_m"),
    [
        # NCAA 2021 Football Rules 1-2-3: limit line 12 ft outside side and end lines
        ("american-football-college-2021", "american-football", 12 * 0.3048, 12 * 0.3048),
        # a league's sideline rules of 1998, by the press: stills 15 ft from the sideline, 6 ft at the end zone
        ("american-football-pro-1998", "american-football", 15 * 0.3048, 6 * 0.3048),
        # US Youth Soccer, Media guidelines 2019: 6 ft from the sideline, 9 ft from the end line
        ("football-usa-youth-2019", "football", 6 * 0.3048, 9 * 0.3048),
    ],
)
def test_published_distances(key, sport, side_m, end_m):
    match = default_match(sport)
    profile = load_profile(key, match.sport)
    area = match.sport.area
    x, y = area.length_m / 2, area.width_m / 2

    def is_open(x_m, y_m):
        spot = spot_at("elsewhere", x_m, y_m, 1.6)
        return not [r for r in spot_objections(match, profile, match.cameras[0], spot) if r.startswith("at least")]

    assert not is_open(x - 12, y + side_m - 0.3)
    assert is_open(x - 12, y + side_m + 0.3)
    assert not is_open(x + end_m - 0.3, y - 2)
    assert is_open(x + end_m + 0.3, y - 2)


def test_a_file_of_ones_own(tmp_path):
    (tmp_path / "cup.toml").write_text(OWN)
    match = read('rules_file = "cup.toml"\n', tmp_path, sport="football")
    assert match.profile.name == "Lantern Cup"
    assert {place.name for place in match.venue.removed} >= {"seat in the stand at halfway"}
    assert not any(p.may_move_after for p in match.sport.periods)
    for area in match.venue.allowed:
        assert area.lens_height_m[1] <= 1.5
        assert area.shape.distance(match.sport.area.outline) >= 3.5 - 1e-6


@pytest.mark.parametrize(
    ("sport", "text", "words"),
    [
        ("football", 'rules = "football-uefa-club-2025"\n', 'did you mean "football-uefa-club-2024"'),
        ("football", 'rules = "basketball-fiba-2023"\n', "are for basketball"),
        ("football", 'rules_file = "none.toml"\n', "no such file"),
        ("rugby-union", 'rules = "rugby-union-world-analysis"\n', "leave nowhere to stand"),
    ],
)
def test_mistakes_are_one_line_with_its_number(sport, text, words, tmp_path):
    with pytest.raises(InputError, match=r"m.toml:3: match.rules") as caught:
        read(text, tmp_path, sport=sport)
    assert words in str(caught.value)
