"""A sport definition with the zones of some moments replaced: a few lines that extend a sport, or a file rewritten."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from standmark.cli.input.zone_events import NewMoment
from standmark.geometry.errors import InputError
from standmark.optimizer.scoring.zones import ZoneBox
from standmark.sports.library import DEFINITIONS, definition_path, load_definition, load_sport
from standmark.sports.reading.check_counts import raised_events
from standmark.sports.reading.schema import SportFile
from standmark.sports.sport import PlayingArea
from standmark.sports.toml.file import TomlFile, parse_toml, read_toml
from standmark.sports.toml.lines import line_of

OWN_SOURCE = "own-events"


def read_definition(sport: str | Path) -> TomlFile:
    """Text to add new zones to: a file of the user's as it is, or the first lines of one that extends ours.

    Raises
    ------
    InputError : the sport is not known, or the file cannot be read
    """
    path = definition_path(sport, None)
    if path.parent != DEFINITIONS:
        return read_toml(path)
    return parse_toml(f'extends = "{path.stem}"\nkey = "{path.stem}"\n', name=path.name)


def with_new_zones(
    file: TomlFile,
    moments: Sequence[NewMoment],
    area: PlayingArea,
    *,
    title: str,
    name: str,
    flow: Callable[[str], str] | None = None,
) -> str:
    """Text of a definition with new zones, checked as a definition; all else stays as it was written.

    Edges are written as parts of half the length and width, so the zones follow the size of another ground.

    Parameters
    ----------
    area : the playing area that the boxes were measured on
    title : what the events are, for the definition's list of sources
    name : of the file that the text will go to
    flow : takes the key of the source, gives a [play_flow] table to add

    Raises
    ------
    InputError : the file has a [play_flow] of its own already
    """
    if flow is not None and "play_flow" in file.data:
        raise InputError(
            f"{file.name}: has [play_flow] already; take it out, and its moments with it, to count a new one"
        )
    text = file.text if file.text.endswith("\n") else file.text + "\n"
    source = _free_source(file)
    for moment in moments:
        statements = {"zone": _zone_text(moment, area), "zone_source": f'zone_source = "{source}"\n'}
        if moment.rate_per_match is not None:
            statements["rate_per_match"] = f"rate_per_match = {moment.rate_per_match:.4g}\n"
            statements["source"] = f'source = "{source}"\n'
        text = _with_moment(text, file, moment.key, statements)
    text = _with_events(text, file, moments, source)
    text += "" if flow is None else flow(source)
    quoted = title.replace("\\", "\\\\").replace('"', '\\"')
    text += f'\n[sources.{source}]\ntitle = "{quoted}"\nsection = "shares by place"\nkind = "statistics"\n'
    _check(text, name)
    return text


def check_has_no_flow(file: TomlFile) -> None:
    """Refuse a text that says already how play moves.

    Raises
    ------
    InputError
    """
    if "play_flow" in file.data:
        raise InputError(f"{file.name}: has [play_flow] already; take it out to count a new one")


def _free_source(file: TomlFile) -> str:
    taken, number = set(file.data.get("sources", {})), 1
    while (key := OWN_SOURCE if number == 1 else f"{OWN_SOURCE}-{number}") in taken:
        number += 1
    return key


def _with_moment(text: str, file: TomlFile, key: str, statements: dict[str, str]) -> str:
    """Change a moment where the file has it, or add it to those that it changes of the sport it extends."""
    keys = [moment.get("key") for moment in file.data.get("moment", [])]
    if key not in keys:
        return f'{text}\n[[moment]]\nkey = "{key}"\n{"".join(statements.values())}'
    for name, statement in statements.items():
        text = _with_statement(text, keys.index(key), name, statement)
    return text


def _with_events(text: str, file: TomlFile, moments: Sequence[NewMoment], source: str) -> str:
    """Raise the number of each event that the new rates count more often than the definition says it happens."""
    rates = {m.key: m.rate_per_match for m in moments if m.rate_per_match is not None}
    for name, per_match in raised_events(_definition_of(file), rates).items():
        statement = f'{name} = {{ per_match = {per_match:.4g}, source = "{source}" }}\n'
        line = line_of(text, ("events", name))
        if name in file.data.get("events", {}) and line is not None:
            lines = text.splitlines(keepends=True)
            text = "".join([*lines[: line - 1], statement, *lines[_end_of_statement(lines, line - 1) :]])
        elif "events" in tomllib.loads(text):
            text = text.replace("\n[events]\n", f"\n[events]\n{statement}", 1)
        else:
            text += f"\n[events]\n{statement}"
    return text


def _definition_of(file: TomlFile) -> SportFile:
    """The whole definition that a text stands for, with what it extends."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"{file.data.get('key', 'sport')}.toml"
        path.write_text(file.text, encoding="utf-8")
        return load_definition(path).definition


