"""The thread that plans: the newest change wins, what nobody waits for is dropped, and a bug of ours ends nothing."""

import threading
import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import ClassVar

import pytest

from standmark.cli.open import live as lives
from standmark.cli.open.live import QUIET_S, Live, what_counts
from standmark.optimizer import default_match, plan, read_match
from standmark.optimizer.planning import Planner, Stopped

FOUND = plan(default_match("netball"))


class SlowPlanner(Planner):
    """Takes as long as it is told, and looks whether anybody waits."""

    asked: ClassVar[list] = []
    takes_s = 0.0
    fails = False
    found = FOUND

    def plan(self, *, time_limit_s=None, stopped=lambda: False, **_):
        self.asked.append(time_limit_s)
        if SlowPlanner.fails:
            raise ZeroDivisionError("a bug")
        end = time.monotonic() + self.takes_s
        while time.monotonic() < end:
            if stopped():
                raise Stopped
            time.sleep(0.005)
        return self.found

    def advice_parts(self, *, stopped=lambda: False, **_):
        yield "stages", ()
        yield "ask", ()


@pytest.fixture
def live(monkeypatch):
    monkeypatch.setattr(lives, "Planner", SlowPlanner)
    monkeypatch.setattr(lives, "late_advice_data", lambda _: {"doubt": None})
    SlowPlanner.asked, SlowPlanner.takes_s, SlowPlanner.fails = [], 0.0, False
    heard = []
    thread = Live(
        lambda event, data: heard.append((event, data["change"])), report=lambda text: f"report of {len(text)}"
    )
    thread.heard = heard
    yield thread
    thread.close()


def until(is_so):
    end = time.monotonic() + 20
    while not is_so():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_ten_changes_at_once_are_one_search(live):
    began = time.monotonic()
    for change in range(1, 11):
        live.ask(change, FOUND.match, {})
    until(lambda: ("answer", 10) in live.heard)
    assert time.monotonic() - began >= QUIET_S
    assert len(SlowPlanner.asked) == 1
    assert {change for _, change in live.heard} == {10}


def test_a_change_during_a_search_drops_it(live):
    SlowPlanner.takes_s = 30.0
    live.ask(1, FOUND.match, {}, at_once=True)
    until(lambda: SlowPlanner.asked)
    SlowPlanner.takes_s = 0.0
    live.ask(2, FOUND.match, {}, at_once=True)
    until(lambda: ("answer", 2) in live.heard)
    assert ("answer", 1) not in live.heard
    assert live.worth(1, period="first-quarter", camera="A", at_m=(0.0, 9.0)) is None


def test_what_is_told_is_kept_for_pages_that_come_later(live):
    live.ask(3, FOUND.match, {}, at_once=True)
    until(lambda: live.heard.count(("advice", 3)) >= 2)
    assert {"answer", "advice"} <= set(live.told)
    assert {"set_up", "doubt"} <= set(live.told["advice"])
    live.ask(4, replace(FOUND.match, first_attack="-x"), {})
    until(lambda: ("answer", 4) in live.heard)
    assert {data["change"] for data in live.told.values()} == {4}
    live.forget()
    assert live.told == {}


def test_a_bug_is_said_and_the_next_change_is_planned(live):
    SlowPlanner.fails = True
    live.ask(1, FOUND.match, {}, at_once=True)
    until(lambda: ("failed", 1) in live.heard)
    assert live.told["failed"]["report"].startswith("report of ")
    SlowPlanner.fails = False
    live.ask(2, FOUND.match, {}, at_once=True)
    until(lambda: ("answer", 2) in live.heard)
    assert "failed" not in live.told


def test_keep_looking_takes_the_limit_away(live, monkeypatch):
    monkeypatch.setattr(SlowPlanner, "found", replace(FOUND, proven=False))
    live.ask(1, FOUND.match, {}, at_once=True)
    until(lambda: ("answer", 1) in live.heard)
    live.keep_looking()
    until(lambda: len(SlowPlanner.asked) == 2)
    assert SlowPlanner.asked == [lives.LIMIT_S, None]


def test_another_name_is_no_other_search(live):
    live.ask(1, FOUND.match, {}, at_once=True)
    until(lambda: live.heard.count(("advice", 1)) >= 2)
    named = replace(
        FOUND.match,
        title="Cup",
        venue=replace(
            FOUND.match.venue, name="Salt Hall", side_names=FOUND.match.venue.side_names | {"+x": "pier end"}
        ),
    )
    live.ask(2, named, {}, at_once=True)
    until(lambda: ("answer", 2) in live.heard)
    assert len(SlowPlanner.asked) == 1
    assert live.answered.plan.match == named
    live.ask(3, replace(named, first_attack="-x"), {}, at_once=True)
    until(lambda: ("answer", 3) in live.heard)
    assert len(SlowPlanner.asked) == 2


HERON = read_match(Path(__file__).resolve().parents[3] / "examples" / "heron-lane.toml")
DULL = replace(HERON.filming, weather=replace(HERON.filming.weather, sky="overcast"))


@pytest.mark.parametrize(
    ("changed", "counts"),
    [
        (replace(HERON, title="Final"), False),
        (replace(HERON, filming=DULL), False),
        (replace(HERON, start=HERON.start + timedelta(hours=3)), True),
        (replace(HERON, venue=replace(HERON.venue, bearing_deg=10.0)), True),
        (replace(HERON, venue=replace(HERON.venue, allowed=HERON.venue.allowed[1:])), True),
        (replace(HERON, cameras=HERON.cameras * 2), True),
    ],
)
def test_a_plan_hangs_on_what_counts(changed, counts):
    assert (what_counts(changed) != what_counts(HERON)) is counts


def test_what_does_not_count_changes_no_plan():
    match = replace(FOUND.match, title="Final", filming=DULL, start=HERON.start)
    assert what_counts(match) == what_counts(FOUND.match)
    assert [p.assignments for p in plan(match).periods] == [p.assignments for p in FOUND.periods]


def test_it_ends_in_the_middle_of_a_search(live):
    SlowPlanner.takes_s = 30.0
    live.ask(1, FOUND.match, {}, at_once=True)
    until(lambda: SlowPlanner.asked)
    live.close()
    assert not [thread for thread in threading.enumerate() if thread.name == "planning" and thread.is_alive()]
