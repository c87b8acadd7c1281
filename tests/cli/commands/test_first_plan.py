"""A first plan without a file: eight questions, or the same as options."""

import time
import tomllib

import pytest
from click.testing import CliRunner

from standmark.cli.commands.options import load_match
from standmark.cli.input.wishes import refused_places, sound_start
from standmark.cli.main import standmark
from standmark.geometry.errors import InputError, NoPlanError
from standmark.sports.library import load_sport

NOTHING = {
    "length_m": None, "width_m": None, "lens": (), "refuse": (), "start": None, "timezone": None, "indoor": False,
    "stand_m": None,
}  # fmt: skip


def stated(sport="football", cameras=None, **said):
    return load_match(None, sport=sport, preset=None, cameras=cameras, said=NOTHING | said)


def test_the_answers_stand_in_the_file(tmp_path):
    path = tmp_path / "m.toml"
    answers = (
        "soccer\n110 yd x 70 yd\nn\n2027-05-08 15:00 Europe/Lisbon\nbehind the goals\n8 m\n24-70 f4, 300mm f/2.8\n2\n"
    )
    done = CliRunner().invoke(standmark, ["new", "--ask", "-o", str(path)], input=answers)
    assert done.exit_code == 0, done.output
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert data["match"]["sport"] == "football"
    assert (data["venue"]["length_m"], data["venue"]["width_m"]) == (100.584, 64.008)
    assert not [key for key in data["venue"]["usual_places"] if "goal" in key]
    assert data["venue"]["allowed"][0]["lens_height_m"] == [8, 8]
    assert [camera["lenses"] for camera in data["camera"]] == [["24-70/4", "300/2.8"]] * 2
    assert data["match"]["start"].hour == 15


def test_an_answer_that_cannot_be_used_is_asked_for_again(tmp_path):
    answers = "fotball\nfootball\nvery long\n\n\nperhaps\n\n\n\nwide\n\n9\n\n"
    done = CliRunner().invoke(standmark, ["new", "--ask", "-o", str(tmp_path / "m.toml")], input=answers)
    assert done.exit_code == 0, done.output
    for words in ("did you mean football", "write length x width", "write 2027-05-08T15:00", "is not a lens", "1 to 8"):
        assert words in done.output
    assert done.output.count("1. Which sport?") == 2


def test_empty_answers_give_the_usual(tmp_path):
    path, plain = tmp_path / "m.toml", tmp_path / "plain.toml"
    assert CliRunner().invoke(standmark, ["new", "--ask", "-o", str(path)], input="\n" * 8).exit_code == 0
    assert CliRunner().invoke(standmark, ["new", "football", "-o", str(plain)]).exit_code == 0
    assert path.read_bytes() == plain.read_bytes()


def test_the_same_as_options():
    match = stated(
        cameras=2, refuse=("behind the goals",), lens=("70-200mm f/2.8",), start="2027-05-08T15:00",
        timezone="Europe/Lisbon", stand_m=8.0, length_m=100.0,
    )  # fmt: skip
    assert {area.key for area in match.venue.allowed} == {"touchline-plus", "touchline-minus", "halfway", "stand"}
    assert [lens.name for lens in match.cameras[0].lenses] == ["70-200/2.8"]
    assert len(match.cameras) == 2
    assert match.start.isoformat() == "2027-05-08T15:00:00+01:00"
    assert match.sport.area.length_m == 100.0
    assert stated(indoor=True).venue.is_indoor


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"refuse": ("the moon",)}, "--refuse: .*is none of the usual places: behind the goal line"),
        ({"lens": ("wide",)}, '--lens: "wide" is not a lens'),
        ({"start": "tomorrow"}, "--start: "),
        ({"start": "2027-02-30T15:00", "timezone": "Europe/Lisbon"}, "--start: "),
        ({"start": "2027-05-08T15:00"}, "in which time zone"),
        ({"start": "2027-05-08T15:00", "timezone": "Mars/Base"}, "--timezone: "),
        ({"timezone": "Europe/Lisbon"}, "goes with --start"),
        ({"refuse": ("behind the goal", "touchline", "halfway")}, "nowhere to stand"),
    ],
)
def test_what_cannot_be_used_is_named(said, words):
    with pytest.raises(InputError, match=words):
        stated(**said)


def test_options_go_with_a_sport_only(tmp_path):
    with pytest.raises(InputError, match="--stand goes with --sport"):
        load_match(tmp_path / "m.toml", sport=None, preset=None, cameras=None, said=NOTHING | {"stand_m": 8.0})


@pytest.mark.parametrize(
    ("sport", "words", "n"),
    [
        ("rugby-union", "behind the posts", 2),
        ("basketball", "behind the baskets", 4),
        ("football", "bench side", 2),
        ("football", "Halfway line", 1),
        ("tennis", "chair side", 4),
        ("football", "goal-line-plus-left", 1),
    ],
)
def test_places_are_refused_in_plain_words(sport, words, n):
    assert len(refused_places(load_sport(sport).area, [words])) == n


def test_every_sport_takes_a_stand():
    for key in ("football", "ultimate", "beach-volleyball", "cricket"):
        assert any(area.name == "stand" for area in stated(sport=key, stand_m=8.0).venue.allowed)


def test_starts_as_people_write_them():
    assert sound_start("2027-05-08 9:05 Europe/Lisbon", None) == ("2027-05-08T09:05:00", "Europe/Lisbon")
    assert sound_start("2027-05-08T15:00+01:00", None) == ("2027-05-08T15:00:00+01:00", None)


def test_a_time_limit_counts_loading_but_leaves_half_to_the_plan(tmp_path, monkeypatch):
    given = []

    def planned(match, **how):
        given.append(how["time_limit_s"])
        raise NoPlanError("asked for no more than the time")

    monkeypatch.setattr("standmark.optimizer.planning.plan", planned)
    begin_s = time.monotonic()
    for limit in ("1000", "0.1"):
        CliRunner().invoke(standmark, ["plan", "--sport", "tennis", "--time-limit", limit, "--out", str(tmp_path)])
    took_s = time.monotonic() - begin_s
    assert 1000 - took_s <= given[0] < 1000
    assert 0.05 <= given[1] <= 0.1
