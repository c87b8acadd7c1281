"""The form of a match file: which keys there are, of which type, within which limits."""

from __future__ import annotations

import math
import re
from datetime import datetime
from typing import Annotated, Literal, TypeVar

import shapely
from pydantic import AfterValidator, Discriminator, Field, Tag, model_validator

from standmark.cli.filming_schema import BodyTable, DayTable, FilmTable, LightTable, WeatherTable
from standmark.cli.presets import DELIVERABLES, MODES, SUPPORTS, lens_from_words
from standmark.cli.table import Name, Table
from standmark.sports.toml_file import did_you_mean

MOST_POINTS = 2000


def _sides(size: tuple[float, float]) -> tuple[float, float]:
    if size[0] > size[1]:
        raise ValueError(f"lowest first: {size[0]:g} is above {size[1]:g}; allowed: [low, high] with low <= high")
    return size


def _ring(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    if len(set(points)) < 3:
        raise ValueError("a polygon needs at least three different points")
    polygon = shapely.Polygon(points)
    if not polygon.is_valid:
        raise ValueError(f"not a simple polygon: {shapely.is_valid_reason(polygon)}; allowed: edges that do not cross")
    return points


def _ground_code(text: str) -> str:
    if not re.fullmatch(r"[A-Z][A-Z0-9]{2,7}", text) or re.fullmatch(r"CON|PRN|AUX|NUL|(COM|LPT)[0-9]", text):
        raise ValueError("must be 3 to 8 capital letters and digits, a letter first, and not a device name")
    return text


Word = TypeVar("Word")
TableForm = TypeVar("TableForm")
Metres = Annotated[float, Field(ge=-1000, le=1000)]
Size = Annotated[float, Field(gt=0, le=1000)]
Height = Annotated[float, Field(ge=0, le=200)]
Range = Annotated[tuple[Height, Height], AfterValidator(_sides)]
Span = Annotated[tuple[Metres, Metres], AfterValidator(_sides)]
Point = tuple[Metres, Metres]
Polygon = Annotated[tuple[Point, ...], Field(max_length=MOST_POINTS), AfterValidator(_ring)]
Line = Annotated[tuple[Point, ...], Field(min_length=2, max_length=MOST_POINTS)]
Share = Annotated[float, Field(ge=0, le=1)]
Side = Literal["+x", "-x", "+y", "-y"]
GroundCode = Annotated[str, AfterValidator(_ground_code)]


class MatchTable(Table):
    """`[match]`: what is played, when, and what is made of it."""

    sport: Name
    preset: Name | None = None
    sport_file: str | None = None
    title: Name = "Match"
    start: datetime | None = None
    timezone: str | None = None
    cover: Literal["ours", "both"] = "both"
    other_side_weight: Share = 0.2
    first_attack: Literal["+x", "-x", "unknown"] = "+x"
    deliverable: str = "highlights"

    @model_validator(mode="after")
    def _known(self) -> MatchTable:
        if self.deliverable not in DELIVERABLES:
            raise ValueError(
                f'deliverable "{self.deliverable}" not known; allowed: {", ".join(DELIVERABLES)}'
                + did_you_mean(self.deliverable, list(DELIVERABLES))
            )
        if self.start is not None and self.start.tzinfo is None and self.timezone is None:
            raise ValueError('start has no time zone; add timezone = "Area/City", or an offset such as +02:00 to start')
        return self


class PlaceTable(Table):
    """A part of the ground: a polygon, a line, a strip along one side, or a band round the playing area."""

    polygon: Polygon | None = None
    line: Line | None = None
    side: Side | None = None
    span_m: Span | None = None  # along the side, from the middle; default: the whole side
    offset_m: Range | None = None  # outward from the line
    around: Span | None = None  # degrees from +x toward +y, as seen from the middle of the playing area

    @model_validator(mode="after")
    def _one_form(self) -> PlaceTable:
        forms = [name for name in ("polygon", "line", "side", "around") if getattr(self, name) is not None]
        if len(forms) != 1:
            raise ValueError("needs exactly one of polygon, line, side (with offset_m), around (with offset_m)")
        if forms[0] in ("side", "around") and self.offset_m is None:
            raise ValueError(f"{forms[0]} needs offset_m = [near, far], metres outward from the line")
        if self.span_m is not None and self.side is None:
            raise ValueError("span_m goes with side only")
        if self.offset_m is not None and forms[0] not in ("side", "around"):
            raise ValueError("offset_m goes with side or around only")
        return self


class AllowedTable(PlaceTable):
    """`[[venue.allowed]]`: where a camera may stand."""

    name: Name
    lens_height_m: Range = (1.2, 1.8)
    periods: tuple[Name, ...] | None = None
    max_cameras: Annotated[int, Field(ge=1, le=10)] | None = None


class ForbiddenTable(PlaceTable):
    """`[[venue.forbidden]]`: where no camera may stand."""

    name: Name
    reason: str = ""


class ObstacleTable(PlaceTable):
    """`[[venue.obstacle]]`: something fixed that blocks the view."""

    name: Name
    base_m: Height = 0.0
    top_m: Annotated[float, Field(gt=0, le=200)]
    see_through: Share = 0.0

    @model_validator(mode="after")
    def _upright(self) -> ObstacleTable:
        if self.top_m <= self.base_m:
            raise ValueError(f"top_m must be above base_m (got {self.top_m:g} and {self.base_m:g})")
        if self.polygon is None and self.line is None:
            raise ValueError("an obstacle needs a polygon or a line")
        return self


class VenueTable(Table):
    """`[venue]`: the actual ground; every key has a sensible default."""

    name: Name = "Default ground"
    length_m: Size | None = None
    width_m: Size | None = None
    latitude: Annotated[float, Field(ge=-90, le=90)] | None = None
    longitude: Annotated[float, Field(ge=-180, le=180)] | None = None
    bearing_deg: Annotated[float, Field(ge=0, le=360)] = 0.0
    setting: Literal["outdoor", "indoor"] | None = None
    floodlit: bool = False
    lux: Annotated[float, Field(gt=0, le=200_000)] | None = None
    mains_hz: Literal[50, 60] = 50
    respect_keep_clear: bool = True
    side_names: dict[Side, Name] = Field(default_factory=dict)
    usual_places: tuple[Name, ...] | None = None
    stand_height_m: dict[Side, Height] = Field(default_factory=dict)
    main_side: Literal["+y", "-y"] | None = None
    code: GroundCode | None = None
    allowed: tuple[AllowedTable, ...] = ()
    forbidden: tuple[ForbiddenTable, ...] = ()
    obstacle: tuple[ObstacleTable, ...] = ()

    @model_validator(mode="after")
    def _whole_place(self) -> VenueTable:
        if (self.latitude is None) != (self.longitude is None):
            raise ValueError("latitude and longitude go together; give both or neither")
        return self


class ModeTable(Table):
    """A recording mode given in full."""

    name: Name = "own mode"
    width_mm: Annotated[float, Field(gt=0, le=100)]
    height_mm: Annotated[float, Field(gt=0, le=100)]
    width_px: Annotated[int, Field(ge=64, le=20_000)]
    height_px: Annotated[int, Field(ge=64, le=20_000)]
    fps: tuple[Annotated[float, Field(gt=0, le=2000)], ...] = (25.0, 50.0)


class LensTable(Table):
    """A lens given in full."""

    name: Name | None = None
    focal_mm: Annotated[float, Field(gt=0, le=3000)] | tuple[float, ...]
    f: Annotated[float, Field(gt=0.4, le=64)] | tuple[float, ...] = 2.8
    close_focus_m: Annotated[float, Field(gt=0, le=50)] = 1.0

    @model_validator(mode="after")
    def _ends(self) -> LensTable:
        for key, ends, top in (("focal_mm", self.focal_ends, 3000.0), ("f", self.f_ends, 64.0)):
            if not all(math.isfinite(e) and 0 < e <= top for e in ends):
                raise ValueError(f"{key} must lie above 0 and at most {top:g}")
        _check_focal(self.focal_ends)
        return self

    @property
    def focal_ends(self) -> tuple[float, float]:
        """Shortest and longest focal length."""
        return _ends_of(self.focal_mm, "focal_mm")

    @property
    def f_ends(self) -> tuple[float, float]:
        """Widest aperture at both ends."""
        return _ends_of(self.f, "f")


def _ends_of(value: float | tuple[float, ...], key: str) -> tuple[float, float]:
    ends = value if isinstance(value, tuple) else (value,)
    if len(ends) not in (1, 2):
        raise ValueError(f"{key} must be one number or [at the short end, at the long end]")
    return ends[0], ends[-1]


def _check_focal(ends: tuple[float, float]) -> None:
    if ends[0] > ends[1]:
        raise ValueError(
            f"longest focal length {ends[1]:g} mm is under the shortest {ends[0]:g} mm; write [short, long]"
        )
    if ends[0] <= 0 or ends[1] > 3000:
        raise ValueError("focal lengths must lie above 0 and at most 3000 mm")


def _lens_words(words: str) -> str:
    lens = lens_from_words(words)
    if lens is None:
        raise ValueError('not a lens; write "70-200", "70-200/2.8", "300/4" or a table with focal_mm and f')
    _check_focal(lens.focal_mm)
    if not 0.4 < lens.f_number[0] <= 64 or not 0.4 < lens.f_number[1] <= 64:
        raise ValueError("the aperture after / must lie above 0.4 and at most 64")
    return words


def _few(lenses: tuple[Word, ...]) -> tuple[Word, ...]:
    if not 1 <= len(lenses) <= 8:
        raise ValueError("allowed: 1 to 8 lenses")
    return lenses


def _known_word(known: dict[str, object], what: str) -> AfterValidator:
    def check(word: str) -> str:
        if word not in known:
            raise ValueError(f"{what} not known; allowed: {', '.join(known)}{did_you_mean(word, list(known))}")
        return word

    return AfterValidator(check)


# a preset's name, or a table in full: the form of the value decides which, so that a mistake is told once
WordOrTable = Annotated[
    Annotated[Word, Tag("word")] | Annotated[TableForm, Tag("table")],
    Discriminator(lambda value: "table" if isinstance(value, dict | Table) else "word"),
]
ModeWord = Annotated[str, _known_word(dict(MODES), "recording mode")]
SupportWord = Annotated[str, _known_word(dict(SUPPORTS), "support")]
LensWords = Annotated[str, AfterValidator(_lens_words)]


class SupportTable(Table):
    """A support given in full."""

    name: Name = "own support"
    pan_deg_s: Annotated[float, Field(gt=0, le=1000)]
    tilt_deg_s: Annotated[float, Field(gt=0, le=1000)]


class CameraTable(Table):
    """`[[camera]]`: one camera and its kit."""

    name: Name
    mode: WordOrTable[ModeWord, ModeTable] = "full-frame-uhd"
    lenses: Annotated[tuple[WordOrTable[LensWords, LensTable], ...], AfterValidator(_few)] = ("24-70", "70-200")
    support: WordOrTable[SupportWord, SupportTable] = "tripod"
    lens_height_m: Range | None = None
    areas: tuple[Name, ...] | None = None
    at_m: Annotated[tuple[Metres, ...], Field(min_length=2, max_length=3)] | None = None
    body: BodyTable = BodyTable()


class RulesTable(Table):
    """`[rules]`: what a plan must respect."""

    separation_m: Annotated[float, Field(ge=0, le=500)] = 2.0
    must_cover: dict[str, Share] = Field(default_factory=dict)
    same_side: Literal["off", "warn", "forbid"] = "warn"
    moves: Literal["free", "never"] = "free"
    move_cost_points: Annotated[float, Field(ge=0, le=100)] = 0.0


class AdviceTable(Table):
    """`[advice]`: what to look into beside the plan."""

    fallback_m: Annotated[float, Field(gt=0, le=500)] = 8.0
    hire: Annotated[tuple[WordOrTable[LensWords, LensTable], ...], Field(max_length=8)] | None = None


class MatchFile(Table):
    """A whole match file."""

    match: MatchTable
    venue: VenueTable = VenueTable()
    camera: Annotated[tuple[CameraTable, ...], Field(max_length=4)] = ()
    rules: RulesTable = RulesTable()
    advice: AdviceTable = AdviceTable()
    weights: dict[str, Annotated[float, Field(ge=0, le=1000)]] = Field(default_factory=dict)
    film: FilmTable = FilmTable()
    light: LightTable = LightTable()
    weather: WeatherTable = WeatherTable()
    day: DayTable = DayTable()
