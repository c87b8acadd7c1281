"""Rules of competitions for those who film: which there are, and what one says of a ground at its actual size."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.errors import InputError
from standmark.sports.place_kind import POSTURES, SUPPORTS, HeldBy, Posture
from standmark.sports.reading.profile_schema import ProfileFile
from standmark.sports.shapes.build import Measures, build
from standmark.sports.sport import Sport
from standmark.sports.toml.file import Problem, TomlFile, did_you_mean, problems_error, read_toml, validate
from standmark.sports.toml.length import FOOT_M

PROFILES = Path(__file__).parent / "profiles"
OWN_WORD = "Your competition's own word goes first."
ANY_LENS_M = (0.0, 100.0)
WHOLE_FT, WHOLE_M = 0.02, 0.02  # off by less: the rules say so many feet, half metres


@dataclass(frozen=True)
class Refused:
    """A part of the ground where nobody may film, and why."""

    name: str
    reason: str
    shape: BaseGeometry


@dataclass(frozen=True)
class Profile:
    """What a competition says of those who film at one ground."""

    key: str
    name: str
    level: str
    year: str
    source: str  # title, publisher and kind
    read: str  # when
    only: tuple[tuple[str, BaseGeometry], ...]  # with any of these, nowhere else on the ground
    refused: tuple[Refused, ...]
    ground: bool  # False: raised places only
    raised: bool  # False: no raised places
    postures: tuple[Posture, ...]
    supports: tuple[HeldBy, ...]
    lens_height_m: tuple[float, float]
    moves: str  # "free", "half-time", "never"
    wear: str
    say: tuple[str, ...]
    ask_days: float | None = None  # before the match, by which permission to film has to be asked for
    ask_working_days: bool = False


def profile_keys(sport: str | None = None) -> tuple[str, ...]:
    """Keys of the profiles that come with the tool: all, or those of one sport."""
    return tuple(key for key, (_, table) in _known().items() if sport is None or sport in table.sports)


def profile_table(key: str) -> ProfileFile:
    """Return a profile as its file says it.

    Raises
    ------
    InputError : no such profile
    """
    if key not in _known():
        raise InputError(f'no rules "{key}"; standmark rules lists them{did_you_mean(key, list(_known()))}')
    return _known()[key][1]


def load_profile(key_or_path: str | Path, sport: Sport) -> Profile:
    """Read a profile, by its key or from a file of the user's, for a sport at its actual size.

    Raises
    ------
    InputError : no such profile, one of another sport, or a file that is wrong
    """
    if isinstance(key_or_path, Path):
        file = read_toml(key_or_path)
        return _profile(file, validate(ProfileFile, file.data, text=file.text, file=file.name), sport)
    table = profile_table(key_or_path)
    if sport.key not in table.sports:
        allowed = ", ".join(profile_keys(sport.key)) or "none is known"
        raise InputError(f'rules "{key_or_path}" are for {", ".join(table.sports)}; for {sport.key}: {allowed}')
    return _profile(_known()[key_or_path][0], table, sport)


def sport_profiles(sport: Sport) -> tuple[Profile, ...]:
    """Every profile that comes with the tool for a sport, at its actual size; none that does not fit a tiny ground."""
    profiles = []
    for key in profile_keys(sport.key):
        with suppress(InputError):
            profiles.append(load_profile(key, sport))
    return tuple(profiles)


@cache
def _known() -> dict[str, tuple[TomlFile, ProfileFile]]:
    profiles = {}
    for path in sorted(PROFILES.glob("*.toml")):
        file = read_toml(path)
        profiles[path.stem] = (file, validate(ProfileFile, file.data, text=file.text, file=file.name))
    return profiles


def _profile(file: TomlFile, table: ProfileFile, sport: Sport) -> Profile:
    frame = Measures(sport.sizes_m, sport.area.outline)
    problems: list[Problem] = []
    shapes: dict[tuple[str, int], BaseGeometry] = {}
    for kind in ("only", "refused"):
        for index, entry in enumerate(getattr(table, kind)):
            try:
                shapes[kind, index] = build(entry.shape, frame)
            except KeyError as error:
                problems.append(Problem((kind, index, "shape"), f'{sport.name} has no size "{error.args[0]}"'))
            except ValueError as error:
                problems.append(Problem((kind, index, "shape"), f"{error}"))
    if problems:
        raise problems_error(problems, text=file.text, file=file.name)
    strips = tuple(_strips(table, sport))
    return Profile(
        key=table.key,
        name=table.name,
        level=table.level,
        year=table.year,
        source=f"{table.source.title}, {table.source.publisher} ({table.source.kind})",
        read=table.source.read,
        only=tuple((entry.name, shapes["only", i]) for i, entry in enumerate(table.only)),
        refused=tuple(Refused(e.name, e.reason, shapes["refused", i]) for i, e in enumerate(table.refused)) + strips,
        ground=table.ground,
        raised=table.raised,
        postures=table.posture or POSTURES,
        supports=table.support or SUPPORTS,
        lens_height_m=table.lens_height_m or ANY_LENS_M,
        moves=table.moves,
        wear=table.wear or "",
        say=table.say,
        ask_days=table.ask_days,
        ask_working_days=table.ask_working_days,
    )


def _distance(value_m: float) -> str:
    """Distance as the rules have it: whole feet where that is what they say, with metres beside.

    >>> _distance(3.66), _distance(5.0)
    ('12 ft (3.66 m)', '5 m')
    """
    feet = value_m / FOOT_M
    is_feet = abs(feet - round(feet)) < WHOLE_FT and abs(2 * value_m - round(2 * value_m)) > WHOLE_M
    return f"{round(feet)} ft ({value_m:g} m)" if is_feet else f"{value_m:g} m"


def _strips(table: ProfileFile, sport: Sport) -> Iterator[Refused]:
    """Least distances as strips along the bounding box of the playing area."""
    low_x, low_y, high_x, high_y = sport.area.outline.bounds
    inner = shapely.box(low_x, low_y, high_x, high_y)
    side_m, end_m = table.least_m.side, table.least_m.end
    beside = shapely.box(low_x, low_y - side_m, high_x, high_y + side_m)
    beyond = shapely.box(low_x - end_m, low_y - side_m, high_x + end_m, high_y + side_m)
    if side_m > 0:
        words = f"at least {_distance(side_m)} from the side line"
        yield Refused(f"{_distance(side_m)} along the side line", words, beside.difference(inner))
    if end_m > 0:
        words = f"at least {_distance(end_m)} from the end line"
        yield Refused(f"{_distance(end_m)} along the end line", words, beyond.difference(beside))
