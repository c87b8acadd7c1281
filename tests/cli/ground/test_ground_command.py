"""The command: several playing areas, folders, tables, what is said and the exit code."""

import tomllib

import pytest
from click.testing import CliRunner
from ground_files import PITCH, box, collection, feature, geojson

from standmark.cli.commands.ground import command
from standmark.geometry.errors import InputError

SIZE = ("--sport", "football", "--length", "101", "--width", "64")


def run(*args):
    return CliRunner().invoke(command, [str(a) for a in args], standalone_mode=False)


@pytest.fixture
def two(tmp_path):
    other = [(x + 200, y) for x, y in PITCH]
    return geojson(tmp_path / "two.geojson", collection(feature("pitch North", PITCH), feature("pitch South", other)))


def test_several_playing_areas_are_listed_and_one_is_chosen(two, tmp_path):
    done = run(two, *SIZE, "-o", tmp_path / "m.toml")
    assert isinstance(done.exception, InputError)
    assert "1: North, about 101 x 64 m" in str(done.exception)
    assert "--pitch N" in str(done.exception)
    assert run(two, *SIZE, "--pitch", 2, "-o", tmp_path / "m.toml").exception is None
    assert tomllib.loads((tmp_path / "m.toml").read_text())["venue"]["name"] == "South"
    assert isinstance(run(two, *SIZE, "--pitch", 3, "-o", tmp_path / "n.toml").exception, InputError)


def test_a_folder_gets_one_file_for_each(two, tmp_path):
    done = run(two, *SIZE, "-o", f"{tmp_path}/grounds/")
    assert done.exception is None
    assert sorted(path.name for path in (tmp_path / "grounds").iterdir()) == ["north.toml", "south.toml"]


def test_it_says_how_sure_it_is_and_what_it_assumed(tmp_path):
    path = geojson(tmp_path / "one.geojson", collection(feature("pitch", PITCH), licence="ours"))
    done = run(path, *SIZE, "-o", tmp_path / "m.toml")
    assert "+/- " in done.output
    assert "--toward DIRECTION chooses" in done.output
    assert "# Licence: ours" in (tmp_path / "m.toml").read_text()


def test_nothing_is_replaced_unasked(tmp_path):
    path = geojson(tmp_path / "one.geojson", collection(feature("pitch", PITCH)))
    target = tmp_path / "m.toml"
    target.write_text("measured")
    assert run(path, *SIZE, "-o", target).exception is not None
    assert target.read_text() == "measured"


def test_a_map_without_a_playing_area_says_what_to_draw(tmp_path):
    path = geojson(tmp_path / "none.geojson", collection(feature("allowed bank", box(0, 0, 9, 9))))
    done = run(path, *SIZE, "-o", tmp_path / "m.toml")
    assert "name it pitch" in str(done.exception)


def test_a_table_says_how_many_rows_it_passed_over(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("name,sport\nA,football\nB,fotball\n")
    done = run(table, "-o", tmp_path / "out")
    assert done.return_value == 6
    assert "1 ground, 1 row passed over" in done.output
    assert "row 3" in done.output
    assert isinstance(run(table, "-o", tmp_path / "x.toml").exception, InputError)
    table.write_text("name,sport\nB,fotball\n")
    assert "no row can be used" in str(run(table, "-o", tmp_path / "out2").exception)
