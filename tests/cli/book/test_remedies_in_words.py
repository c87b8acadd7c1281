"""What the book says would fix a position is done at the ground, as it is written: then it meets the standard."""

import json
import re
from dataclasses import replace

import pytest
import shapely

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.match.read_match import match_of
from standmark.optimizer.standard.apply import apply_standard
from standmark.optimizer.standard.read_standard import read_standard
from standmark.sports.toml.file import read_toml

STANDARD, STEPS, _ = read_standard()
HEIGHT = re.compile(r"allow the lens (?:up|down) to ([\d.]+) m in “(.*?)”")
SUPPORT = re.compile(r"support that goes (?:up|down) to ([\d.]+) m")
PLACE = re.compile(r"open a place .*, for a lens ([\d.]+) m up")
LENS = re.compile(r"one that (?:reaches|goes down to) ([\d.]+) mm")


def widened(range_m, value_m):
    return min(range_m[0], value_m), max(range_m[1], value_m)


def done_as_written(match, fix):
    """The match after a fix: heights and lenses as the words say, the spot of a new place from its data."""
    words, venue = fix["words"], match.venue
    if found := HEIGHT.search(words):
        z_m = float(found[1])
        areas = tuple(
            replace(a, lens_height_m=widened(a.lens_height_m, z_m)) if a.name == found[2] else a for a in venue.allowed
        )
        match = replace(match, venue=replace(venue, allowed=areas))
    if found := SUPPORT.search(words):
        reach_m = widened(match.cameras[0].lens_height_m, float(found[1]))
        match = replace(match, cameras=tuple(replace(c, lens_height_m=reach_m) for c in match.cameras))
    if found := PLACE.search(words):
        z_m = float(found[1])
        fresh = AllowedArea("new", "new", shapely.Point(fix["x_m"], fix["y_m"]).buffer(0.5), (z_m, z_m))
        match = replace(match, venue=replace(venue, allowed=(*venue.allowed, fresh)))
    if found := LENS.search(words):
        lens = Lens("new", (float(found[1]), float(found[1])))
        match = replace(match, cameras=tuple(replace(c, lenses=(*c.lenses, lens)) for c in match.cameras))
    return match


@pytest.mark.parametrize("change", ["as it is", "low support", "long lens only"])
def test_it_fixes_as_it_is_written(league_book, change):
    from standmark.cli.book.record import ground_record
    from standmark.cli.words.units import Units
    from standmark.optimizer.standard.cover import Cover

    folder, _, made = league_book
    line = min(made.contents.lines, key=lambda row: row.n_met)
    match = match_of(read_toml(folder / line.path), folder=folder)
    if change == "low support":
        match = replace(match, cameras=tuple(replace(c, lens_height_m=(0.5, 2.0)) for c in match.cameras))
    if change == "long lens only":
        match = replace(match, cameras=tuple(replace(c, lenses=(Lens("300", (300.0, 300.0)),)) for c in match.cameras))
    alone = replace(STANDARD, separation_m=0.0)  # a remedy speaks of one position, not of its neighbours
    found = apply_standard(match, alone, steps=STEPS)
    match = replace(match, venue=replace(match.venue, main_side=found.main_side))
    n_filled = sum(p.filled is not None for p in found.positions)
    zeros = (0.0,) * n_filled
    nothing = Cover(zeros, tuple({} for _ in zeros), zeros, zeros, 0.0, 0.0, 0.0)
    record = ground_record(
        match, found, nothing, code="X", path="x", has_bearing=False, units=Units.METRIC
    )  # fmt: skip
    record = json.loads(json.dumps(record))
    tried = 0
    for position in record["positions"]:
        for fix in position["fixes"]:
            words = fix["words"]
            if not words.startswith("To fix this"):
                continue
            changed = done_as_written(match, fix)
            assert changed is not match, words
            again = apply_standard(changed, alone, steps=STEPS)
            slot = next(p for p in again.positions if p.slot.code == position["role_code"])
            assert slot.filled is not None, words
            assert slot.filled.is_met, words
            tried += 1
    assert tried >= 2
