"""A plan.json, read for what it promised each camera: to hold a log against it."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path
from typing import Annotated

from pydantic import Field

from standmark.cli.input.plan_file import Loose, PlanGround, PlanPosition, Share, plan_json, validated
from standmark.geometry.errors import InputError, shown
from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support
from standmark.optimizer.match.match import FirstAttack
from standmark.optimizer.match.presets import DELIVERABLES, deliverable_for
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.scoring.logs.promise import PlannedCamera, PlannedMatch, PlannedPeriod
from standmark.optimizer.value.outfit import Outfit
from standmark.sports.library import load_sport
from standmark.sports.reading.words import Text
from standmark.sports.toml.table import known_word

DIGEST_LETTERS = 16
Positive = Annotated[float, Field(gt=0, le=100_000)]


class KitPart(Loose):
    """`kit` of a camera in plan.json: what its promise was worked out with."""

    mode: Text
    width_mm: Positive
    height_mm: Positive
    width_px: Annotated[int, Field(gt=0, le=100_000)]
    height_px: Annotated[int, Field(gt=0, le=100_000)]
    lens_mm: tuple[Positive, Positive]
    support: Text
    pan_deg_s: Positive
    tilt_deg_s: Positive
    delay_s: Annotated[float, Field(ge=0, le=10)]


class CameraPart(Loose):
    """One entry of `cameras`."""

    name: Text
    position: PlanPosition
    lens: Text
    kit: KitPart
    seen_by_moment: dict[Text, Share]


class PeriodPart(Loose):
    """One entry of `periods`."""

    key: Text
    cameras: Annotated[tuple[CameraPart, ...], Field(min_length=1)]


class PromisePart(Loose):
    """What a log needs of a plan.json."""

    sport: Text
    preset: Text | None = None
    venue: Text = "no name"
    deliverable: Annotated[str, known_word(tuple(DELIVERABLES))]
    first_attack: FirstAttack
    side_names: dict[Text, Text]
    playing_area: PlanGround
    periods: Annotated[tuple[PeriodPart, ...], Field(min_length=1)]


def read_planned(path: Path) -> PlannedMatch:
    """Read what a plan.json promised.

    Raises
    ------
    InputError : it is no plan, one written before promises were kept, or of a sport that is not known here
    """
    raw, document = plan_json(path)
    if isinstance(document.get("periods"), list) and "side_names" not in document:
        raise InputError(f"{path}: written by an older version, without what a log needs; plan again, then log")
    part = validated(PromisePart, document, path)
    area = part.playing_area
    sport = load_sport(part.sport, preset=part.preset, length_m=area.length_m, width_m=area.width_m)
    match = default_match(sport.key)
    match = replace(
        match,
        sport=sport,
        venue=replace(match.venue, name=part.venue, side_names={**match.venue.side_names, **part.side_names}),
        deliverable=deliverable_for(part.deliverable, sport.area),
        first_attack=part.first_attack,
    )
    periods = {period.key: period for period in sport.periods}
    for period in part.periods:
        if period.key not in periods:
            raise InputError(f'{path}: period "{shown(period.key)}" is not one of {sport.name}; plan again')
    return PlannedMatch(
        digest=plan_digest(raw),
        match=match,
        periods=tuple(PlannedPeriod(periods[p.key], tuple(map(_camera, p.cameras))) for p in part.periods),
    )


def plan_digest(raw: bytes) -> str:
    """Digest by which a log knows its plan.json."""
    return hashlib.sha256(raw).hexdigest()[:DIGEST_LETTERS]


def digest_of(path: Path) -> str | None:
    """Digest of a file that may be a plan.json; None if it cannot be read."""
    try:
        raw, _ = plan_json(path)
    except InputError:
        return None
    return plan_digest(raw)


def _camera(part: CameraPart) -> PlannedCamera:
    kit = part.kit
    low, high = kit.lens_mm
    outfit = Outfit(
        RecordingMode(kit.mode, kit.width_mm, kit.height_mm, kit.width_px, kit.height_px, (25.0,)),
        Lens(part.lens, (low, high), (2.8, 2.8)),  # aperture has no part in what is seen
        Support(kit.support, kit.pan_deg_s, kit.tilt_deg_s),
        Operator("as planned", kit.delay_s),
    )
    at = part.position
    return PlannedCamera(part.name, (at.x_m, at.y_m, at.z_m), outfit, part.seen_by_moment)
