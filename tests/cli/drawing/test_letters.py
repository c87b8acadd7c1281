"""Letters that paper cannot show are named, with the place where they stand."""

import io
from dataclasses import replace

import pytest
from fontTools.ttLib import TTFont

from standmark.cli.drawing.font_face import READY, ready_file
from standmark.cli.drawing.font_subset import subset
from standmark.cli.drawing.letters import letters_warning, match_texts
from standmark.cli.drawing.text_size import font_file
from standmark.optimizer.match.match import ForbiddenArea
from standmark.optimizer.match.read_match import default_match


def test_nothing_is_said_where_nothing_is_missing():
    assert letters_warning(match_texts(default_match("football"))) is None
    assert letters_warning([("the title", "Łódź, Ñandú, Αθήνα, Москва, ملعب, אצטדיון")]) is None


def test_every_text_of_a_match_is_looked_at():
    match = default_match("football")
    venue = match.venue
    area = replace(venue.allowed[0], name="看台")
    camera = replace(match.cameras[0], name="機")
    venue = replace(
        venue,
        name="球場",
        allowed=(area, *venue.allowed[1:]),
        forbidden=(ForbiddenArea("禁", area.shape),),
        side_names=venue.side_names | {"+x": "東"},
    )
    told = letters_warning(match_texts(replace(match, title="🏆", venue=venue, cameras=(camera,))))
    assert told == (
        "the paper font has no 🏆 (the title), 球場 (the name of the venue), 東 (the names of the sides), "
        "看台 (allowed area 1), 禁 (forbidden area 1) and in 1 more place; boxes stand there on paper and in pictures"
    )


@pytest.mark.parametrize("is_bold", [False, True])
@pytest.mark.parametrize("name", READY)
def test_fonts_that_lie_ready_are_cut_from_the_font(name, is_bold):
    ready, fresh = (
        TTFont(io.BytesIO(data)) for data in (ready_file(name, is_bold).read_bytes(), subset(is_bold, READY[name]))
    )
    assert ready.getBestCmap() == fresh.getBestCmap()
    assert ready.getTableData("glyf") == fresh.getTableData("glyf")
    there = set(TTFont(font_file(is_bold)).getBestCmap())
    assert set(map(ord, READY[name])) & there <= set(ready.getBestCmap())
