"""Sums over events in parts, and the interval by match: by hand, by enumeration and by theory."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.scoring.event_sums import add, event_score, match_interval, no_events
from standmark.optimizer.scoring.events import UNKNOWN, Captures, Events, Kinds

KEYS = ("goal", "shot")


def part(captured, *, kind=0, weight=None, match=None, outside=None):
    n = len(captured)
    kinds = np.zeros((n, 2))
    kinds[:, kind] = 1
    values = np.column_stack([captured, captured]).astype(float)
    events = Events(
        np.zeros((n, 2)), np.full(n, kind), np.full(n, UNKNOWN),
        np.ones(n) if weight is None else np.array(weight, float),
        np.full(n, UNKNOWN) if match is None else np.array(match),
    )  # fmt: skip
    outside = np.zeros(n, bool) if outside is None else np.array(outside)
    return events, Kinds(kinds, outside), Captures(values, np.full((n, 2), 0.5))


def test_shares_by_hand():
    sums = add(no_events(2), *part([0.5, 1.0], weight=[1, 3], outside=[True, False]))
    sums = add(sums, *part([0.0, 0.4], kind=1, weight=[2, 2]))
    found = event_score(sums, KEYS)
    assert found.captured == pytest.approx((0.5 + 3.0 + 0.8) / 8)
    assert found.captured_by_moment == pytest.approx({"goal": 3.5 / 4, "shot": 0.8 / 4})
    assert found.weight_by_moment == pytest.approx({"goal": 0.5, "shot": 0.5})
    assert found.promised == pytest.approx(0.5)
    assert (found.n_events, found.n_matches, found.interval) == (4, 0, None)
    assert found.outside == 0.25


def test_moments_that_did_not_happen_are_left_out():
    assert set(event_score(add(no_events(2), *part([1.0])), KEYS).captured_by_moment) == {"goal"}


def test_no_weight_at_all_is_refused():
    with pytest.raises(ValueError, match="weight 0"):
        event_score(add(no_events(2), *part([0.5], weight=[0])), KEYS)


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 1), st.floats(0.1, 5), st.integers(0, 4)), min_size=2, max_size=30),
    st.integers(1, 29),
)
def test_parts_add_up_to_the_whole(rows, cut):
    captured, weight, match = (list(column) for column in zip(*rows, strict=True))
    whole = add(no_events(2), *part(captured, weight=weight, match=match))
    halves = no_events(2)
    for piece in (slice(0, cut), slice(cut, None)):
        if captured[piece]:
            halves = add(halves, *part(captured[piece], weight=weight[piece], match=match[piece]))
    first, second = event_score(whole, KEYS), event_score(halves, KEYS)
    assert first.captured == pytest.approx(second.captured)
    assert (first.interval is None) == (second.interval is None)
    if first.interval and second.interval:
        assert first.interval == pytest.approx(second.interval)


def test_two_matches_by_enumeration():
    # shares 0 and 1, equal weights: of the 4 resamples one gives 0, one 1, two 1/2; the tails of 2.5 % are 0 and 1
    assert match_interval(np.array([0.0, 4.0]), np.array([4.0, 4.0])) == (0.0, 1.0)


def test_alike_matches_leave_no_doubt():
    low, high = match_interval(np.array([3.0, 6.0, 1.5]), np.array([6.0, 12.0, 3.0]))
    assert (low, high) == pytest.approx((0.5, 0.5))


def test_interval_agrees_with_the_linearised_error_of_a_ratio():
    # W. G. Cochran, Sampling Techniques, 3rd edition, 1977, section 6.4 (from memory): var of a ratio from n clusters
    rng = np.random.default_rng(11)
    weight = rng.integers(5, 40, 400).astype(float)
    captured = weight * np.clip(rng.normal(0.6, 0.15, 400), 0, 1)
    ratio = captured.sum() / weight.sum()
    error = np.sqrt(((captured - ratio * weight) ** 2).sum() / (400 * 399)) / weight.mean()
    low, high = match_interval(captured, weight)
    assert (high - low) / (2 * 1.96 * error) == pytest.approx(1, abs=0.08)
    assert (low + high) / 2 == pytest.approx(ratio, abs=0.2 * error)


def test_interval_is_the_same_every_time():
    captured, weight = np.arange(9.0), np.full(9, 10.0)
    assert match_interval(captured, weight) == match_interval(captured, weight)
    assert match_interval(captured, weight) != match_interval(captured, weight, seed=2)
