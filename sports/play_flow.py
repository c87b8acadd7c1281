"""How play moves along a playing area, at its actual size: a Markov chain of plays, and what happens in which.

Everything is given for the side that attacks toward +x; the other side's plays are the same, turned round.
A play is what happens between two breaks in which somebody may walk: a down, an over, or a few seconds of a
game that runs on.
"""

from __future__ import annotations

from dataclasses import dataclass, field

ANYWHERE = (float("-inf"), float("inf"))


@dataclass(frozen=True)
class FlowState:
    """Where and how a play starts: its kind, and the stretch along x in which the ball is."""

    kind: str  # key of a FlowKind
    low_m: float
    high_m: float

    @property
    def middle_m(self) -> float:
        """Middle of the stretch."""
        return (self.low_m + self.high_m) / 2


@dataclass(frozen=True)
class FlowKind:
    """One kind of play: a down, a kick at goal, an over, open play."""

    key: str
    name: str


@dataclass(frozen=True)
class FlowStep:
    """One way in which a play is followed by another."""

    state: int  # index into PlayFlow.states
    after: int
    is_turned: bool  # the other side starts the next play (or ends are changed); `after` is then told as it sees it
    chance: float  # of the plays that start in `state`
    walk_s: float  # seconds between the two plays in which one can walk


@dataclass(frozen=True)
class Tie:
    """How a kind of moment hangs on the play in which it happens."""

    kinds: tuple[str, ...]  # kinds of play in which it happens
    ahead_m: tuple[float, float] = (0.0, 0.0)  # how far ahead of the ball, least and most; ANYWHERE: wherever it is
    exit: str | None = None  # it happens when a play ends so
    is_other_side: bool = False  # it belongs to the side that does not start the play


@dataclass(frozen=True)
class WalkingHabit:
    """What people who walk with this sport's play commonly do."""

    ahead_m: float  # walk so far ahead of the ball
    end_within_m: float | None  # behind the end once the ball is this near to it
    source: str


@dataclass(frozen=True)
class PlayFlow:
    """The whole chain."""

    turn_name: str  # what it is called when the other side starts the play
    follows: str  # "ball": a state knows the side on the ball; "ends": which end side A has
    kinds: tuple[FlowKind, ...]
    states: tuple[FlowState, ...]
    steps: tuple[FlowStep, ...]
    exits: dict[str, tuple[float, ...]]  # how often a play ends so, for each state
    ties: dict[str, Tie] = field(hash=False)  # by key of a moment; a moment of play without: in the zone where it is
    plays_per_match: float
    habit: WalkingHabit | None
    source: str  # of counts and chances
    walk_source: str  # of the seconds in which one can walk
    tie_source: str  # of how moments hang on plays
