"""What somebody can say of a match without a file: on the command line, or in answer to questions."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.presets import lens_from_words
from standmark.sports.sport import Place, PlayingArea, Sport

SILENT = frozenset(["the", "a", "an", "of", "at", "on", "in", "and", "to", "by", "for", "all", "both"])
TARGETS = frozenset(
    ["goal", "post", "basket", "hoop", "end", "line", "dead", "ball", "net", "stump", "plate", "baseline"]
)
TIME = re.compile(
    r"(\d{4}-\d{2}-\d{2})[T ](\d{1,2}:\d{2})(?::(\d{2}))?\s*([Zz]|[+-]\d{2}:\d{2}|[A-Za-z_]+/[A-Za-z_/+-]+)?"
)
STAND_KEYS = ("stand-row", "bleacher", "terrace", "gantry", "")  # which raised place a stand is taken to be, best first


@dataclass(frozen=True)
class Wishes:
    """What is known of a match beside its sport; everything else takes the usual."""

    lenses: tuple[str, ...] = ()  # as `lens_from_words` reads them
    n_cameras: int = 1
    start: str | None = None  # local, as TOML writes it, or with an offset
    timezone: str | None = None
    is_indoor: bool = False
    refused: tuple[str, ...] = ()  # keys of usual places
    stand_m: float | None = None  # lens height on a stand


NO_WISHES = Wishes()


def sound_lens(words: str) -> str:
    """Lens as the match file writes it.

    Raises
    ------
    InputError : not a lens
    """
    lens = lens_from_words(words)
    if lens is None or not 0 < lens.focal_mm[0] <= lens.focal_mm[1] <= 3000 or not 0.4 < min(lens.f_number) <= 64:
        raise InputError(f'--lens: "{shown(words)}" is not a lens; write 70-200/2.8, 24-70 f4 or 300')
    return lens.name


def sound_start(words: str, timezone: str | None) -> tuple[str, str | None]:
    """Start as TOML writes it, and the time zone, which may follow the time: 2027-05-08 15:00 Europe/Lisbon.

    Raises
    ------
    InputError : no date and time, or no time zone that is known
    """
    parts = TIME.fullmatch(words.strip())
    if not parts:
        raise InputError(
            f'--start: "{shown(words)}" is not a date and time; write 2027-05-08T15:00 and --timezone Area/City'
        )
    date, clock, seconds, zone = parts.groups()
    text = f"{date}T{clock.zfill(5)}:{seconds or '00'}"
    is_offset = zone is not None and "/" not in zone
    named = zone if zone is not None and not is_offset else timezone
    try:
        datetime.fromisoformat(text)
        if named is not None:
            ZoneInfo(named)
    except ZoneInfoNotFoundError:
        raise InputError(f'--timezone: "{shown(named)}" is not known; write Area/City, such as Europe/Lisbon') from None
    except ValueError:
        raise InputError(f'--start: "{shown(words)}" is not a date and time that exists') from None
    if is_offset:
        return text + str(zone), None
    if named is None:
        raise InputError("--start: in which time zone? Add --timezone Area/City, or an offset such as +01:00")
    return text, named


def refused_places(area: PlayingArea, words: Sequence[str]) -> tuple[str, ...]:
    """Keys of the usual places that are meant: by key, or by any words of their names ("behind the goals").

    Raises
    ------
    InputError : nothing is called so; the names are listed
    """
    keys: dict[str, None] = {}
    for wish in words:
        meant = [place.key for place in area.places if wish.strip().lower() == place.key] or _meant(area, wish)
        if not meant:
            names = "; ".join(dict.fromkeys(place.name.split(" (")[0] for place in area.places))
            raise InputError(f'--refuse: "{shown(wish)}" is none of the usual places: {names}')
        keys.update(dict.fromkeys(meant))
    return tuple(keys)


def stand_place(sport: Sport) -> Place | None:
    """Raised place of the sport that a stand is taken to be; None where it has none."""
    raised = sport.area.raised
    return next((place for start in STAND_KEYS for place in raised if place.key.startswith(start)), None)


def _meant(area: PlayingArea, wish: str) -> list[str]:
    """Keys of the places whose name holds the words in a row, or else all of them anywhere."""
    wanted = _stems(wish)
    if not wanted:
        return []
    names = {place.key: _stems(place.name) for place in area.places}
    keys = [key for key, stems in names.items() if _in_a_row(wanted, stems)]
    keys = keys or [key for key, stems in names.items() if set(wanted) <= set(stems)]
    if not keys and "behind" in wanted and set(wanted) - {"behind"} <= TARGETS:  # whatever the sport calls its end
        keys = [key for key, stems in names.items() if "behind" in stems]
    return keys


def _in_a_row(wanted: list[str], stems: list[str]) -> bool:
    return any(stems[at : at + len(wanted)] == wanted for at in range(len(stems)))


def _stems(words: str) -> list[str]:
    """Words without their plural s, and without those that say nothing."""
    letters = re.findall(r"[a-z0-9]+", words.lower().replace("'s", "").replace("’s", ""))
    stems = [re.sub(r"(?<=[a-z]{2}[a-rt-z])s$", "", word) for word in letters]
    return [stem for stem in stems if stem not in SILENT]
