"""Drawings: layers are names, units are read or asked for, the bearing is a comment."""

import io
import math
import tomllib

import ezdxf
import numpy as np
import pytest
from ground_files import SHAPES

from standmark.cli.ground.lay import traced_areas
from standmark.cli.ground.make import GroundWish, make_ground
from standmark.cli.ground.read_map import read_map
from standmark.geometry.errors import InputError

TURN_DEG = 62.0  # of +x from the drawing's right: 28 degrees from up
CORNER = (431_000.0, 5_200_000.0)  # as a surveyor's grid has it


def drawing(path, *, scale=1.0, units=6, as_lines=False):
    document = ezdxf.new()
    document.header["$INSUNITS"] = units
    turn = math.radians(TURN_DEG)
    for name, corners in SHAPES.items():
        points = [
            (
                (CORNER[0] + x * math.cos(turn) - y * math.sin(turn)) / scale,
                (CORNER[1] + x * math.sin(turn) + y * math.cos(turn)) / scale,
            )
            for x, y in corners
        ]
        if as_lines:
            for start, end in zip(points, [*points[1:], points[0]], strict=True):
                document.modelspace().add_line(start, end, dxfattribs={"layer": name})
        else:
            document.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": name})
    text = io.StringIO()
    document.write(text)
    path.write_text(text.getvalue(), encoding="utf-8")
    return path


def made(path, **read):
    map_file = read_map(path, **read)
    return make_ground(
        map_file, traced_areas(map_file)[0], GroundWish("football", None, 101.0, 64.0, "ne"), fallback="d"
    )


@pytest.mark.parametrize(
    ("scale", "units", "as_lines"), [(1.0, 6, False), (1.0, 6, True), (0.3048, 2, False), (0.001, 4, False)]
)
def test_a_drawing_gives_the_shapes(tmp_path, scale, units, as_lines):
    text = made(drawing(tmp_path / "d.dxf", scale=scale, units=units, as_lines=as_lines)).text
    venue = tomllib.loads(text)["venue"]
    assert "latitude" not in venue
    assert "bearing_deg" not in venue
    assert "# bearing_deg = 28.0" in text
    assert "grid's north" in text
    found = np.array(venue["allowed"][0]["polygon"])
    for corner in SHAPES["allowed pier side 1.2-1.8m"]:
        assert np.hypot(*(found - corner).T).min() < 0.05
    assert venue["obstacle"][0]["top_m"] == 2.4


def test_a_drawing_without_its_unit_is_asked_about(tmp_path):
    path = drawing(tmp_path / "d.dxf", units=0)
    with pytest.raises(InputError, match="add --unit m"):
        made(path)
    assert "allowed" in tomllib.loads(made(path, unit="m").text)["venue"]


def test_a_unit_that_is_no_number_is_asked_about(tmp_path):
    path = tmp_path / "d.dxf"
    path.write_text("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n7\nENTITIES\n0\nLINE\n8\npitch\n10\n0\n20\n0\n11\n9\n21\n0\n")
    with pytest.raises(InputError, match="add --unit m"):
        read_map(path)


def test_a_drawing_in_another_unit_than_said_does_not_fit(tmp_path):
    with pytest.raises(InputError, match=r"measures about|km across"):
        made(drawing(tmp_path / "d.dxf", units=0), unit="ft")


@pytest.mark.parametrize(
    "tail", ["", "\n2\nENTITIES\n0\nLINE\n8\nx\n10\nnot a number\n0\nENDSEC\n0\nEOF\n", "\x00" * 50]
)
def test_damaged_drawings_are_refused(tmp_path, tail):
    path = tmp_path / "d.dxf"
    path.write_text("0\nSECTION" + tail)
    with pytest.raises(InputError, match=r"d.dxf: "):
        read_map(path)


def test_a_guessed_corner_is_refused(tmp_path, capfd):
    path = drawing(tmp_path / "d.dxf")
    lines = path.read_text(encoding="utf-8").splitlines()
    at = next(i for i in range(lines.index("ENTITIES"), len(lines)) if lines[i].strip() == "10" and "." in lines[i + 1])
    lines[at + 1] = "4x" + lines[at + 1]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"damaged .invalid floating point value"):
        read_map(path)
    assert capfd.readouterr().err == ""


def test_curves_of_no_size_that_a_ground_could_have_are_left_aside(tmp_path):
    """A circle round infinity has chords without end; one of a hundred thousand kilometres has few."""
    path = drawing(tmp_path / "d.dxf")
    whole = read_map(path).features
    document = ezdxf.readfile(path)
    for centre, radius in (((float("inf"), 0), 6), ((0, 0), 1e300), ((0, 0), 9e7)):
        document.modelspace().add_circle(centre, radius, dxfattribs={"layer": "far"})
    document.saveas(path)
    far = [feature for feature in read_map(path).features if feature.name == "far"]
    assert len(read_map(path).features) == len(whole) + 1
    assert len(far[0].rings[0]) < 1000
