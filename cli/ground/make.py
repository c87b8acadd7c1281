"""One playing area of a map made into the text of a match file, tried before it is written."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from standmark.cli.ground.ground_text import fit_words, ground_text
from standmark.cli.ground.lay import Traced, lay_ground, traced_size_m
from standmark.cli.ground.map_file import MapFile, plain_name
from standmark.cli.ground.size import sized_sport
from standmark.geometry.errors import InputError
from standmark.optimizer.match.place_shape import key_of
from standmark.optimizer.match.read_match import match_of
from standmark.sports.toml.file import parse_toml


@dataclass(frozen=True)
class GroundWish:
    """What was asked for on the command line."""

    sport: str | None = None
    preset: str | None = None
    length_m: float | None = None
    width_m: float | None = None
    toward: str | None = None
    name: str | None = None
    licence: str = ""


@dataclass(frozen=True)
class MadeGround:
    """A match file and what to say of it."""

    stem: str  # for a file name
    text: str
    lines: tuple[str, ...]
    off_m: float  # how far the lines lie off what was traced, typically


def make_ground(
    map_file: MapFile, traced: Traced, wanted: GroundWish, *, fallback: str, index: int | None = None
) -> MadeGround:
    """Fit a playing area and write its match file.

    Parameters
    ----------
    fallback : name of the ground where neither the map nor the user gives one
    index : its number, where the map has several

    Raises
    ------
    InputError : as `sized_sport` and `lay_ground`
    """
    sport, size_from = sized_sport(
        map_file, traced, sport=wanted.sport, preset=wanted.preset, length_m=wanted.length_m, width_m=wanted.width_m
    )
    ground = lay_ground(map_file, traced, sport, toward=wanted.toward)
    named = plain_name(wanted.name) or ground.name
    title = named or plain_name(fallback) or "Ground"
    if index is not None and (wanted.name or not named):
        title = f"{title} {index}"
    licence = " ".join(wanted.licence.split())
    text = ground_text(ground, map_file, size_from=size_from, title=title, licence=plain_name(licence))
    try:
        match_of(parse_toml(text, name="ground"), folder=Path())
    except InputError as error:
        raise InputError(f"{map_file.name}: cannot be made into a ground ({str(error).splitlines()[0]})") from error
    counts = [
        (kind, sum(thing.kind == kind for thing in ground.things))
        for kind in ("allowed", "forbidden", "obstacle", "stand")
    ]
    contents = (
        ", ".join(f"{n} {kind}" for kind, n in counts if n) or "nothing named allowed, forbidden, obstacle or stand"
    )
    lines = [f"{title}: {fit_words(ground)[0]}", *(f"  {line}" for line in fit_words(ground)[1:])]
    lines.append(f"  size: {size_from}; round it: {contents}")
    if ground.has_two_ends:
        lines.append("  the map does not say which end is +x: --toward DIRECTION chooses")
    open_heights = sum(thing.height_m is None for thing in ground.things if thing.kind != "forbidden")
    if open_heights:
        lines.append(f"  heights missing: {open_heights}; the file asks for each in a comment")
    lines += [f"  note: {note}" for note in (*map_file.notes, *ground.notes)]
    return MadeGround(_stem(title), text, tuple(lines), ground.fit.typical_miss_m)


def pitch_list(map_file: MapFile, areas: Sequence[Traced]) -> str:
    """Playing areas of a map, a line each, as --pitch numbers them; at most 30."""
    lines = []
    for number, traced in enumerate(areas[:30], start=1):
        across, deep = traced_size_m(map_file, traced)
        sport = traced.feature.tags.get("sport", "")
        label = " ".join(filter(None, (traced.label, f"({sport})" if sport else "")))
        lines.append(f"  {number}: {label or traced.feature.where}, about {across:.0f} x {deep:.0f} m")
    return "\n".join(lines + ([f"  and {len(areas) - 30} more"] if len(areas) > 30 else []))


def _stem(title: str) -> str:
    return re.sub(r"[^\w-]+", "-", key_of(title))[:60].strip("-") or "ground"
