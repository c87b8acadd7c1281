"""Pairs of rows across a line of action, as bits: against each pair on its own, and as places join."""

import numpy as np
from small_match import small_match

from standmark.optimizer.choice.line_clashes import clash_beside, line_clashes
from standmark.optimizer.search import clash
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.line_of_action import crossing_pairs, moment_ends

N_PLACES, N_OUTFITS = 60, 2


def some_rows():
    """Places round the pitch, what two outfits are worth there at random, and the targets of a half."""
    match, rng = small_match(moments=("goal", "duel")), np.random.default_rng(0)
    targets = period_targets(match, match.sport.periods[0], cells=4)
    angle = rng.uniform(0.0, 2 * np.pi, N_PLACES)
    at_m = np.column_stack([60.0 * np.cos(angle), 45.0 * np.sin(angle), np.full(N_PLACES, 1.6)])
    at_m[1, :2] = at_m[0, :2]  # one place, two heights
    quality = rng.random((N_OUTFITS * N_PLACES, len(targets.weight)), np.float32)
    return targets, at_m, quality * rng.choice([0.02, 1.0], (len(quality), 1)).astype(np.float32)


def test_rows_clash_where_they_take_a_moment_from_opposite_sides():
    targets, at_m, quality = some_rows()
    rows_m = np.tile(at_m, (N_OUTFITS, 1))
    rows = np.arange(len(rows_m))
    found = clash(line_clashes((targets,), xy_m=rows_m[:, :2], quality=quality), rows[:, None], rows)
    wanted = np.zeros_like(found)
    for end in moment_ends(targets):
        if end.is_ruled:
            wanted |= crossing_pairs(end, targets, rows_m, quality.astype(float))
    assert (found == wanted).all()
    assert 0.05 < found.mean() < 0.95
    beside = clash_beside((targets,), others_m=at_m[:1], others_quality=quality[:1])
    assert (beside(at_m, quality.reshape(N_OUTFITS, N_PLACES, -1)).ravel() == found[0]).all()


def test_places_that_join_leave_the_clashes_of_all_from_nothing():
    targets, at_m, quality = some_rows()
    rows_m = np.tile(at_m[:, :2], (N_OUTFITS, 1))
    whole = line_clashes((targets,), xy_m=rows_m, quality=quality)
    for n_known in (1, 40, N_PLACES):
        is_fresh = np.tile(np.arange(N_PLACES) >= n_known, N_OUTFITS)
        before = line_clashes((targets,), xy_m=rows_m[~is_fresh], quality=quality[~is_fresh])
        joined = line_clashes((targets,), xy_m=rows_m, quality=quality, is_fresh=is_fresh, known=before)
        assert (joined.mark == whole.mark).all()
        assert (joined.place == whole.place).all()
        assert (joined.between == whole.between).all()
