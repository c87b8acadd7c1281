"""Cards and batteries: two cards at least, and one battery more than needed."""

import pytest

from standmark.optimizer.day.media import media_need
from standmark.optimizer.match.recorder import Recorder
from standmark.sports.sport import Period

SHORT = (Period("h", "Half", 5.0, 1, "first", 0.0, True),)


def test_a_short_match_still_takes_two_cards_and_two_batteries():
    need = media_need(Recorder(bit_rate_mbit_s=10.0, card_gb=512.0, battery_min=600.0), SHORT, fps=25.0)
    assert need.recorded_min < need.card_min
    assert (need.n_cards, need.n_batteries) == (2, 2)


def test_a_rate_is_that_of_its_frame_rate():
    slow, fast = (media_need(Recorder(bit_rate_mbit_s=100.0, bit_rate_fps=25.0), SHORT, fps=f) for f in (25.0, 100.0))
    assert fast.gigabytes == pytest.approx(4 * slow.gigabytes)
    assert slow.gigabytes == pytest.approx(slow.recorded_min * 60 * 100 / 8000)