def _with_statement(text: str, index: int, name: str, statement: str) -> str:
    """Replace one key of the moment with an index, or add it below the moment's own key."""
    lines = text.splitlines(keepends=True)
    start = _line(text, index, name)
    if start is None:
        below = _line(text, index, "key")
        assert below is not None, "the moment was found by its key"
        return "".join([*lines[: below + 1], statement, *lines[below + 1 :]])
    return "".join([*lines[:start], statement, *lines[_end_of_statement(lines, start) :]])


def _line(text: str, index: int, name: str) -> int | None:
    """Index of the line on which a key of a moment starts."""
    line = line_of(text, ("moment", index, name))
    return None if line is None else line - 1


def _end_of_statement(lines: Sequence[str], start: int) -> int:
    """Index after the last line of a statement, or of a run of [[moment.zone]] tables."""
    if lines[start].lstrip().startswith("["):
        end = start + 1
        while end < len(lines) and not (lines[end].lstrip().startswith("[") and "moment.zone" not in lines[end]):
            end += 1
        return end
    for end in range(start + 1, len(lines) + 1):
        try:
            tomllib.loads("".join(lines[start:end]))
        except tomllib.TOMLDecodeError:
            continue
        return end
    raise InputError("the definition's zones cannot be found; write them as zone = [ ... ]")


def _check(text: str, name: str) -> None:
    """Refuse to write what could not be loaded again."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / (Path(name).stem + ".toml")
        path.write_text(text, encoding="utf-8")
        load_sport(path)


def _zone_text(moment: NewMoment, area: PlayingArea) -> str:
    boxes = [f"  {_box_text(box, weight, moment, area)},\n" for box, weight in _weighed(moment)]
    return "".join(["zone = [\n", *boxes, "]\n"])


def _weighed(moment: NewMoment) -> list[tuple[ZoneBox, float]]:
    """Boxes with their weights in ten-thousandths, which sum to 1; what rounds to nothing is left out."""
    parts = [round(1e4 * box.weight) for box in moment.boxes]
    largest = max(range(len(parts)), key=lambda i: parts[i])
    parts[largest] += 10_000 - sum(parts)
    return [(box, part / 1e4) for box, part in zip(moment.boxes, parts, strict=True) if part > 0]


def _box_text(box: ZoneBox, weight: float, moment: NewMoment, area: PlayingArea) -> str:
    x = ", ".join(_length(edge, area.length_m / 2, "end") for edge in box.x_m)
    y = ", ".join(_length(edge, area.width_m / 2, "side") for edge in box.y_m)
    more = "" if moment.mirror == "none" else f', mirror = "{moment.mirror}"'
    grow = f", grow = {moment.grow_m:g}" if moment.grow_m else ""
    more += "" if _is_box(area) else f', inside = {{ kind = "area"{grow} }}'
    return f'{{ weight = {weight:.4f}, shape = {{ kind = "rect", x = [{x}], y = [{y}]{more} }} }}'


def _length(edge_m: float, half_m: float, name: str) -> str:
    """Part of half the length or width; beyond the line, metres from it."""
    beyond_m = round(abs(edge_m) - half_m, 2)
    if beyond_m > 0:
        return f'"{name} + {beyond_m:g}"' if edge_m > 0 else f'"-{name} - {beyond_m:g}"'
    part = f"{edge_m / half_m:.4f}".rstrip("0").rstrip(".")
    words = {"0": "0", "-0": "0", "1": f'"{name}"', "-1": f'"-{name}"'}
    return words.get(part, f'"{part} {name}"')


def _is_box(area: PlayingArea) -> bool:
    low_x, low_y, high_x, high_y = area.outline.bounds
    return area.outline.area > (1 - 1e-6) * (high_x - low_x) * (high_y - low_y)
