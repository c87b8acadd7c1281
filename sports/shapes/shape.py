"""Plane shapes as a definition writes them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, PlainSerializer, PlainValidator

from standmark.sports.shapes.expression import Length, parse_length
from standmark.sports.toml.table import Table

MAX_POINTS = 2000

Metres = Annotated[Length, PlainValidator(parse_length), PlainSerializer(str)]
Pair = tuple[Metres, Metres]
Degrees = Annotated[float, Field(ge=-720.0, le=720.0)]
Points = Annotated[tuple[Pair, ...], Field(min_length=2, max_length=MAX_POINTS)]


class Cut(Table):
    """What every shape may add: kept inside another, cut by another, mirrored."""

    inside: Annotated[AnyShape, Field()] | None = None
    outside: Annotated[AnyShape, Field()] | None = None
    mirror: Literal["none", "x", "y", "xy"] = "none"


class Rect(Cut):
    """Sides along the axes; `radius` rounds the corners."""

    kind: Literal["rect"]
    x: Pair
    y: Pair
    radius: Metres = Length(0.0)


class Circle(Cut):
    """All points within a distance of one point."""

    kind: Literal["circle"]
    centre: Pair
    radius: Metres


class Ellipse(Cut):
    """An oval with its axes along x and y."""

    kind: Literal["ellipse"]
    centre: Pair
    radius_x: Metres
    radius_y: Metres


class Sector(Cut):
    """A slice of a ring: from the inner to the outer radius, anticlockwise between two directions."""

    kind: Literal["sector"]
    centre: Pair
    radius: Pair
    angle_deg: tuple[Degrees, Degrees]


class Polygon(Cut):
    """Any outline without crossings."""

    kind: Literal["polygon"]
    points: Annotated[Points, Field(min_length=3)]


class LineShape(Cut):
    """A line through points."""

    kind: Literal["line"]
    points: Points


class LinesShape(Cut):
    """Lines across the area at equal steps: yard lines."""

    kind: Literal["lines"]
    x: Pair
    y: Pair
    every: Metres


class Fan(Cut):
    """Two straight sides from one corner, closed by the arc through three points: a ball park."""

    kind: Literal["fan"]
    corner: Pair
    rim: tuple[Pair, Pair, Pair]


class Arc(Cut):
    """Part of a circle line, anticlockwise between two directions."""

    kind: Literal["arc"]
    centre: Pair
    radius: Metres
    angle_deg: tuple[Degrees, Degrees]


class SpotShape(Cut):
    """One point."""

    kind: Literal["spot"]
    at: Pair


class Around(Cut):
    """All points within a distance of a line through points: a goal circle measured from two posts."""

    kind: Literal["around"]
    points: Points
    radius: Metres


class Area(Cut):
    """The playing area itself, grown (or shrunk) by a margin."""

    kind: Literal["area"]
    grow: Metres = Length(0.0)


AnyShape = Annotated[
    Rect | Circle | Ellipse | Sector | Polygon | Fan | Around | Area | LineShape | LinesShape | Arc | SpotShape,
    Field(discriminator="kind"),
]
