"""How play moves: every definition's chain is whole, counts come back from the split, mistakes are told."""

import numpy as np
import pytest

from standmark.geometry.errors import InputError
from standmark.sports.library import DEFINITIONS, load_sport, sport_keys
from standmark.sports.reading.split_zones import split_moves

FLOWING = [key for key in sport_keys() if load_sport(key).play_flow is not None]


def test_sports_that_were_promised_say_how_play_moves():
    assert set(FLOWING) >= {
        "american-football", "canadian-football", "rugby-union", "rugby-league", "australian-football",
        "gaelic-football", "lacrosse", "hurling", "field-hockey", "football", "cricket", "tennis", "beach-volleyball",
    }  # fmt: skip


@pytest.mark.parametrize("key", FLOWING)
def test_what_follows_a_play_sums_to_one(key):
    flow = load_sport(key).play_flow
    total = np.zeros(len(flow.states))
    for step in flow.steps:
        assert 0 < step.chance <= 1
        assert step.walk_s >= 0
        total[step.state] += step.chance
    assert total == pytest.approx(np.ones(len(total)))


@pytest.mark.parametrize("key", FLOWING)
def test_zones_lie_on_the_playing_area(key):
    sport = load_sport(key)
    left, _, right, _ = sport.area.outline.bounds
    middles_m = [s.middle_m for s in sport.play_flow.states]
    assert left <= min(middles_m)
    assert max(middles_m) <= right


def test_counts_of_wide_zones_come_back_from_their_parts():
    rng = np.random.default_rng(5)
    gain = np.array([0.02, 0.08, 0.3, 0.25, 0.15, 0.1, 0.06, 0.04])  # parts moved, from two back
    true = np.zeros((20, 21))
    for start in range(20):
        np.add.at(true[start], np.clip(start + np.arange(-2, 6), 0, 20), gain)
    wide = true.reshape(10, 2, 21).mean(axis=1)
    counts = np.column_stack([wide[:, :20].reshape(10, 10, 2).sum(axis=2), wide[:, 20]])
    found = split_moves(counts * rng.integers(500, 2000, (10, 1)), parts=2)
    assert found.sum(axis=1) == pytest.approx(np.ones(20))
    again = found.reshape(10, 2, 21).mean(axis=1)
    assert np.column_stack([again[:, :20].reshape(10, 10, 2).sum(axis=2), again[:, 20]]) == pytest.approx(
        counts, abs=1e-4
    )
    assert found[9, 10:].sum() > found[8, 10:].sum() + 0.1  # the front of a zone is left more often than its back


def test_line_of_scrimmage_moves_as_measured():
    """Counts know zones of 10 yd; moves between plays were measured apart: half under 4.6 m, then 14.6 and 20.1."""
    flow = load_sport("american-football").play_flow
    share = np.zeros(40)
    weight = np.array([97, 1880, 2526, 2590, 2630, 2021, 1684, 1381, 1509, 1264]) / 17826  # plays by zone, as counted
    for step in flow.steps:
        if flow.states[step.state].kind == flow.states[step.after].kind == "down" and not step.is_turned:
            moved_m = abs(flow.states[step.after].middle_m - flow.states[step.state].middle_m)
            share[round(moved_m / 4.572)] += step.chance * weight[step.state // 2] / 2
    within = np.cumsum(share) / share.sum()
    at = [4.572 * np.searchsorted(within, q) for q in (0.5, 0.9, 0.95)]
    assert at == pytest.approx([4.6, 14.6, 20.1], abs=2.3)  # half a part


@pytest.mark.parametrize(
    ("was", "put", "said"),
    [
        ('after = "lost"', 'after = "gone"', r'kind\[1\].then\[4\].after: not one of exits \(got "gone"\)'),
        ('next = "try"', 'next = "tri"', r'kind\[1\].then\[1\].next: not a kind of play \(got "tri"\)'),
        ("share = 0.83", "share = 0.5", "it must sum to 1"),
        ("[158, 118, 24", "[158, 118", r"kind\[1\].counts: needs 10 rows of 10 \+ 3 numbers"),
        ("touchdown = { kinds", "touchdwn = { kinds", "no such moment"),
    ],
)
def test_mistakes_are_told(tmp_path, was, put, said):
    text = (DEFINITIONS / "american-football.toml").read_text()
    assert was in text
    own = tmp_path / "own.toml"
    own.write_text(text.replace(was, put).replace('key = "american-football"', 'key = "own"'))
    with pytest.raises(InputError, match=said):
        load_sport(own)
