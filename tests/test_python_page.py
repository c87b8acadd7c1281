"""The page for people who write Python runs as it stands, and the front door keeps what it says."""

import doctest
from pathlib import Path

import pytest

import standmark.cli.drawing
import standmark.cli.exports
import standmark.optimizer
from standmark.optimizer import default_match

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "python.md"


def test_the_page_runs(tmp_path, monkeypatch):
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    failed, tried = doctest.testfile(str(PAGE), module_relative=False)
    assert (failed, tried > 30) == (0, True)


@pytest.mark.parametrize("door", [standmark.optimizer, standmark.cli.drawing, standmark.cli.exports])
def test_every_name_at_a_front_door_opens_and_is_on_the_page(door):
    assert set(door.__all__) == set(door.HOMES)
    for name in door.__all__:
        assert callable(getattr(door, name)), name
        assert name in dir(door)
        assert name in PAGE.read_text(), name
    with pytest.raises(AttributeError, match="it has"):
        _ = door.no_such_name


def test_big_things_show_themselves_in_one_line():
    match = default_match("football", cameras=2)
    for thing in (match, match.sport):
        assert len(repr(thing)) < 160
        assert "\n" not in repr(thing)
    assert "football" in repr(match)
    assert "A, B" in repr(match)
