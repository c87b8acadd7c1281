"""Match files as people write them: lenses, sizes in feet and yards, times without seconds, other slips."""

from datetime import UTC, datetime, time
from pathlib import Path

import pytest

from standmark.geometry.errors import InputError
from standmark.optimizer.match.presets import lens_from_words
from standmark.optimizer.match.read_match import match_of, read_match
from standmark.sports.toml.file import parse_toml

BASE = '[match]\nsport = "football"\n'


def match(text):
    return match_of(parse_toml(text, name="m.toml"), folder=Path())


@pytest.mark.parametrize(
    ("words", "focal_mm", "f_number"),
    [
        ("70-200 f2.8", (70, 200), (2.8, 2.8)),
        ("70-200mm f/2.8", (70, 200), (2.8, 2.8)),
        ("70–200 2.8", (70, 200), (2.8, 2.8)),
        ("70-200F4", (70, 200), (4, 4)),
        ("70 - 200 mm F/4", (70, 200), (4, 4)),
        ("400/2.8", (400, 400), (2.8, 2.8)),
        ("400mm f/2,8", (400, 400), (2.8, 2.8)),
        ("100-400/4.5-5.6", (100, 400), (4.5, 5.6)),
        ("100-400mm 1:4.5-5.6", (100, 400), (4.5, 5.6)),
        ("300", (300, 300), (2.8, 2.8)),
        ("70−200/f2.8", (70, 200), (2.8, 2.8)),
    ],
)
def test_lenses(words, focal_mm, f_number):
    lens = lens_from_words(words)
    assert (lens.focal_mm, lens.f_number) == (focal_mm, f_number)
    (camera,) = match(f'{BASE}[[camera]]\nname = "A"\nlenses = ["{words}"]\n').cameras
    assert camera.lenses[0].focal_mm == focal_mm


@pytest.mark.parametrize(
    "words", ["", "wide", "70-", "-200", "70-200-300", "70/f", "f2.8", "1e3", "70-200 f2.8 VR", "nan"]
)
def test_what_is_no_lens(words):
    assert lens_from_words(words) is None


@pytest.mark.parametrize(
    ("venue", "length_m", "width_m"),
    [
        ('length = "110 yd"\nwidth = "70yd"', 100.584, 64.008),  # the yard is 0.9144 m by definition
        ("length_ft = 330\nwidth_ft = 210", 100.584, 64.008),
        ('length = "101,5 m"\nwidth = "64"', 101.5, 64.0),
        ("length_m = 101.5", 101.5, 68.0),
    ],
)
def test_sizes_in_the_units_of_the_ground(venue, length_m, width_m):
    area = match(f"{BASE}[venue]\n{venue}\n").sport.area
    assert (area.length_m, area.width_m) == (pytest.approx(length_m), pytest.approx(width_m))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (f'{BASE}[venue]\nlength = 100\n', r'm.toml:4: venue.length: say the unit'),
        (f'{BASE}[venue]\nlength = "100 parsecs"\n', r"m.toml:4: venue.length: not a length"),
        (f'{BASE}[venue]\nlength_m = 100\nlength = "110 yd"\n', r"length_m and length say the same"),
        (f'{BASE}[venue]\nlength_ft = 3000\n', r"m.toml:4: venue.length_ft: .*can't be right"),
        (f'{BASE}[camera]\nname = "A"\n', r"m.toml:3: camera: there can be several: write \[\[camera\]\]"),
        (f'{BASE}[venue]\n[venue.allowed]\nname = "A"\n', r"m.toml:4: venue.allowed: .*\[\[venue.allowed\]\]"),
        (f'{BASE}[venue]\nlength_m = 100,5\n', r"m.toml:4: a decimal comma; write 100.5"),
        ('[match]\nsport = “football”\n', r"m.toml:2: curly quotes"),
        ('[match]\nsport = "hockey"\n', r'm.toml:2: match.sport: sport "hockey" may be field-hockey or ice-hockey'),
    ],
)  # fmt: skip
def test_slips_are_named_at_their_place(text, words):
    with pytest.raises(InputError, match=words):
        match(text)


def test_a_time_needs_no_seconds():
    for written in ("2027-05-08T15:00", "2027-05-08 15:00   # a comment"):
        found = match(f'{BASE}start = {written}\ntimezone = "Europe/Lisbon"\n')
        assert found.start.time() == time(15, 0)
    assert match(f"{BASE}start = 2027-05-08T15:00+01:00\n").start.astimezone(UTC) == datetime(
        2027, 5, 8, 14, tzinfo=UTC
    )
    assert match(f"{BASE}start = 2027-05-08T15:00Z\n").start == datetime(2027, 5, 8, 15, tzinfo=UTC)


def test_many_times_without_seconds_do_not_take_for_ever():
    with pytest.raises(InputError, match="more than 10 times"):
        parse_toml("".join(f"a{i} = 2027-05-08T15:00\n" for i in range(5000)), name="m.toml")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings_of_editors(encoding, tmp_path):
    path = tmp_path / "m.toml"
    path.write_bytes('[match]\nsport = "Soccer"\ntitle = "Große Wiese"\n'.encode(encoding))
    found = read_match(path)
    assert (found.sport.key, found.title) == ("football", "Große Wiese")


def test_another_encoding_is_refused_with_how_to_save(tmp_path):
    path = tmp_path / "m.toml"
    path.write_bytes('[match]\nsport = "football"\ntitle = "Große Wiese"\n'.encode("cp1252"))
    with pytest.raises(InputError, match=r"m.toml:3: not UTF-8 text \(it looks like Windows-1252\); .*Save as"):
        read_match(path)


def test_an_alias_of_a_preset_brings_its_preset():
    assert match('[match]\nsport = "T20"\n').sport.preset == "t20"
    assert match('[match]\nsport = "T20"\npreset = "junior"\n').sport.preset == "junior"
