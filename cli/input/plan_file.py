"""A plan.json that standmark wrote, read again: to score it, or to compare two of them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from standmark.geometry.errors import InputError, shown
from standmark.optimizer.choice.kept import Kept
from standmark.optimizer.comparison import CameraOutline, PeriodOutline, PlanOutline
from standmark.optimizer.match.match import Match
from standmark.sports.reading.words import LongText, Text
from standmark.sports.toml.file import check_tables, key_path
from standmark.sports.toml.regular_file import read_at_most

MOST_BYTES = 16 << 20


class Loose(BaseModel):
    """Part of a document that standmark wrote, read again: what is not needed here may be anything."""

    model_config = ConfigDict(extra="ignore", frozen=True, allow_inf_nan=False)


Part = TypeVar("Part", bound=BaseModel)
Metres = Annotated[float, Field(ge=-2000, le=2000)]
Share = Annotated[float, Field(ge=0, le=1)]


class PlanPosition(Loose):
    """`position` of a camera in plan.json."""

    x_m: Metres
    y_m: Metres
    z_m: Annotated[float, Field(ge=0, le=200)]
    words: LongText | None = None


class PlanCamera(Loose):
    """One entry of `cameras`."""

    name: Text
    position: PlanPosition
    lens: Text


class PlanPeriod(Loose):
    """One entry of `periods`."""

    key: Text
    name: Text
    minutes: Annotated[float, Field(gt=0)]
    coverage: Share
    seen: Share | None = None
    faces: Share | None = None
    by_moment: dict[Text, Share]
    seen_by_moment: dict[Text, Share] | None = None
    cameras: Annotated[tuple[PlanCamera, ...], Field(min_length=1)]


class PlanGround(Loose):
    """`playing_area` of plan.json."""

    length_m: Annotated[float, Field(gt=0, le=1000)]
    width_m: Annotated[float, Field(gt=0, le=1000)]


class PlanFile(Loose):
    """What is read again from a plan.json."""

    sport: Text
    preset: Text | None = None
    title: Text = "no title"
    venue: Text = "no name"
    deliverable: Text = "none"
    coverage: Share
    seen: Share | None = None
    faces: Share | None = None
    first_attack: Text | None = None
    upper_bound: Annotated[float, Field(ge=0, le=1.001)]
    proven: bool = False
    playing_area: PlanGround
    periods: Annotated[tuple[PlanPeriod, ...], Field(min_length=1)]


def plan_outline(plan: PlanFile) -> PlanOutline:
    """Keep of a plan what a comparison needs."""
    return PlanOutline(
        sport=plan.sport,
        preset=plan.preset,
        title=plan.title,
        venue=plan.venue,
        deliverable=plan.deliverable,
        coverage=plan.coverage,
        proven=plan.proven,
        length_m=plan.playing_area.length_m,
        width_m=plan.playing_area.width_m,
        periods=tuple(
            PeriodOutline(
                key=period.key,
                name=period.name,
                minutes=period.minutes,
                coverage=period.coverage,
                by_moment=period.by_moment,
                cameras=tuple(
                    CameraOutline(
                        c.name, c.lens, c.position.x_m, c.position.y_m, c.position.z_m, c.position.words or ""
                    )
                    for c in period.cameras
                ),
                seen=period.seen,
                seen_by_moment=period.seen_by_moment,
                faces=period.faces,
            )
            for period in plan.periods
        ),
        seen=plan.seen,
        faces=plan.faces,
        first_attack=plan.first_attack,
    )


def read_plan(path: Path) -> PlanFile:
    """Read a plan.json that this tool has written.

    Raises
    ------
    InputError : it cannot be read, is not JSON, or is not a plan
    """
    _, document = plan_json(path)
    return validated(PlanFile, document, path)


def plan_json(path: Path) -> tuple[bytes, dict[str, Any]]:
    """Bytes and document of a plan.json that this tool has written.

    Raises
    ------
    InputError : it cannot be read, is not JSON, or is not a plan
    """
    raw = read_at_most(path, most_bytes=MOST_BYTES, size_words="16 MiB; a plan is a few hundred kilobytes")
    try:
        document = json.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        line = f", line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        raise InputError(f"{path}: not JSON{line}; give the plan.json that standmark plan has written") from error
    schema = document.get("schema") if isinstance(document, dict) else None
    if not isinstance(schema, str) or not schema.startswith("standmark.plan/1"):
        raise InputError(
            f'{path}: not a plan (schema "{shown(schema)}"); allowed: standmark.plan/1, as standmark plan writes it'
        )
    return raw, document


def validated(model: type[Part], document: dict[str, Any], path: Path) -> Part:
    """Take from a document what a model asks for.

    Raises
    ------
    InputError : something of it is missing or wrong
    """
    try:
        return model.model_validate(document)
    except ValidationError as error:
        first = check_tables(model, document)[1][0]
        raise InputError(
            f"{path}: {key_path(first.path)}{first.message}; is it a plan.json as standmark plan writes it?"
        ) from error


def places_to_keep(path: Path, match: Match) -> tuple[Kept, ...]:
    """Where the cameras of a match stood in an earlier plan.

    Raises
    ------
    InputError : it cannot be read, is of another sport, or has none of the match's cameras
    """
    plan, names = read_plan(path), [camera.name for camera in match.cameras]
    if plan.sport != match.sport.key:
        raise InputError(
            f"{path}: a plan for {plan.sport}, but the match is {match.sport.key}; give a plan for that sport"
        )
    kept = tuple(
        Kept(c.name, period.key, (c.position.x_m, c.position.y_m, c.position.z_m))
        for period in plan.periods
        for c in period.cameras
        if c.name in names
    )
    if not kept:
        theirs = ", ".join(dict.fromkeys(c.name for period in plan.periods for c in period.cameras))
        raise InputError(
            f"{path}: its cameras are {theirs}, but the match has {', '.join(names)}; give them the same names"
        )
    return kept
