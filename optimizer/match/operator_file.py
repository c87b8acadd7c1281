"""What an operator learned of their own filming: a file that `standmark learn` writes and a match file names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from standmark.geometry.optics.camera import Operator
from standmark.optimizer.match.match import Deliverable
from standmark.sports.sport import Sport
from standmark.sports.toml.file import read_toml, validate
from standmark.sports.toml.table import Table

Rate = Annotated[float, Field(ge=0, le=100_000)]


class OperatorFile(Table):
    """A whole operator file."""

    schema_version: Literal[1]
    matches: Annotated[int, Field(ge=1, le=100_000)]
    delay_s: Annotated[float, Field(ge=0, le=2)]
    wish_for_size: Annotated[float, Field(ge=0.25, le=4)] = 1.0
    rates: dict[str, dict[str, Rate]] = Field(default_factory=dict)


@dataclass(frozen=True)
class OperatorProfile:
    """An operator by their own logs."""

    operator: Operator
    wish_for_size: float  # times the size that the deliverable wants
    rates: Mapping[str, Mapping[str, float]]  # sport key -> moment key -> times a match


def read_operator(path: Path) -> OperatorProfile:
    """Read an operator file.

    Raises
    ------
    InputError : one line a problem, with file, line, key and what is allowed
    """
    file = read_toml(path)
    table = validate(OperatorFile, file.data, text=file.text, file=file.name)
    name = f"own logs of {table.matches} match{'' if table.matches == 1 else 'es'}"
    return OperatorProfile(Operator(name, table.delay_s), table.wish_for_size, table.rates)


def with_rates(sport: Sport, profiles: Mapping[str, OperatorProfile]) -> Sport:
    """Sport with the rates that the first of some operators who filmed it counted."""
    rates = next((p.rates[sport.key] for p in profiles.values() if sport.key in p.rates), {})
    moments = tuple(replace(m, rate_per_match=rates.get(m.key, m.rate_per_match)) for m in sport.moments)
    return replace(sport, moments=moments) if rates else sport


def with_wishes(deliverable: Deliverable, profiles: Mapping[str, OperatorProfile]) -> Deliverable:
    """Deliverable with the size that the operators want before a picture is usable; of several, the mean."""
    if not profiles:
        return deliverable
    return wished(deliverable, sum(p.wish_for_size for p in profiles.values()) / len(profiles))


def wished(deliverable: Deliverable, wish: float) -> Deliverable:
    """Deliverable of somebody who wants `wish` times the size before they call a picture usable."""
    return replace(
        deliverable,
        smallest_share=deliverable.smallest_share * wish,
        wanted_share=deliverable.wanted_share * wish,
        wanted_px_per_m=deliverable.wanted_px_per_m * wish,
    )
