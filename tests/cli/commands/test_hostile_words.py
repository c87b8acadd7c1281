"""Command lines that would lose a file or mean nothing are refused before anything is done."""

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from standmark.cli.main import standmark
from standmark.geometry.errors import OutputError

ROOT = Path(__file__).resolve().parents[3]


@pytest.mark.parametrize(
    "words",
    [
        "zones events.csv --sport football -o events.csv --force",
        "zones events.csv --sport football -o new.toml --picture events.csv --force",
        "learn events.csv -o events.csv --force",
        "log new events.csv -o events.csv --force",
        "day match.toml --ics match.toml --force",
        "frame match.toml --look 40,0 --at 50,5 --lens 70-200 -o link.png --force",
        "ground map.geojson --sport football --length 101 --width 64 -o map.geojson --force",
        "brief own.toml --html own.toml --force",
    ],
)
def test_no_result_takes_the_place_of_what_is_read(words, tmp_path, monkeypatch):
    shutil.copy(ROOT / "examples/heron-lane.toml", tmp_path / "match.toml")
    shutil.copy(ROOT / "examples/grounds/gannet-bank.geojson", tmp_path / "map.geojson")
    shutil.copy(ROOT / "examples/sports/lantern-ball.toml", tmp_path / "own.toml")
    (tmp_path / "events.csv").write_text("x_m,y_m,moment\n" + "45,3,goal\n" * 60)
    (tmp_path / "link.png").symlink_to("match.toml")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(standmark, words.split())
    assert isinstance(done.exception, OutputError), done.output
    assert "is what is read, and would be lost" in str(done.exception)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    "words",
    [
        "spot photo.jpg --marks marks.csv --sport football --focal nan",
        "plan --sport football --out plan --time-limit nan",
        "open match.toml --idle nan",
        "zones events.csv --sport football -o new.toml --length nan",
        "zones events.csv --sport football -o new.toml --play inf",
        "tournament day.toml --out results --time-limit nan",
        "zones events.csv --sport football -o new.toml --picture new.toml",
        "brief football --html one --pdf one",
    ],
)
def test_numbers_that_are_none_and_one_name_for_two_files_are_refused(words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(standmark, words.split())
    assert done.exit_code == 2, done.output
    assert "of use" in done.output or "not in the range" in done.output or "name" in done.output
    assert not any(tmp_path.iterdir())
