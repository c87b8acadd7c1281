"""Options that several commands share, so that they are named and explained alike."""

from __future__ import annotations

import functools
import math
import os
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar, cast

import click

from standmark.cli.words.units import Units
from standmark.geometry.errors import InputError, NoPlanError
from standmark.optimizer.match.match import MOST_CAMERAS, Match
from standmark.optimizer.match.read_match import default_match, match_of, read_match
from standmark.sports.library import FOLDER_VARIABLE, sport_named
from standmark.sports.toml.file import read_toml
from standmark.sports.toml.length import metres_of
from standmark.sports.toml.lines import line_of

F = TypeVar("F", bound=Callable[..., Any])
FILE_KEY = re.compile(r"\b(?:venue|rules|camera)(?:\.[A-Za-z_]+)+")
ABOUT_FILE = ("venue.", "camera", "rules.")  # messages that begin so speak of keys of the match file


class Number(click.FloatRange):
    """A number in a range; click lets `nan` through, which is in none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the number, if it is one."""
        number = super().convert(value, param, ctx)
        if not math.isfinite(number):
            self.fail(f"{value} is not a number of use here", param, ctx)
        return number


def length(words: str) -> float:
    """Metres of a length on the command line: a number, or words such as "110 yd"."""
    try:
        metres = metres_of(str(words))
    except ValueError as error:
        raise click.BadParameter(f'"{words[:30]}" is {error}') from None
    if not 0 < metres <= 1000:
        raise click.BadParameter(f"{metres:g} m cannot be right; allowed: above 0, at most 1000 m")
    return metres


def match_source(function: F) -> F:
    """Add MATCH.toml, --sport, --preset and --cameras: what is to be filmed."""
    function = names_its_file(function)
    for decorate in (
        click.option("--cameras", type=click.IntRange(1, MOST_CAMERAS), help="Plan for this many cameras."),
        click.option("--preset", help="With --sport: a variant, such as a youth size."),
        click.option("--sport", help="Plan from the sport alone, with a usual ground and kit."),
        click.argument("match_file", metavar="[MATCH.toml]", required=False, type=click.Path(path_type=Path)),
        sports_dir_option,
    ):
        function = decorate(function)
    return function


def names_its_file(function: F) -> F:
    """Put the match file's name and line before what planning says of it: `heron-lane.toml:12: venue.allowed: ...`."""

    @functools.wraps(function)
    def told(*, match_file: Path | None, **rest: Any) -> Any:
        """Run the command; an error about the file begins with its name and line."""
        with file_named(match_file):
            return function(match_file=match_file, **rest)

    return cast(F, told)


@contextmanager
def file_named(match_file: Path | None) -> Iterator[None]:
    """Put a match file's name and line before what is said of it inside the `with`."""
    try:
        yield
    except (InputError, NoPlanError) as error:
        is_of_file = isinstance(error, NoPlanError) or str(error).startswith(ABOUT_FILE)
        if match_file is None or not is_of_file:
            raise
        raise type(error)(f"{match_file}{_line_words(match_file, str(error))}: {error}") from error


def _line_words(match_file: Path, message: str) -> str:
    """Line of the first key of the match file that a message speaks of, as ":12"; empty where it holds none."""
    key = FILE_KEY.search(message)
    try:
        text = read_toml(match_file).text
    except InputError:
        return ""
    path = key[0].split(".") if key else []
    lines = (line_of(text, path[:length]) for length in range(len(path), 0, -1))
    return next((f":{line}" for line in lines if line is not None), "")


def sports_dir_option(function: F) -> F:
    """Add --sports-dir: a folder in which sports of the user's are found, by this command and all that it starts."""
    return click.option(
        "--sports-dir",
        type=click.Path(path_type=Path),
        expose_value=False,
        callback=_use_folder,
        help="Folder with your own sport definitions; or set STANDMARK_SPORTS_DIR.",
    )(function)


def _use_folder(context: click.Context, _parameter: click.Parameter, folder: Path | None) -> None:
    if folder is not None:
        before = os.environ.get(FOLDER_VARIABLE)
        os.environ[FOLDER_VARIABLE] = str(folder)
        context.call_on_close(lambda: _put_back(before))


def _put_back(folder: str | None) -> None:
    if folder is None:
        os.environ.pop(FOLDER_VARIABLE, None)
    else:
        os.environ[FOLDER_VARIABLE] = folder


