"""What a match file may say but had better not: odd sizes of a ground, cameras fixed where nobody may stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standmark.optimizer.match.match import Match
from standmark.optimizer.scoring.breach import spot_breach
from standmark.optimizer.work.assignment import Spot
from standmark.sports.toml.lines import line_of

SLACK = 0.02  # share by which a ground may miss the sizes that the rules allow before it is told


def match_warnings(match: Match, text: str, *, file: str) -> Iterator[str]:
    """Warn of what is allowed but unlikely or unwise, one line each with line and key.

    Parameters
    ----------
    text : of the match file, for the lines
    file : its name
    """
    for path, message in (*_size_warnings(match), *_fixed_spot_warnings(match), *_replaced_warnings(match)):
        line = line_of(text, path)
        key = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path)[1:]
        yield f"{file}:{line}: {key}: warning: {message}" if line else f"{file}: {key}: warning: {message}"


def replaced_words(match: Match) -> str:
    """Say which usual places the file's own areas have replaced, and how to keep them; empty where they have not."""
    if not match.venue.replaced:
        return ""
    names = list(dict.fromkeys(area.name.split(" (")[0] for area in match.venue.replaced))
    return (
        f"areas of your own take the place of the usual ones ({', '.join(names)}); to keep one, write "
        f'{match.venue.replaced[0].key} = "yes" under [venue.answers]'
    )


def _replaced_warnings(match: Match) -> Iterator[tuple[Sequence[str | int], str]]:
    if words := replaced_words(match):
        yield ("venue", "allowed"), words


def _size_warnings(match: Match) -> Iterator[tuple[Sequence[str | int], str]]:
    """Warn of a playing area that the rules do not allow, and of length and width in each other's place."""
    sport, area = match.sport, match.sport.area
    sizes = {"length_m": (area.length_m, sport.length_range_m), "width_m": (area.width_m, sport.width_range_m)}
    is_swapped = _fits(area.width_m, sport.length_range_m) and _fits(area.length_m, sport.width_range_m)
    for key, (size_m, (low, high)) in sizes.items():
        if not _fits(size_m, (low, high)):
            allowed = f"{low:g} m" if low == high else f"{low:g} to {high:g} m"
            hint = "; length and width look swapped" if is_swapped else ""
            yield ("venue", key), f"{size_m:g} m, where the rules of {sport.name} ask for {allowed}{hint}"


def _fits(size_m: float, range_m: tuple[float, float]) -> bool:
    return range_m[0] * (1 - SLACK) <= size_m <= range_m[1] * (1 + SLACK)


def _fixed_spot_warnings(match: Match) -> Iterator[tuple[Sequence[str | int], str]]:
    """Warn of every fixed camera that may not stand at its spot, naming the periods unless it is all of them."""
    for index, camera in enumerate(match.cameras):
        if camera.fixed is None:
            continue
        spot = Spot("", camera.fixed.x_m, camera.fixed.y_m, camera.fixed.z_m, "")
        periods: dict[str, list[str]] = {}
        for period in match.sport.periods:
            if breach := spot_breach(match, spot, period):
                periods.setdefault(breach, []).append(period.name)
        for breach, names in periods.items():
            when = "" if len(names) == len(match.sport.periods) else f" in {', '.join(names)}"
            yield (
                ("camera", index, "at_m"),
                f"{camera.name} at {spot.x_m:g}, {spot.y_m:g}{when} {breach}: ask before anybody goes there",
            )
