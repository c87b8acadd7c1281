"""The form of `[[camera]]`: recording mode, lenses and support, each by name or in full."""

from __future__ import annotations

import math
from typing import Annotated, Literal, TypeVar

from pydantic import AfterValidator, Discriminator, Field, Tag, model_validator

from standmark.optimizer.match.filming_schema import BodyTable
from standmark.optimizer.match.match import WALK_M_S, CameraRole
from standmark.optimizer.match.presets import MODES, OPERATORS, SUPPORTS, lens_from_words
from standmark.sports.toml.file import KeyFaultError
from standmark.sports.toml.table import HIGHEST_M, Metres, Name, Range, Table, known_word

Word = TypeVar("Word")
TableForm = TypeVar("TableForm")


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
                raise KeyFaultError(f"out of range; allowed: above 0, at most {top:g}", key)
        try:
            _check_focal(self.focal_ends)
        except ValueError as error:
            raise KeyFaultError(f"{error}", "focal_mm") from error
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
        raise KeyFaultError("must be one number or [at the short end, at the long end]", key)
    return ends[0], ends[-1]


def _check_focal(ends: tuple[float, float]) -> None:
    if ends[0] > ends[1]:
        raise ValueError(
            f"the longest focal length, {ends[1]:g} mm, is below the shortest, {ends[0]:g} mm; write the shortest first"
        )
    if ends[0] <= 0 or ends[1] > 3000:
        raise ValueError("focal length out of range; allowed: above 0, at most 3000 mm")


def _lens_words(words: str) -> str:
    lens = lens_from_words(words)
    if lens is None:
        raise ValueError('not a lens; write "70-200", "70-200/2.8", "300 f/4" or a table with focal_mm and f')
    _check_focal(lens.focal_mm)
    if not 0.4 < lens.f_number[0] <= 64 or not 0.4 < lens.f_number[1] <= 64:
        raise ValueError("the aperture, after /, is out of range; allowed: above 0.4, at most 64")
    return words


def _few(lenses: tuple[Word, ...]) -> tuple[Word, ...]:
    if not 1 <= len(lenses) <= 8:
        raise ValueError(f"{len(lenses)} lenses; allowed: 1 to 8")
    return lenses


def _form(value: object) -> str:
    return "table" if isinstance(value, dict | Table) else "word"


# a preset's name, or a table in full: the form of the value decides which, so that a mistake is reported once
WordOrTable = Annotated[
    Annotated[Word, Tag("word")] | Annotated[TableForm, Tag("table")],
    Discriminator(_form),
]
ModeWord = Annotated[str, known_word(tuple(MODES))]
SupportWord = Annotated[str, known_word(tuple(SUPPORTS))]
OperatorWord = Annotated[str, known_word(tuple(OPERATORS))]
LensWords = Annotated[str, AfterValidator(_lens_words)]


class SupportTable(Table):
    """A support given in full."""

    name: Name = "own support"
    pan_deg_s: Annotated[float, Field(gt=0, le=1000)]
    tilt_deg_s: Annotated[float, Field(gt=0, le=1000)]


class OperatorTable(Table):
    """An operator given by the delay alone."""

    delay_s: Annotated[float, Field(ge=0, le=2)]


def _above_ground(place: tuple[float, ...]) -> tuple[float, ...]:
    if len(place) == 3 and not 0 <= place[2] <= HIGHEST_M:
        raise ValueError(f"the third number is the height of the lens; allowed: 0 to {HIGHEST_M:g} m, not {place[2]:g}")
    return place


class RoamTable(Table):
    """`roam`: how a camera walks with play."""

    speed_m_s: Annotated[float, Field(ge=0, le=4)] = WALK_M_S
    most_m: Annotated[float, Field(gt=0, le=50_000)] | None = None
    areas: Annotated[tuple[Name, ...], Field(min_length=1)] | None = None
    bodies: Literal[1, 2] = 1


class CameraTable(Table):
    """`[[camera]]`: one camera and its kit."""

    name: Name
    mode: WordOrTable[ModeWord, ModeTable] = "full-frame-uhd"
    more_modes: Annotated[tuple[WordOrTable[ModeWord, ModeTable], ...], Field(max_length=6)] = ()
    lenses: Annotated[tuple[WordOrTable[LensWords, LensTable], ...], AfterValidator(_few)] = ("24-70", "70-200")
    support: WordOrTable[SupportWord, SupportTable] = "tripod"
    operator: WordOrTable[OperatorWord, OperatorTable] = "practised"
    operator_file: str | None = None  # what `standmark learn` wrote; beside the match file
    lens_height_m: Range | None = None
    areas: tuple[Name, ...] | None = None
    at_m: Annotated[tuple[Metres, ...], Field(min_length=2, max_length=3), AfterValidator(_above_ground)] | None = None
    body: BodyTable = BodyTable()
    role: CameraRole | None = None
    roam: Annotated[bool, Tag("word")] | Annotated[RoamTable, Tag("table")] = Field(
        default=False, discriminator=Discriminator(_form)
    )

    @model_validator(mode="after")
    def _walks_or_is_fixed(self) -> CameraTable:
        if self.roam and self.at_m is not None:
            raise KeyFaultError("a camera with at_m stays there, so it can't roam; leave one out", "roam")
        if self.operator_file is not None and "operator" in self.model_fields_set:
            raise KeyFaultError("the camera has an operator already; leave one out", "operator_file")
        return self
