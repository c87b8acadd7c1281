"""What a place is said to be best for are the moments that give the plan most, by the plan's own weights."""

from dataclasses import replace

import numpy as np
import pytest
from small_match import small_match, station_at

from standmark.cli.words.moments import moment_words
from standmark.cli.words.naming import why_words
from standmark.cli.words.score_words import verdict_text
from standmark.optimizer.match.presets import deliverable_for
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.scoring.choice import choice_score, period_tasks
from standmark.optimizer.scoring.verdict import judge
from standmark.optimizer.value.targets import moment_weights, period_targets

PLACES = {"football": (0.0, -38.0), "ice-hockey": (0.0, -17.0), "netball": (0.0, -10.0), "tennis": (0.0, -9.0)}


def weights_of(match, period):
    targets = period_targets(match, period)
    return dict(
        zip(targets.moment_keys, np.bincount(targets.moment, targets.weight, len(targets.moment_keys)), strict=True)
    )


@pytest.mark.parametrize("deliverable", ["highlights", "analysis", "slow-motion"])
@pytest.mark.parametrize("sport", PLACES)
def test_best_for_names_what_is_seen_of_most_worth(sport, deliverable):
    match = default_match(sport)
    match = replace(match, deliverable=deliverable_for(deliverable, match.sport.area), cover="ours")
    tasks = period_tasks(match)[:1]
    (period,) = choice_score(match, [(station_at(match, *PLACES[sport], 4.0),)], tasks=tasks).periods
    place = period.assignments[0]
    weights = weights_of(match, period.period)
    added = {key: share * weights[key] for key, share in place.seen_by_moment.items()}
    assert sum(added.values()) == pytest.approx(place.seen)
    best = sorted(added, key=lambda key: -added[key])[:2]
    names = {m.key: moment_words(match.sport, m).plural for m in match.sport.moments}
    assert why_words(place, match) == f"Best for {names[best[0]]} and {names[best[1]]}."


@pytest.mark.parametrize("cover", ["both", "ours"])
def test_weights_of_moments_are_those_of_every_period(cover):
    match = replace(small_match(deliverable="analysis", cover=cover), first_attack="-x")
    for period in match.sport.periods:
        assert weights_of(match, period) == pytest.approx(moment_weights(match))


def test_a_score_lists_moments_in_the_order_of_their_weight():
    match = small_match(moments=("goal", "save", "duel", "team-talk"), deliverable="analysis")
    choice = [(station_at(match, 0, -38),)] * 2
    text = verdict_text(judge(match, choice, with_optimum=False), None)
    weights = moment_weights(match)
    names = {m.key: m.name for m in match.sport.moments if weights[m.key] > 0}
    ranked = sorted(names, key=lambda key: -weights[key])
    found = [text.index(f"\n  {names[key]}") for key in ranked]
    assert found == sorted(found)
