"""Eight questions about a match, each answered in a word or left empty."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import click

from standmark.cli.input.wishes import Wishes, refused_places, sound_lens, sound_start
from standmark.geometry.errors import InputError
from standmark.optimizer.match.match import MOST_CAMERAS
from standmark.sports.library import load_sport
from standmark.sports.sport import Sport
from standmark.sports.toml.length import metres_of

Answer = TypeVar("Answer")
MOST_TRIES = 20  # of one question: whoever answers by a script must not wait for ever
YES = ("y", "yes")
NO = ("", "n", "no")


@dataclass(frozen=True)
class Answers:
    """The sport at its size, and what else was said."""

    sport: Sport
    wishes: Wishes


def asked_answers(sport_words: str | None, preset: str | None) -> Answers:
    """Ask for what a first plan needs; an answer that cannot be used is asked for again.

    Raises
    ------
    InputError : no answer could be used in many tries
    """
    click.echo("Eight questions. Leave an answer empty for the usual.", err=True)
    sport = _asked("1. Which sport?", lambda words: load_sport(words, preset=preset), default=sport_words or "football")
    area = sport.area
    sport = _asked(
        f"2. How long and wide is the {sport.name} ground (usual: {area.length_m:g} x {area.width_m:g} m)?",
        lambda words: _sized(sport, words),
    )
    is_indoor = _asked("3. Is it indoors (y/n)?", _yes) or sport.setting == "indoor"
    start = _asked("4. When does it start, and in which time zone (2027-05-08 15:00 Europe/Lisbon)?", _start)
    places = "; ".join(dict.fromkeys(place.name.split(" (")[0] for place in sport.area.places))
    refused = _asked(
        f"5. Where may you not stand ({places})?",
        lambda words: refused_places(sport.area, [w for w in words.split(";") if w.strip()]),
    )
    stand_m = _asked(
        "6. How high is the stand that you may use, lens above the ground (8 m, 25 ft; empty: none)?", _height
    )
    lenses = _asked("7. Which lenses do you have (24-70/2.8, 70-200/2.8)?", _lenses)
    n_cameras = _asked(f"8. How many cameras (1 to {MOST_CAMERAS})?", _count)
    wishes = Wishes(lenses, n_cameras, *start, is_indoor=is_indoor, refused=refused, stand_m=stand_m)
    return Answers(sport, wishes)


def _asked(question: str, read: Callable[[str], Answer], *, default: str = "") -> Answer:
    for _ in range(MOST_TRIES):
        words = str(click.prompt(question, default=default, show_default=bool(default), err=True)).strip()
        try:
            return read(words)
        except (InputError, ValueError) as error:
            click.echo(f"   {_told(error)}", err=True)
    raise InputError(f"{question} No usable answer in {MOST_TRIES} tries")


def _told(error: Exception) -> str:
    """Message without the name of the option it belongs to."""
    words = str(error)
    return words.split(": ", 1)[1] if words.startswith("--") else words


def _sized(sport: Sport, words: str) -> Sport:
    if not words:
        return sport
    parts = words.lower().replace("×", "x").replace(" by ", "x").split("x")
    if len(parts) != 2:
        raise ValueError("write length x width, such as 101 x 64 or 110 yd x 70 yd")
    length_m, width_m = (metres_of(part) for part in parts)
    return load_sport(sport.key, preset=sport.preset or None, length_m=length_m, width_m=width_m)


def _yes(words: str) -> bool:
    if words.lower() not in (*YES, *NO):
        raise ValueError("answer y or n")
    return words.lower() in YES


def _start(words: str) -> tuple[str | None, str | None]:
    return sound_start(words, None) if words else (None, None)


def _height(words: str) -> float | None:
    if not words:
        return None
    height_m = metres_of(words)
    if not 0 < height_m <= 200:
        raise ValueError("allowed: above 0, at most 200 m")
    return height_m


def _lenses(words: str) -> tuple[str, ...]:
    parts = [part.strip() for part in words.replace(";", ",").split(",") if part.strip()]
    if len(parts) > 8:
        raise ValueError("allowed: 1 to 8 lenses")
    return tuple(sound_lens(part) for part in parts)


def _count(words: str) -> int:
    if words not in ("", *map(str, range(1, MOST_CAMERAS + 1))):
        raise ValueError(f"allowed: 1 to {MOST_CAMERAS}")
    return int(words or 1)
