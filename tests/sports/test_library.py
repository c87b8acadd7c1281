"""Loading sports: known keys, presets, sizes, and what is said when something is wrong."""

import pytest

from standmark.geometry.errors import InputError
from standmark.sports.library import load_sport, sport_keys, sport_named


def test_unknown_sport_offers_the_nearest():
    with pytest.raises(InputError, match='unknown sport "footbal"; did you mean football'):
        load_sport("footbal")


def test_unknown_preset_offers_the_nearest():
    with pytest.raises(InputError, match=r'football has no preset "9vs9"; allowed: adult.*did you mean "9v9"'):
        load_sport("football", preset="9vs9")


@pytest.mark.parametrize("length_m", [0.0, -5.0, float("nan"), float("inf"), 481.0, 13.0])
def test_absurd_length_is_refused(length_m):
    with pytest.raises(InputError, match=r"can't be right for football; allowed: 13.1 to 480 m"):
        load_sport("football", length_m=length_m)


def test_a_small_ground_is_accepted():
    sport = load_sport("football", length_m=40.0, width_m=25.0)
    assert sport.area.outline.bounds == (-20.0, -12.5, 20.0, 12.5)


def test_every_sport_says_how_big_its_ball_is():
    # Football 68 to 70 cm round: 22 cm across; puck 3 in; table of the rules of tennis 6.5 to 6.9 cm.
    assert load_sport("football").ball_m == pytest.approx(0.69 / 3.14159, abs=0.004)
    assert load_sport("football", preset="7v7").ball_m < load_sport("football").ball_m
    assert load_sport("ice-hockey").ball_m == pytest.approx(0.0762, abs=5e-4)
    for key in sport_keys():
        assert 0.06 < load_sport(key).ball_m < 0.3


def test_a_definition_says_how_play_jumps_and_how_the_crowd_leans(tmp_path):
    own = tmp_path / "park-football.toml"
    own.write_text(
        'extends = "football"\nkey = "park-football"\n[[moment]]\nkey = "shot"\ncrowd_lean = 0.4\n'
        "jump = { share = 0.5, along_m_s = 7, across_m_s = 15, long_flight = true }\n"
    )
    shot = next(m for m in load_sport(str(own)).moments if m.key == "shot")
    assert shot.crowd_lean == 0.4
    assert (shot.jump.share, shot.jump.along_m_s, shot.jump.across_m_s) == (0.5, 7.0, 15.0)
    assert shot.jump.is_long_flight
    own.write_text(own.read_text().replace("0.4\n", "1.4\n").replace("share = 0.5", "share = 50"))
    with pytest.raises(InputError, match=r"crowd_lean") as caught:
        load_sport(str(own))
    assert "jump.share" in str(caught.value)


@pytest.mark.parametrize(
    ("words", "key", "preset"),
    [
        ("Football", "football", None),
        ("soccer", "football", None),
        ("Association Football", "football", None),
        ("T20", "cricket", "t20"),
        ("Gridiron", "american-football", None),
        ("american_football", "american-football", None),
        ("camogie", "hurling", None),
        ("SEVENS", "rugby-sevens", None),
        ("Rugby 7s", "rugby-sevens", None),
        ("waterpolo", "water-polo", None),
    ],
)
def test_sports_are_found_as_people_call_them(words, key, preset):
    assert sport_named(words) == (key, preset)
    assert load_sport(words).key == key


def test_a_name_of_two_sports_is_asked_about():
    with pytest.raises(InputError, match="may be field-hockey or ice-hockey"):
        sport_named("Hockey")


def test_an_extending_sport_does_not_take_the_aliases_along(tmp_path):
    (tmp_path / "yard-ball.toml").write_text('extends = "football"\nname = "Yard ball"\naliases = ["yarders"]\n')
    assert sport_named("Yarders", tmp_path) == ("yard-ball", None)
    assert sport_named("soccer", tmp_path) == ("football", None)
