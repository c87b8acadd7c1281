"""The place with which a plan is compared is the one that people take in that sport, by its own name."""

import pytest

from standmark.cli.words.usual import Usual, usual_habit
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.scoring.habit import habit_spots
from standmark.sports.library import sport_keys

PLACES = {
    "baseball": "behind home plate", "softball": "behind home plate", "cricket": "behind the bowler",
    "australian-football": "the wing", "tennis": "beside the net", "badminton": "beside the net",
    "volleyball": "beside the net", "beach-volleyball": "beside the net",
}  # fmt: skip


@pytest.mark.parametrize("sport", sport_keys())
def test_the_usual_place_is_called_as_the_sport_calls_it(sport):
    match = default_match(sport)
    key, place = usual_habit(match)
    assert place == PLACES.get(sport, "halfway")
    spots = [s for s in habit_spots(match, match.cameras[0]) if s.key == key]
    assert spots
    if place == "behind home plate":
        assert all(s.spot.x_m < 0 for s in spots), "nobody films by habit from beyond the fence"


def test_a_comparison_is_a_sentence_or_ends_one():
    allowed, closed = (
        Usual(0.3, "", "halfway", "about a third"),
        Usual(0.3, "benches", "beside the net", "about the same"),
    )
    assert allowed.words == "From halfway you'd get about a third."
    assert allowed.short == "from halfway, a third"
    assert closed.words == "From beside the net you'd get about the same, if you were allowed there."
    assert closed.short == "from beside the net, if allowed, about the same"
