"""What the record of a ground holds: the documents in `grounds/`, which pages, tables and later editions are made of.

Lengths in metres, angles in degrees, shares 0 to 1; x and y in the pitch frame.
"""

from __future__ import annotations

from typing import NotRequired, TypedDict


class LengthAndWidth(TypedDict):
    """Size of a playing area."""

    length_m: float
    width_m: float


class OnEarth(TypedDict):
    """A place on the WGS 84 ellipsoid, degrees."""

    latitude: float
    longitude: float


class StandardLabel(TypedDict):
    """Which standard a book follows."""

    name: str
    edition: str


class WishAnswer(TypedDict):
    """How a position answers one wish of its role."""

    wish: str
    wanted: list[float | None]  # lowest, highest; None: no limit
    value: float
    short_by: float


class DangerRecord(TypedDict):
    """One danger at a position."""

    name: str
    text: str
    marked: bool


class Fix(TypedDict):
    """One thing the ground could change so that a position meets its wishes."""

    kinds: list[str]
    is_enough: bool
    area_name: str | None
    heights_m: list[float] | None
    x_m: float
    y_m: float
    z_m: float
    focal_mm: float
    lens_mm: list[float]
    reach_m: list[float]
    closed_by: str | None
    place: str
    words: NotRequired[str]


class RoleRecord(TypedDict):
    """What is known of every position, with a place or without."""

    code: str
    role_code: str
    role: str
    purpose: str
    needed: bool
    aim: dict[str, float]
    filled: bool
    met: bool
    fixes: list[Fix]
    shortfalls: list[str]  # what is missing where there is no place


class PositionRecord(RoleRecord, total=False):
    """One position; what is not in every record is known where it has a place."""

    x_m: float
    y_m: float
    z_m: float
    area: str
    area_name: str
    place: str
    latitude: float | None
    longitude: float | None
    looks_deg: float
    looks_compass_deg: float | None
    distance_m: float
    mode: str
    lens: str
    focal_mm: float
    wishes: list[WishAnswer]
    dangers: list[DangerRecord]
    coverage: float
    seen: float
    faces: float
    by_moment: dict[str, float]


class GroundRecord(TypedDict):
    """One ground with all its positions."""

    schema: str
    code: str
    path: str
    name: str
    sport: str
    sport_name: str
    preset: str
    playing_area: LengthAndWidth
    latitude: float | None
    longitude: float | None
    bearing_deg: float | None
    side_names: dict[str, str]
    standard: NotRequired[StandardLabel]  # put in when the book is bound
    main_side: str
    main_side_name: str
    main_side_reason: str
    exact: bool
    together: float
    seen: float
    faces: float
    met: int
    short: list[str]
    positions: list[PositionRecord]
    limits: dict[str, str]
    pages: NotRequired[int]  # of its sheet
