"""The form of a tournament file: pitches, slots, matches, kit and crew."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated

from pydantic import AfterValidator, Field, model_validator

from standmark.optimizer.day.tournament.tournament import PeopleRules
from standmark.optimizer.match.crew_schema import Phone
from standmark.optimizer.match.filming_schema import BodyTable
from standmark.optimizer.match.kit_schema import (
    LensTable,
    LensWords,
    ModeTable,
    ModeWord,
    OperatorTable,
    OperatorWord,
    SupportTable,
    SupportWord,
    WordOrTable,
)
from standmark.sports.toml.file import KeyFaultError
from standmark.sports.toml.table import Name, Range, Table

CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
Minutes = Annotated[float, Field(ge=0, le=1440)]
SiteMetres = Annotated[float, Field(ge=-20_000, le=20_000)]
USUAL = PeopleRules()


def minutes_of(words: str) -> float:
    """Minutes from midnight of a time of day that the schema has read.

    >>> minutes_of("09:30")
    570.0
    """
    hours, minutes = words.split(":")
    return 60.0 * int(hours) + int(minutes)


def _clock(words: str) -> str:
    parts = CLOCK.fullmatch(words.strip())
    if parts is None:
        raise ValueError('not a time of day; write "09:30"')
    return f"{int(parts[1]):02d}:{parts[2]}"


Clock = Annotated[str, AfterValidator(_clock)]


class TournamentTable(Table):
    """`[tournament]`: what and when."""

    title: Name
    date: date
    timezone: Name
    base_at_m: tuple[SiteMetres, SiteMetres] | None = None


class PeopleTable(Table):
    """`[people]`: what people need."""

    changeover_min: Minutes = USUAL.changeover_min
    overrun_min: Minutes = USUAL.overrun_min
    longest_work_min: Annotated[float, Field(gt=0, le=1440)] = USUAL.longest_work_min
    rest_min: Minutes = USUAL.rest_min
    meal_min: Minutes = USUAL.meal_min
    meal: tuple[Clock, Clock] = ("11:00", "14:30")

    @model_validator(mode="after")
    def _meal_fits(self) -> PeopleTable:
        opens, closes = map(minutes_of, self.meal)
        if closes - opens < self.meal_min:
            message = f"a meal of {self.meal_min:g} minutes doesn't fit between {self.meal[0]} and {self.meal[1]}"
            raise KeyFaultError(message, "meal")
        return self


class PitchTable(Table):
    """`[[pitch]]`: one pitch."""

    name: Name
    at_m: tuple[SiteMetres, SiteMetres]


class SlotTable(Table):
    """`[[slot]]`: a stretch of time, the same on all pitches; called by its start unless it has a name."""

    name: Name | None = None
    start: Clock
    end: Clock


class FixtureTable(Table):
    """`[[match]]`: one match, from a match file or from nothing but its sport."""

    pitch: Name
    slot: Name
    title: Name
    file: str | None = None
    sport: Name | None = None
    preset: Name | None = None
    minutes: Annotated[float, Field(gt=0, le=1440)] | None = None
    worth: Annotated[float, Field(gt=0, le=1000)] = 1.0
    most_cameras: Annotated[int, Field(ge=1, le=3)] = 2


class KitTable(Table):
    """`[[kit]]`: camera and lenses."""

    name: Name
    mode: WordOrTable[ModeWord, ModeTable] = "full-frame-uhd"
    lenses: Annotated[tuple[WordOrTable[LensWords, LensTable], ...], Field(min_length=1, max_length=8)]
    support: WordOrTable[SupportWord, SupportTable] = "tripod"
    operator: WordOrTable[OperatorWord, OperatorTable] = "practised"
    lens_height_m: Range | None = None
    body: BodyTable = BodyTable()


class CrewTable(Table):
    """`[[crew]]`: one person who films."""

    name: Name
    kit: Name | None = None
    from_: Clock = Field(alias="from")
    to: Clock
    cards: Annotated[int, Field(ge=1, le=100)] = 4
    batteries: Annotated[int, Field(ge=1, le=100)] = 4
    phone: Phone | None = None
    lead: bool = False


class WalkTable(Table):
    """`[[walk]]`: a way on foot that somebody has timed."""

    between: tuple[Name, Name]
    minutes: Minutes


class TournamentFile(Table):
    """A whole tournament file."""

    tournament: TournamentTable
    people: PeopleTable = PeopleTable()
    pitch: Annotated[tuple[PitchTable, ...], Field(min_length=1, max_length=40)]
    slot: Annotated[tuple[SlotTable, ...], Field(min_length=1, max_length=60)]
    match: Annotated[tuple[FixtureTable, ...], Field(min_length=1, max_length=600)]
    kit: Annotated[tuple[KitTable, ...], Field(max_length=12)] = ()
    crew: Annotated[tuple[CrewTable, ...], Field(min_length=1, max_length=40)]
    walk: tuple[WalkTable, ...] = ()
