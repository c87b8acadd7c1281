"""What a match file says of the sport's furniture: taken away, moved, brought out."""

import pytest

from standmark.geometry.errors import InputError
from standmark.geometry.sightlines.sightline import visible_share
from standmark.optimizer.choice.candidates import standing_shape
from standmark.optimizer.match.read_match import default_match, match_of
from standmark.optimizer.value.surroundings import fixed_occluders
from standmark.sports.toml.file import parse_toml

HEAD = '[match]\nsport = "volleyball"\n'


def read(text, tmp_path):
    return match_of(parse_toml(HEAD + text, name="match.toml"), folder=tmp_path, cameras=None)


def keys(match):
    return {thing.key for thing in match.venue.furniture}


def test_usual_furniture_is_there_and_the_rest_is_not(tmp_path):
    match = read("", tmp_path)
    assert "first-referee" in keys(match)
    assert "boards" not in keys(match)
    assert match.venue.furniture == default_match("volleyball").venue.furniture


def test_taken_away_and_brought_out(tmp_path):
    text = '[[venue.furniture]]\nwhat = "first-referee"\nthere = false\n[[venue.furniture]]\nwhat = "boards"\n'
    match = read(text, tmp_path)
    assert "first-referee" not in keys(match)
    assert "boards" in keys(match)


def test_the_referees_stand_hides_what_is_behind_it_wherever_it_is(tmp_path):
    behind = read("", tmp_path)
    moved = read('[[venue.furniture]]\nwhat = "first-referee"\nmirror = "y"\n', tmp_path)
    hitter, lens = [(2.0, 0.0, 1.0)], [(0.0, -8.0, 1.2)]  # past the stand, beside the post
    shares = [visible_share(lens, hitter, subject_m=1.9, occluders=fixed_occluders(m))[0, 0] for m in (behind, moved)]
    assert shares[0] < 0.5 * shares[1]


def test_each_of_several_pieces_stands_where_the_file_says(tmp_path):
    one, other = [[3, 5], [5, 5], [5, 6], [3, 6]], [[-6, 5], [-4, 5], [-4, 6], [-6, 6]]
    match = read(f'[[venue.furniture]]\nwhat = "benches"\npolygons = [{one}, {other}]\n', tmp_path)
    (benches,) = (thing for thing in match.venue.furniture if thing.key == "benches")
    assert sorted(piece.bounds for piece in benches.shape.geoms) == [(-6, 5, -4, 6), (3, 5, 5, 6)]
    with pytest.raises(InputError, match="at most one of"):
        read(f'[[venue.furniture]]\nwhat = "benches"\npolygon = {one}\npolygons = [{other}]\n', tmp_path)


def test_nobody_stands_on_a_table(tmp_path):
    text = '[[venue.furniture]]\nwhat = "table"\nside = "-y"\nspan_m = [2, 6]\noffset_m = [3.2, 4.4]\n'
    match = read(text, tmp_path)
    area = next(a for a in match.venue.allowed if a.key == "side-plus")
    table = next(t for t in match.venue.furniture if t.key == "table")
    assert area.shape.intersection(table.shape).area > 1
    assert standing_shape(match, area).intersection(table.shape).area < 1e-9


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('what = "first-refree"\n', 'did you mean "first-referee"'),
        (
            'what = "table"\nthere = false\ntop_m = 2\n',
            "venue.furniture[1].there: there = false takes the thing away",
        ),
        ('what = "table"\nmirror = "y"\nside = "+x"\noffset_m = [1, 2]\n', "at most one of"),
        ('what = "table"\nside = "+x"\n', "venue.furniture[1].side: needs offset_m"),
    ],
)
def test_mistakes_are_named_with_their_line(text, words, tmp_path):
    with pytest.raises(InputError, match=r"match.toml:[345]") as caught:
        read("[[venue.furniture]]\n" + text, tmp_path)
    assert words in str(caught.value)