def force_option(function: F) -> F:
    """Add --force."""
    return click.option("-f", "--force", is_flag=True, help="Replace files that exist.")(function)


def wishes_options(function: F) -> F:
    """Add what one can say of a match without a file: sizes, lenses, start, place; gathered as `stated`."""

    @functools.wraps(function)
    def gathered(**given: Any) -> Any:
        """Run the command with what was said of the match put together."""
        names = ("length_m", "width_m", "lens", "refuse", "start", "timezone", "indoor", "stand_m")
        said = {name: given.pop(name) for name in names}
        return function(stated=said, **given)

    for decorate in (
        click.option(
            "--stand", "stand_m", type=length, help="With --sport: how high your lens is on a stand you may use."
        ),
        click.option("--indoor", is_flag=True, help="With --sport: indoors."),
        click.option("--timezone", help='With --start: "Area/City".'),
        click.option("--start", help="With --sport: local start time, 2027-05-08T15:00."),
        click.option(
            "--refuse", multiple=True, help='With --sport: where you may not stand, such as "behind the goals".'
        ),
        click.option(
            "--lens", multiple=True, help="With --sport: a lens you own, 70-200/2.8; repeat it for each lens."
        ),
        click.option("--width", "width_m", type=length, help="With --sport: width of the playing area."),
        click.option(
            "--length",
            "length_m",
            type=length,
            help='With --sport: length of the playing area, in metres or as "110 yd".',
        ),
    ):
        gathered = decorate(gathered)
    return cast(F, gathered)


def units_option(function: F) -> F:
    """Add --units."""
    return click.option(
        "--units",
        type=click.Choice([u.value for u in Units]),
        default="metric",
        help="Show lengths in metres, feet or yards.",
    )(function)


def more_option(function: F) -> F:
    """Add --more."""
    return click.option("--more", is_flag=True, help="Also print the reasons and the full lists.")(function)


def load_match(
    match_file: Path | None,
    *,
    sport: str | None,
    preset: str | None,
    cameras: int | None,
    said: Mapping[str, Any] | None = None,
) -> Match:
    """Read the match file, or build the default match of a sport, changed by what else was said of it.

    Parameters
    ----------
    said : options of `wishes_options`

    Raises
    ------
    InputError : neither or both are given, or what is given is wrong
    """
    if (match_file is None) == (sport is None):
        raise InputError("give either a match file or --sport NAME (standmark sports lists them)")
    if match_file is not None:
        if preset is not None:
            raise InputError("--preset goes with --sport; in a match file write preset under [match]")
        if said is not None and any(said.values()):
            option = next(name for name, value in said.items() if value).removesuffix("_m")
            raise InputError(f"--{option} goes with --sport; a match file says it itself")
        if not match_file.exists() and _is_sport(str(match_file)):
            raise InputError(f'{match_file}: no such file; for the sport write --sport "{match_file}"')
        return read_match(match_file, cameras=cameras)
    assert sport is not None
    if said is not None and any(said.values()):
        return _said_match(sport, preset, cameras or 1, said)
    return default_match(sport, preset=preset, cameras=cameras or 1)


def _is_sport(words: str) -> bool:
    try:
        sport_named(words)
    except InputError:
        return False
    return True


def _said_match(sport_words: str, preset: str | None, n_cameras: int, said: Mapping[str, Any]) -> Match:
    """Match of a sport and of what was said on the command line: that of the file which `new` would write."""
    from standmark.cli.exports.starter import starter_text
    from standmark.cli.input.wishes import Wishes, refused_places, sound_lens, sound_start
    from standmark.sports.library import load_sport
    from standmark.sports.toml.file import parse_toml

    sport = load_sport(sport_words, preset=preset, length_m=said["length_m"], width_m=said["width_m"])
    if said["timezone"] and not said["start"]:
        raise InputError("--timezone goes with --start")
    start, zone = sound_start(said["start"], said["timezone"]) if said["start"] else (None, None)
    wishes = Wishes(
        lenses=tuple(sound_lens(words) for words in said["lens"]),
        n_cameras=n_cameras,
        start=start,
        timezone=zone,
        is_indoor=said["indoor"],
        refused=refused_places(sport.area, said["refuse"]),
        stand_m=said["stand_m"],
    )
    if len(wishes.lenses) > 8:
        raise InputError("--lens: at most 8")
    return match_of(parse_toml(starter_text(sport, wishes), name="options"), folder=Path())
