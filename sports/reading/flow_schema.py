"""What `[play_flow]` of a definition may say: how play moves, and which moments happen in which plays."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from standmark.sports.reading.words import Key, LongText, NotNegative, Positive, Presets, Share, SourceKey, Text
from standmark.sports.shapes.expression import Length
from standmark.sports.shapes.shape import Metres, Pair
from standmark.sports.toml.table import Table


class ThenTable(Table):
    """How a play is followed by another one: after which end of it, by which kind, which side, where."""

    after: Key | None = None  # a column of the counts; none where there are no counts
    share: Share = 1.0  # of that column, or of all plays
    near: Pair | None = None  # only from plays that start in this stretch
    next: Key
    side: Literal["same", "other"] = "same"
    move_m: tuple[Metres, Metres] = (Length(0.0), Length(0.0))  # how far the ball has moved along the attack
    at: Metres | None = None  # where the next play starts, as the side that starts it sees it
    walk_s: NotNegative | None = None


class FlowKindTable(Table):
    """One kind of play and what follows it."""

    key: Key
    name: Text
    at: Metres | None = None  # where it always starts; none: in any zone
    walk_s: NotNegative  # in which one can walk after it
    counts: tuple[tuple[NotNegative, ...], ...] = ()  # for each zone: next zone, then one column for each exit
    exits: tuple[Key, ...] = ()
    beyond: Key | None = None  # the exit that is a move past the last zone
    shift: tuple[Share, ...] = ()  # in place of counts: moved back by so many zones ... forward by so many
    then: tuple[ThenTable, ...] = ()


class TieTable(Table):
    """How a kind of moment hangs on plays."""

    kinds: Presets = ()
    ahead_m: tuple[Metres, Metres] = (Length(0.0), Length(0.0))
    anywhere: bool = False
    exit: Key | None = None
    side: Literal["same", "other"] = "same"


class HabitTable(Table):
    """What people who walk with play commonly do."""

    ahead_m: Annotated[float, Field(ge=-50, le=50)]
    end_within_m: Positive | None = None
    source: SourceKey


class FlowTable(Table):
    """How play moves."""

    follows: Literal["ball", "ends"] = "ball"
    turn_name: Text = "The other side attacks"
    span: Pair  # first and last edge of the zones along x
    zones: Annotated[int, Field(ge=1, le=40)]
    split: Annotated[int, Field(ge=1, le=4)] = 1  # each zone of the counts is cut into so many
    plays_per_match: Positive
    kind: Annotated[tuple[FlowKindTable, ...], Field(min_length=1, max_length=8)]
    moments: dict[Key, TieTable] = Field(default_factory=dict)
    habit: HabitTable | None = None
    source: SourceKey
    walk_source: SourceKey = "estimate"
    tie_source: SourceKey = "estimate"
    note: LongText = ""
