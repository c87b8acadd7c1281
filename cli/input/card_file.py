"""The cards of a plan.json, as lines that can be judged."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from standmark.cli.input.plan_file import Loose, PlanFile, plan_json, validated
from standmark.geometry.errors import InputError
from standmark.optimizer.scoring.walk import GivenLine

Metres = Annotated[float, Field(ge=-1000, le=1000, allow_inf_nan=False)]


class _Spot(Loose):
    x_m: Metres
    y_m: Metres


class _Line(Loose):
    kinds: tuple[str, ...]
    from_m: Metres
    to_m: Metres
    ahead_m: Metres | None
    places: Annotated[dict[Literal["+x", "-x"], _Spot], Field(min_length=1)]


class _Card(Loose):
    lines: Annotated[tuple[_Line, ...], Field(min_length=1)]


class _Follow(Loose):
    camera: str
    cards: Annotated[tuple[_Card, ...], Field(min_length=1)]


class _Cards(Loose):
    follow: tuple[_Follow, ...] = ()


def read_card(path: Path, camera: str) -> tuple[GivenLine, ...]:
    """Lines of a camera's first card in a plan.json.

    Raises
    ------
    InputError : it cannot be read, or holds no card of the camera
    """
    _, document = plan_json(path)
    validated(PlanFile, document, path)
    for follow in validated(_Cards, document, path).follow:
        if follow.camera == camera:
            return tuple(_given(line) for line in follow.cards[0].lines)
    raise InputError(f'{path}: no card of camera "{camera}"; plan it with roam = true')


def _given(line: _Line) -> GivenLine:
    places = {1 if sign == "+x" else -1: (spot.x_m, spot.y_m) for sign, spot in line.places.items()}
    return GivenLine(line.kinds, line.from_m, line.to_m, line.ahead_m, places)
