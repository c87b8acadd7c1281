"""The form of `[venue]`: the ground, where a camera may and may not stand, and what blocks the view."""

from __future__ import annotations

import re
from typing import Annotated, Literal

import shapely
from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from standmark.sports.shapes.unsound import why_unsound
from standmark.sports.toml.file import KeyFaultError
from standmark.sports.toml.length import FOOT_M, metres_of
from standmark.sports.toml.table import Height, Metres, Name, Range, Share, Span, Table

MOST_POINTS = 2000
MOST_AREAS = 500
MOST_PIECES = 20  # of one thing
MOST_EDGES = 1000  # of all obstacles together: each is looked past from every place


def _ring(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    if len(set(points)) < 3:
        raise ValueError("a polygon needs at least three different points")
    polygon = shapely.Polygon(points)
    if not polygon.is_valid:
        raise ValueError(f"{why_unsound(polygon)}; list the corners in order, each once")
    return points


def is_ground_code(text: object) -> bool:
    """Whether a text is a code that a ground can have; it is then safe as the name of a file on any system."""
    return (
        isinstance(text, str)
        and re.fullmatch(r"[A-Z][A-Z0-9]{2,7}", text) is not None
        and re.fullmatch(r"CON|PRN|AUX|NUL|(COM|LPT)[0-9]", text) is None
    )


def _ground_code(text: str) -> str:
    if not is_ground_code(text):
        raise ValueError("must be 3 to 8 capital letters and digits, a letter first, and not a device name")
    return text


def _length_words(value: object) -> object:
    if isinstance(value, int | float):
        raise ValueError('say the unit, in quotes: "105 m", "115 yd" or "345 ft"')
    return value


def _sound_length(words: str) -> str:
    if not 0 < metres_of(words) <= 1000:
        raise ValueError("out of range; allowed: above 0, at most 1000 m")
    return words


Size = Annotated[float, Field(gt=0, le=1000)]
Feet = Annotated[float, Field(gt=0, le=3280)]
LengthWords = Annotated[str, BeforeValidator(_length_words), AfterValidator(_sound_length)]
Point = tuple[Metres, Metres]
Polygon = Annotated[tuple[Point, ...], Field(max_length=MOST_POINTS), AfterValidator(_ring)]
Line = Annotated[tuple[Point, ...], Field(min_length=2, max_length=MOST_POINTS)]
Side = Literal["+x", "-x", "+y", "-y"]
GroundCode = Annotated[str, AfterValidator(_ground_code)]


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
            raise KeyFaultError("needs offset_m = [near, far] too, metres outward from the line", forms[0])
        if self.span_m is not None and self.side is None:
            raise KeyFaultError("goes with side only", "span_m")
        if self.offset_m is not None and forms[0] not in ("side", "around"):
            raise KeyFaultError("goes with side or around only", "offset_m")
        return self


class AllowedTable(PlaceTable):
    """`[[venue.allowed]]`: where a camera may stand."""

    name: Name
    what: Name | None = None  # usual or raised place of the sport that stands here, by its key
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
            raise KeyFaultError(f"the top, {self.top_m:g} m, must be above base_m, {self.base_m:g} m", "top_m")
        if self.polygon is None and self.line is None:
            raise ValueError("an obstacle needs a polygon or a line")
        return self


class VenueFurnitureTable(PlaceTable):
    """`[[venue.furniture]]`: what of the sport's furniture is not there, or stands elsewhere, or is there as well."""

    what: Name
    polygons: Annotated[tuple[Polygon, ...], Field(min_length=1, max_length=MOST_PIECES)] | None = None
    there: bool = True
    mirror: Literal["x", "y", "xy"] | None = None
    top_m: Annotated[float, Field(gt=0, le=200)] | None = None
    see_through: Share | None = None

    @model_validator(mode="after")
    def _one_form(self) -> VenueFurnitureTable:
        forms = {"polygon", "polygons", "line", "side", "around", "mirror"} & self.model_fields_set
        if len(forms) > 1:
            got = ", ".join(sorted(forms))
            raise ValueError(f"needs at most one of polygon, polygons, line, side, around, mirror (got {got})")
        if not self.there and self.model_fields_set - {"what", "there"}:
            raise KeyFaultError("there = false takes the thing away, so nothing else goes with it", "there")
        if forms - {"mirror", "polygons"}:
            super()._one_form()  # type: ignore[operator]
        return self


class VenueTable(Table):
    """`[venue]`: the actual ground; every key has a sensible default."""

    name: Name = "Default ground"
    length_m: Size | None = None
    width_m: Size | None = None
    length: LengthWords | None = None  # in words with their unit, in place of length_m
    width: LengthWords | None = None
    length_ft: Feet | None = None
    width_ft: Feet | None = None
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
    answers: dict[Name, Literal["yes", "no", "ask"]] = Field(default_factory=dict)
    stand_height_m: dict[Side, Height] = Field(default_factory=dict)
    main_side: Literal["+y", "-y"] | None = None
    code: GroundCode | None = None
    allowed: Annotated[tuple[AllowedTable, ...], Field(max_length=MOST_AREAS)] = ()
    forbidden: Annotated[tuple[ForbiddenTable, ...], Field(max_length=MOST_AREAS)] = ()
    obstacle: tuple[ObstacleTable, ...] = ()
    furniture: tuple[VenueFurnitureTable, ...] = ()

    @model_validator(mode="after")
    def _few_edges(self) -> VenueTable:
        n_edges = sum(len(entry.polygon or entry.line or ()) for entry in self.obstacle)
        if n_edges > MOST_EDGES:
            raise ValueError(
                f"the obstacles have {n_edges} corners together; allowed: {MOST_EDGES}. Leave out what stands far from "
                "the ground, and draw round things with fewer corners"
            )
        return self

    @model_validator(mode="after")
    def _whole_place(self) -> VenueTable:
        if (self.latitude is None) != (self.longitude is None):
            alone = "longitude" if self.latitude is None else "latitude"
            raise KeyFaultError("latitude and longitude go together; give both or neither", alone)
        for name in ("length", "width"):
            given = [key for key in (f"{name}_m", name, f"{name}_ft") if getattr(self, key) is not None]
            if len(given) > 1:
                raise KeyFaultError(f"{' and '.join(given)} say the same; give one of them", given[-1])
        return self

    def actual_m(self, name: Literal["length", "width"]) -> float | None:
        """Length or width as the file gives it, in whatever unit [m]; None where it does not."""
        words, feet = getattr(self, name), getattr(self, f"{name}_ft")
        if words is not None:
            return metres_of(words)
        metres: float | None = getattr(self, f"{name}_m") if feet is None else round(feet * FOOT_M, 6)
        return metres

    def size_key(self, name: Literal["length", "width"]) -> str:
        """Key under which the file gives a size; that in metres where it does not."""
        given = [key for key in (name, f"{name}_ft") if getattr(self, key) is not None]
        return given[0] if given else f"{name}_m"
