"""The cards of a plan.json, as lines that can be judged."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from standmark.cli.input.plan_file import read_plan
from standmark.geometry.errors import InputError
from standmark.optimizer.scoring.walk import GivenLine

Metres = Annotated[float, Field(ge=-1000, le=1000, allow_inf_nan=False)]


class _Spot(BaseModel):
    model_config = ConfigDict(extra="ignore")
    x_m: Metres
    y_m: Metres


class _Line(BaseModel):
    model_config = ConfigDict(extra="ignore")
    kinds: tuple[str, ...]
    from_m: Metres
    to_m: Metres
    ahead_m: Metres | None
    places: Annotated[dict[Literal["+x", "-x"], _Spot], Field(min_length=1)]


class _Card(BaseModel):
    model_config = ConfigDict(extra="ignore")
    lines: Annotated[tuple[_Line, ...], Field(min_length=1)]


class _Follow(BaseModel):
    model_config = ConfigDict(extra="ignore")
    camera: str
    cards: Annotated[tuple[_Card, ...], Field(min_length=1)]


class _Cards(BaseModel):
    model_config = ConfigDict(extra="ignore")
    follow: tuple[_Follow, ...] = ()


def read_card(path: Path, camera: str) -> tuple[GivenLine, ...]:
    """Lines of a camera's first card in a plan.json.

    Raises
    ------
    InputError : it cannot be read, or holds no card of the camera
    """
    read_plan(path)
    try:
        cards = _Cards.model_validate(json.loads(path.read_text(encoding="utf-8-sig")))
    except ValidationError as error:
        where = ".".join(str(part) for part in error.errors()[0]["loc"])
        raise InputError(f"{path}: {where}: {error.errors()[0]['msg']}; make the plan again") from None
    for follow in cards.follow:
        if follow.camera == camera:
            return tuple(_given(line) for line in follow.cards[0].lines)
    raise InputError(f'{path}: no card of camera "{camera}"; plan it with roam = true')


def _given(line: _Line) -> GivenLine:
    places = {1 if sign == "+x" else -1: (spot.x_m, spot.y_m) for sign, spot in line.places.items()}
    return GivenLine(line.kinds, line.from_m, line.to_m, line.ahead_m, places)
