"""What a file of a competition's rules may say of those who film."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from standmark.sports.place_kind import HeldBy, Posture
from standmark.sports.reading.words import Key, LongText, Text
from standmark.sports.shapes.shape import AnyShape
from standmark.sports.toml.table import Table

Lines = Annotated[float, Field(ge=0, le=100)]
Lens = Annotated[float, Field(ge=0, le=100)]


def _upward(heights_m: tuple[float, float]) -> tuple[float, float]:
    if heights_m[0] > heights_m[1]:
        raise ValueError(f"lowest first: {heights_m[0]:g} is above {heights_m[1]:g}; write the lower one first")
    return heights_m


class ProfileSource(Table):
    """Where the rules were read."""

    title: LongText
    publisher: LongText
    kind: Text
    read: Text  # when, such as "2026-11"


class LeastTable(Table):
    """Least distances from the lines, metres outward."""

    side: Lines = 0.0
    end: Lines = 0.0


class OnlyTable(Table):
    """A part of the ground where people may film; with any of these, nowhere else."""

    name: LongText
    shape: AnyShape


class RefusedTable(Table):
    """A part of the ground where nobody may film."""

    name: LongText
    reason: LongText
    shape: AnyShape


class ProfileFile(Table):
    """Rules of one competition."""

    schema_version: Literal[1]
    key: Key
    sports: Annotated[tuple[Key, ...], Field(min_length=1)]
    name: LongText
    level: Text
    year: Text
    source: ProfileSource
    least_m: LeastTable = LeastTable()
    ground: bool = True  # False: raised places only
    raised: bool = True  # False: no raised places
    posture: Annotated[tuple[Posture, ...], Field(min_length=1)] | None = None
    support: Annotated[tuple[HeldBy, ...], Field(min_length=1)] | None = None
    lens_height_m: Annotated[tuple[Lens, Lens], AfterValidator(_upward)] | None = None
    moves: Literal["free", "half-time", "never"] = "free"
    wear: Text | None = None
    ask_days: Annotated[float, Field(ge=0, le=365)] | None = None  # before the match, for permission to film
    ask_working_days: bool = False
    say: tuple[LongText, ...] = ()
    only: tuple[OnlyTable, ...] = ()
    refused: tuple[RefusedTable, ...] = ()
