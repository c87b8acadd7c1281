"""Which way play goes stands on every drawing, and every drawing of a match has the benches at the bottom."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely
from drawn_plans import placed_plan, stretches_of

from standmark.cli.drawing.attack_arrows import arrow_marks, is_turned, match_arrows
from standmark.cli.drawing.compare import compare_picture
from standmark.cli.drawing.ground import Ground, fit_ground
from standmark.cli.drawing.map_page import map_panels, maps_picture
from standmark.cli.drawing.marks import Fill, Words
from standmark.cli.drawing.plan import plan_picture
from standmark.cli.words.attack import BOTH, attack_words, both_ways, match_attack
from standmark.optimizer.comparison import compare
from standmark.optimizer.match.read_match import default_match
from standmark.sports.library import load_sport, sport_keys

GROUND = Ground(1000.0, 100.0, 60.0, (0.0, 0.0, 200.0, 120.0), is_turned=True)


def arrows_of(marks):
    return [mark for mark in marks if isinstance(mark, Fill) and mark.style == "arrow"]


@pytest.mark.parametrize(
    ("sport", "change", "told"),
    [
        ("football", {}, [("1st half: home attack", "+x"), ("2nd half: home attack", "-x")]),
        ("football", {"cover": "ours"}, [("1st half: we attack", "+x"), ("2nd half: we attack", "-x")]),
        ("football", {"first_attack": "unknown"}, [("the toss decides the ends", BOTH)]),
        ("tennis", {}, [("ends change often", BOTH)]),
        ("baseball", {}, []),
    ],
)  # fmt: skip
def test_the_direction_of_attack_in_words(sport, change, told):
    assert match_attack(replace(default_match(sport), **change)) == told


def test_whoever_attacks_the_other_end_first_turns_all_arrows():
    match = default_match("football")
    turned = [end for _, end in match_attack(replace(match, first_attack="-x"))]
    assert turned == ["-x", "+x"]


def test_one_half_alone_needs_no_name():
    match = default_match("football")
    assert match_attack(match, match.sport.periods[1:]) == [("home attack", "-x")]


def test_a_ground_without_a_match_is_played_both_ways():
    assert both_ways(load_sport("football").periods) == [("both ways: ends change", BOTH)]
    assert both_ways(load_sport("softball").periods) == []
    assert attack_words(load_sport("football").periods, None) == [("the toss decides the ends", BOTH)]


def test_tips_point_where_play_goes_on_a_turned_ground():
    area = load_sport("football").area
    for end, tips in (("+x", (True, False)), ("-x", (False, True)), (BOTH, (True, True))):
        (ring,) = arrows_of(arrow_marks(area, [("home attack", end)], GROUND))[0].rings
        x = ring[:-1, 0]
        is_tip = tuple(bool(np.isclose(x, at).sum() == 1) for at in (x.min(), x.max()))
        assert is_tip == tips, end


def test_arrows_stand_apart_and_words_inside():
    marks = list(match_arrows(default_match("football"), GROUND))
    first, second = (mark.rings[0] for mark in arrows_of(marks))
    assert first[:, 1].max() < second[:, 1].min()
    for ring, words in zip((first, second), [m for m in marks if isinstance(m, Words)], strict=True):
        assert ring[:, 0].min() < words.x_mm < ring[:, 0].max()
        assert ring[:, 1].min() < words.y_mm < ring[:, 1].max()


@pytest.mark.parametrize("sport", sport_keys())
def test_no_arrow_lies_on_another_in_any_sport(sport):
    match = default_match(sport)
    ground = fit_ground(match.sport.area.run_off.bounds, (0.0, 0.0, 163.0, 62.0), is_turned=True)
    arrows = [shapely.Polygon(mark.rings[0]) for mark in arrows_of(match_arrows(match, ground))]
    assert not any(one.intersects(other) for one, other in combinations(arrows, 2))


def test_every_drawing_of_a_match_has_arrows():
    found, stretches = placed_plan(), stretches_of(placed_plan())
    n_maps = sum(len(map_panels(found, stretch)) for stretch in stretches)
    assert len(arrows_of(maps_picture(found, stretches).marks)) == n_maps
    assert len(arrows_of(plan_picture(found, stretches).marks)) == len(stretches)
    assert arrows_of(compare_picture(compare(found, found), found.match.sport).marks)


def test_benches_are_at_the_bottom_but_for_a_home_corner():
    assert is_turned(load_sport("football").area)
    assert not is_turned(load_sport("baseball").area)
