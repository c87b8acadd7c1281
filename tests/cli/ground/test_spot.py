"""A photograph's marks and focal length, and the command that finds where it was taken."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from standmark.cli.commands.spot import command
from standmark.cli.ground.landmarks import landmark, landmarks
from standmark.cli.ground.photo import read_photo
from standmark.geometry.errors import InputError
from standmark.optimizer.match.usual_areas import side_names
from standmark.sports.library import load_sport, sport_keys

EXAMPLES = Path(__file__).resolve().parents[3] / "examples" / "grounds"
FOOTBALL = load_sport("football")
NAMES = side_names(FOOTBALL)


def test_every_sport_has_marks_of_its_own_names():
    for key in sport_keys():
        sport = load_sport(key)
        known = landmarks(sport.area, side_names(sport))
        assert len(known) >= 6, key
        assert len(set(known.values())) >= 6, key


def test_marks_lie_where_the_laws_put_them():
    known = landmarks(FOOTBALL.area, NAMES)
    # Laws of the Game, Law 1: penalty area 16.5 m out from the posts and from the line, goal 7.32 x 2.44 m
    assert known["penalty area front, left end, bench side"] == pytest.approx((36.0, 20.16, 0.0))
    assert known["goal top, right end, far side"] == pytest.approx((-52.5, -3.66, 2.44))
    assert known["corner, left end, far side"] == pytest.approx((52.5, -34.0, 0.0))
    assert known["centre circle, bench side"] == pytest.approx((0.0, 9.15, 0.0), abs=0.01)


def test_names_may_be_in_any_order_and_sides_by_their_axes():
    known = landmarks(FOOTBALL.area, NAMES)
    wanted = known["penalty area front, left end, bench side"]
    assert landmark("Left end bench side: front PENALTY AREA", known, NAMES) == wanted
    assert landmark("penalty area front +x +y", known, NAMES) == wanted
    with pytest.raises(InputError, match="did you mean"):
        landmark("penalty arae front, left end", known, NAMES)


def photo(path, *, equivalent=None, orientation=None, size=(400, 300)):
    exif = Image.Exif()
    if equivalent is not None:
        exif.get_ifd(0x8769)[0xA405] = equivalent
    if orientation is not None:
        exif[0x0112] = orientation
    Image.new("RGB", size).save(path, exif=exif)
    return path


def test_focal_length_and_size_come_from_the_file(tmp_path):
    assert read_photo(photo(tmp_path / "a.jpg", equivalent=28)).equivalent_mm == 28
    assert read_photo(photo(tmp_path / "b.jpg")).equivalent_mm is None
    assert read_photo(photo(tmp_path / "c.jpg", equivalent=0)).equivalent_mm is None
    assert read_photo(photo(tmp_path / "d.jpg", orientation=6)).size_px == (300, 400)


@pytest.mark.parametrize(
    "content", [b"", b"not a picture", b"\xff\xd8\xff\xe1\x00\x10Exif\x00\x00broken", b"\x89PNG\r\n"]
)
def test_what_is_no_photograph_is_refused(content, tmp_path):
    path = tmp_path / "x.jpg"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"x.jpg: not a photograph"):
        read_photo(path)


def run(*args):
    return CliRunner().invoke(command, [str(a) for a in args], catch_exceptions=True)


GROUND = ("--sport", "football", "--length", 101, "--width", 64)


def test_the_example_finds_the_seat():
    done = run(EXAMPLES / "seat.jpg", "--marks", EXAMPLES / "seat.csv", *GROUND)
    assert done.exit_code == 0, done.output
    x, y, z = json.loads(done.output.split("at_m = ")[1].splitlines()[0])
    assert (x, y, z) == (pytest.approx(-18.0, abs=1.2), pytest.approx(-45.5, abs=1.5), pytest.approx(7.4, abs=0.8))
    words, _, _ = done.output.partition("To put a camera there, paste")
    said = " ".join(words.split())
    assert said.startswith("Taken on the far side, toward the right end: ")
    assert re.search(r"\d m \(\d+ paces\) from halfway, lens 7.\d m up", said)
    assert "Middle of the picture: on the playing area: " in said
    assert not re.search(r"\b[xyz] -?\d|[+-][xyz]\b", words)  # coordinates are for the file alone


def test_the_list_of_marks_is_names_alone():
    listed = run("--list", "--sport", "football").output.splitlines()
    assert "halfway line, far side" in listed
    assert not re.search(r"\d\.\d", " ".join(listed))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("mark,x,y\nmoon,1,1\n", "row 2: no mark"),
        ("mark,x,y\ncentre mark,a,1\n", "row 2: .*not pixels"),
        ("mark,x,y\ncentre mark,1\n", "row 2: 2 columns"),
        ("mark,x,y\ncentre mark,9999,1\n", "row 2: .*outside the 1600 x 1200 picture"),
        ("mark,x,y\ncentre mark,1,1\ncentre mark,2,2\n", "row 3: .*twice"),
        ("mark,x,y\ncentre mark,1,1\n", "1 mark; allowed: at least 4"),
        ("", "0 marks"),
    ],
)
def test_wrong_marks_are_named(text, words, tmp_path):
    path = tmp_path / "marks.csv"
    path.write_text(text)
    done = run(EXAMPLES / "seat.jpg", "--marks", path, *GROUND)
    assert isinstance(done.exception, InputError)
    with pytest.raises(InputError, match=words):
        raise done.exception


def test_a_wrong_mark_is_pointed_out(tmp_path):
    rows = (EXAMPLES / "seat.csv").read_text().splitlines()
    name, _, _ = rows[3].rpartition(",")[0].rpartition(",")
    path = tmp_path / "marks.csv"
    path.write_text("\n".join([*rows[:3], f"{name},962,700", *rows[4:]]) + "\n")
    done = run(EXAMPLES / "seat.jpg", "--marks", path, *GROUND)
    assert done.exit_code == 0
    assert "warning" in done.output


def test_without_a_focal_length_few_marks_are_refused(tmp_path):
    path = tmp_path / "marks.csv"
    path.write_text("\n".join((EXAMPLES / "seat.csv").read_text().splitlines()[:6]))
    done = run(EXAMPLES / "seat.jpg", "--marks", path, *GROUND, "--cropped")
    assert isinstance(done.exception, InputError)
    assert "at least 6" in str(done.exception)
