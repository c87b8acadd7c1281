"""The card of a walk as a picture: everything on it, nothing off the page, the stations where the plan has them."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from standmark.cli.drawing.follow_card import HEIGHT_MM, WIDTH_MM, card_picture, cards_picture
from standmark.cli.drawing.marks import Fill, Line, Words
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.words.roam_words import follow_card
from standmark.optimizer.match.match import Roam
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan


@cache
def walked(sport):
    match = default_match(sport)
    return plan(replace(match, cameras=(replace(match.cameras[0], roam=Roam()),)))


@pytest.mark.parametrize("sport", ["american-football", "field-hockey"])
def test_a_card_holds_its_lines_within_its_edges(sport):
    found = walked(sport)
    follow = found.follow[0]
    card = card_picture(found, follow, follow.scenes[0])
    told = [mark for mark in card.marks if isinstance(mark, Words)]
    whole = " ".join(mark.text for mark in told)
    for _, when, where in follow_card(follow, follow.scenes[0], found.match).lines:
        assert all(word in whole for word in f"{when} {where}".split())
    for mark in told:
        wide = text_width_mm(mark.text, mark.size_mm, is_bold=True)
        left = mark.x_mm - {"start": 0.0, "middle": wide / 2, "end": wide}[mark.anchor]
        assert left >= 0
        assert left + wide <= WIDTH_MM
        assert 0 <= mark.y_mm <= HEIGHT_MM
    for mark in card.marks:
        parts = mark.rings if isinstance(mark, Fill) else mark.parts if isinstance(mark, Line) else ()
        for xy in parts:
            assert np.all((xy >= -0.01) & (xy <= (WIDTH_MM + 0.01, HEIGHT_MM + 0.01)))


def test_a_plan_where_nobody_walks_has_no_cards():
    assert cards_picture(plan(default_match("badminton"))) is None
    assert cards_picture(walked("american-football")).height_mm == HEIGHT_MM
