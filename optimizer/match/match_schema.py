"""The form of a match file: which keys there are, of which type, within which limits."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from standmark.optimizer.match.crew_schema import CrewTable
from standmark.optimizer.match.filming_schema import DayTable, FilmTable, LightTable, WeatherTable
from standmark.optimizer.match.kit_schema import CameraTable, LensTable, LensWords, WordOrTable
from standmark.optimizer.match.match import MOST_CAMERAS, FirstAttack
from standmark.optimizer.match.presets import DELIVERABLES
from standmark.optimizer.match.venue_schema import VenueTable
from standmark.sports.toml.table import Name, Share, Table, known_word

YEARS = (1901, 2099)  # for which the sun's place is good, and more than any calendar of matches


def _known_year(start: datetime) -> datetime:
    if not YEARS[0] <= start.year <= YEARS[1]:
        raise ValueError(f"not a year for a match; allowed: {YEARS[0]} to {YEARS[1]}")
    return start


def _at_least_one(cameras: tuple[CameraTable, ...]) -> tuple[CameraTable, ...]:
    if not cameras:
        raise ValueError(f"no camera; allowed: 1 to {MOST_CAMERAS}, or leave the key out for one with two zooms")
    return cameras


class MatchTable(Table):
    """`[match]`: what is played, when, and what is made of it."""

    sport: Name | None = None
    preset: Name | None = None
    sport_file: str | None = None
    rules: Name | None = None  # key of a competition's rules; none: none
    rules_file: str | None = None
    title: Name | None = None  # the sport's name
    start: Annotated[datetime, AfterValidator(_known_year)] | None = None
    timezone: str | None = None
    cover: Literal["ours", "both"] = "both"
    other_side_weight: Share = 0.2
    first_attack: FirstAttack = "+x"
    deliverable: Annotated[str, known_word(tuple(DELIVERABLES))] = "highlights"


class RulesTable(Table):
    """`[rules]`: what a plan must respect."""

    separation_m: Annotated[float, Field(ge=0, le=500)] = 2.0
    must_cover: dict[str, Share] = Field(default_factory=dict)
    same_side: Literal["off", "warn", "forbid"] = "warn"
    moves: Literal["free", "never"] = "free"
    move_cost_points: Annotated[float, Field(ge=0, le=100)] = 0.5
    second_angle_points: Annotated[float, Field(ge=0, le=100)] = 0.5
    eye_height_points: Annotated[float, Field(ge=0, le=100)] = 0.5


class AdviceTable(Table):
    """`[advice]`: what to look into beside the plan."""

    fallback_m: Annotated[float, Field(gt=0, le=500)] = 8.0
    hire: Annotated[tuple[WordOrTable[LensWords, LensTable], ...], Field(max_length=8)] | None = None


class MatchFile(Table):
    """A whole match file."""

    match: MatchTable
    venue: VenueTable = VenueTable()
    camera: Annotated[tuple[CameraTable, ...], Field(max_length=MOST_CAMERAS), AfterValidator(_at_least_one)] = ()
    rules: RulesTable = RulesTable()
    advice: AdviceTable = AdviceTable()
    weights: dict[str, Annotated[float, Field(ge=0, le=1000)]] = Field(default_factory=dict)
    film: FilmTable = FilmTable()
    light: LightTable = LightTable()
    weather: WeatherTable = WeatherTable()
    day: DayTable = DayTable()
    crew: CrewTable = Field(default_factory=dict)
