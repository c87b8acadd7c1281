"""A league's standard as TOML: its form, and how it becomes a `Standard`."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.kit_schema import LensTable, LensWords, ModeTable, ModeWord, WordOrTable
from standmark.optimizer.match.read_kit import lens_of, mode_of
from standmark.optimizer.standard.standard import STEPS, Role, Standard
from standmark.sports.library import sport_keys
from standmark.sports.toml.file import KeyFaultError, TomlFile, did_you_mean, read_toml, validate
from standmark.sports.toml.table import Name, Table

GENERAL = Path(__file__).parent / "general.toml"


def _rising(band: tuple[float, float]) -> tuple[float, float]:
    if band[0] > band[1]:
        raise ValueError(f"lowest first: {band[0]:g} is above {band[1]:g}; write [{band[1]:g}, {band[0]:g}]")
    return band


def _capitals(code: str) -> str:
    if not re.fullmatch("[A-Z]{1,3}", code):
        raise ValueError("must be one to three capital letters")
    return code


def _known_sports(keys: tuple[str, ...]) -> tuple[str, ...]:
    known = sport_keys()
    for index, key in enumerate(keys):
        if key not in known:
            message = f'sport "{shown(key)}" not known; allowed: {", ".join(known)}{did_you_mean(key, known)}'
            raise KeyFaultError(message, index)
    return keys


Direction = Annotated[float, Field(ge=-360, le=360)]
Angle = Annotated[float, Field(gt=0, lt=90)]
Size = Annotated[float, Field(gt=0, le=10)]
Metres = Annotated[float, Field(ge=0, le=200)]
DirectionBand = Annotated[tuple[Direction, Direction], AfterValidator(_rising)]
AngleBand = Annotated[tuple[Angle, Angle], AfterValidator(_rising)]
SizeBand = Annotated[tuple[Size, Size], AfterValidator(_rising)]
MetreBand = Annotated[tuple[Metres, Metres], AfterValidator(_rising)]
Lenses = Annotated[tuple[WordOrTable[LensWords, LensTable], ...], Field(min_length=1, max_length=8)]
Mode = WordOrTable[ModeWord, ModeTable]


class StandardTable(Table):
    """`[standard]`: what holds for all roles."""

    name: Name = "League standard"
    edition: Name = "1"
    main_side: Literal["best", "sun"] = "best"
    separation_m: Annotated[float, Field(ge=0, le=50)] = 2.0
    mode: Mode | None = None
    lenses: Lenses | None = None


class RoleTable(Table):
    """`[[role]]`: one view that the league wants at every ground."""

    code: Annotated[str, AfterValidator(_capitals)]
    name: Name
    purpose: str = ""
    each_end: bool = False
    aim: Literal["middle", "end"] = "middle"
    aim_in_m: Metres | None = None
    aim_in_share: Annotated[float, Field(ge=0, le=1)] | None = None
    from_deg: DirectionBand
    max_turn_deg: Annotated[float, Field(gt=0, le=90)] = 30.0
    offset_m: MetreBand | None = None
    lens_height_m: MetreBand | None = None
    look_down_deg: AngleBand | None = None
    over_target: bool = False
    size: SizeBand | None = None
    clear: Annotated[float, Field(gt=0, le=1)] | None = None
    needed: bool = True
    sports: Annotated[tuple[Name, ...], AfterValidator(_known_sports)] | None = None
    mode: Mode | None = None
    lenses: Lenses | None = None

    @model_validator(mode="after")
    def _sound(self) -> RoleTable:
        if self.from_deg[1] - self.from_deg[0] > 180:
            raise KeyFaultError("spans more than 180 degrees; narrow it to the view you want", "from_deg")
        of_an_end = [key for key in ("each_end", "aim_in_m", "aim_in_share") if getattr(self, key) not in (None, False)]
        if self.aim == "middle" and of_an_end:
            raise KeyFaultError('goes with aim = "end" only', of_an_end[0])
        if self.aim == "end" and not self.each_end:
            raise KeyFaultError('aim = "end" needs each_end = true: the role exists at both ends', "aim")
        if self.aim_in_m is not None and self.aim_in_share is not None:
            raise KeyFaultError("give aim_in_m or aim_in_share, not both", "aim_in_share")
        if self.over_target and not (self.aim_in_m or self.aim_in_share):
            raise KeyFaultError('needs aim = "end" with aim_in_m or aim_in_share above 0', "over_target")
        return self


class StandardFile(Table):
    """A whole standard file."""

    standard: StandardTable = StandardTable()
    role: Annotated[tuple[RoleTable, ...], Field(min_length=1, max_length=16)]
    step: Annotated[dict[str, Annotated[float, Field(gt=0, le=1000)]], Field(default_factory=dict)]

    @model_validator(mode="after")
    def _codes(self) -> StandardFile:
        taken: dict[str, str] = {}
        for index, role in enumerate(self.role):
            for code in (f"{role.code}L", f"{role.code}R") if role.each_end else (role.code,):
                if code in taken:
                    message = f'roles "{taken[code]}" and "{role.name}" would share the code {code}'
                    raise KeyFaultError(message, "role", index, "code")
                taken[code] = role.name
        for key in self.step:
            if key not in STEPS:
                message = f"not known; allowed: {', '.join(STEPS)}{did_you_mean(key, list(STEPS))}"
                raise KeyFaultError(message, "step", key)
        return self


def read_standard(path: Path | None = None) -> tuple[Standard, dict[str, float], TomlFile]:
    """Read a standard file; the general standard when none is given.

    Returns
    -------
    the standard, what one step short is for each wish, and the file

    Raises
    ------
    InputError : one line a problem, with file, line, key and what is allowed
    """
    return standard_of(read_toml(path or GENERAL))


def standard_of(file: TomlFile) -> tuple[Standard, dict[str, float], TomlFile]:
    """Check freshly read TOML and make the standard of it."""
    if "role" not in file.data:
        raise InputError(
            f"{file.name}: holds no [[role]]; a standard needs at least one; "
            "every book holds the standard it was made with, standard.toml, which may be copied"
        )
    tables = validate(StandardFile, file.data, text=file.text, file=file.name)
    head = tables.standard
    standard = Standard(
        name=head.name,
        edition=head.edition,
        roles=tuple(_role(role) for role in tables.role),
        main_side=head.main_side,
        separation_m=head.separation_m,
        mode=None if head.mode is None else mode_of(head.mode),
        lenses=None if head.lenses is None else tuple(lens_of(lens) for lens in head.lenses),
    )
    return standard, STEPS | tables.step, file


def _role(table: RoleTable) -> Role:
    return Role(
        code=table.code,
        name=table.name,
        purpose=table.purpose,
        each_end=table.each_end,
        aim_at_end=table.aim == "end",
        aim_in_m=table.aim_in_m,
        aim_in_share=table.aim_in_share,
        from_deg=table.from_deg,
        max_turn_deg=table.max_turn_deg,
        offset_m=table.offset_m,
        lens_height_m=table.lens_height_m,
        look_down_deg=table.look_down_deg,
        over_target=table.over_target,
        size_share=table.size,
        clear_share=table.clear,
        needed=table.needed,
        sports=table.sports,
        mode=None if table.mode is None else mode_of(table.mode),
        lenses=None if table.lenses is None else tuple(lens_of(lens) for lens in table.lenses),
    )
