"""The answer for a camera that walks with play: its scenes, policies, cards and what each way to work covers."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.optimizer.match.match import Camera
from standmark.optimizer.roam.card import Card
from standmark.optimizer.roam.plays import Plays
from standmark.optimizer.roam.process import Average, Process, Solution
from standmark.optimizer.roam.stations import Stations
from standmark.optimizer.work.assignment import Spot
from standmark.sports.sport import Period


@dataclass(frozen=True)
class Method:
    """What one way to work covers, and how far it makes one walk."""

    name: str  # "stand", "habit", "card", "policy"; on the curve, what a kilometre had to add
    coverage: float
    walked_m: float  # a match
    longest_m: float  # in one break


@dataclass(frozen=True, eq=False)
class SceneFollow:
    """The walk through the periods that share pictures and light."""

    periods: tuple[Period, ...]
    stations: Stations  # the places kept
    process: Process
    solution: Solution
    policy: Average
    card: Card
    upper_bound: float  # of coverage: no policy over the places tried has more, however far it walks
    free: float  # of someone who is everywhere at once
    ours_x: int  # which way side A attacks, where sides weigh differently; else 0


@dataclass(frozen=True)
class Beside:
    """Where a camera stands while another walks."""

    camera: str
    periods: tuple[Period, ...]
    spot: Spot
    lens: str


@dataclass(frozen=True, eq=False)
class FollowPlan:
    """A camera that walks with play: the whole answer. Coverages are of the match, 0..1."""

    camera: Camera
    plays: Plays
    scenes: tuple[SceneFollow, ...]
    methods: tuple[Method, ...]
    upper_bound: float
    free: float
    curve: tuple[Method, ...]  # best policies, from walking for nothing to walking dear
    worth_of_km: float  # coverage that a kilometre had to add
    beside: tuple[Beside, ...] = ()  # cameras that stand elsewhere beside the walk than in the standing plan

    @property
    def has_one_card(self) -> bool:
        """Does one card hold all through the match."""
        first = self.scenes[0].card
        return all(
            len(s.card.lines) == len(first.lines)
            and all(
                (a.low_m, a.high_m, a.ahead_m) == (b.low_m, b.high_m, b.ahead_m)
                for a, b in zip(s.card.lines, first.lines, strict=True)
            )
            for s in self.scenes
        )

    def method(self, name: str) -> Method:
        """One of the ways to work, by its name."""
        return next(m for m in self.methods if m.name == name)
