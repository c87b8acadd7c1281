"""A ground as a commented match file: where it lies, how sure that is, what the map did not say."""

from __future__ import annotations

import json
from collections.abc import Iterator

import numpy as np

from standmark.cli.exports.starter import camera_text, place_line
from standmark.cli.ground.ends import compass_word
from standmark.cli.ground.ground import Laid, MappedGround
from standmark.cli.ground.map_file import MapFile
from standmark.sports.sport import PLAIN_SIDES

DEFAULT_HEIGHT_M = (1.2, 1.8)
STOREY_M = 3.0  # a guess to start from: common practice, no source


def ground_text(ground: MappedGround, map_file: MapFile, *, size_from: str, title: str, licence: str) -> str:
    """Write the match file."""
    return "\n".join(
        [
            *_head(ground, map_file, title, licence),
            *_venue(ground, title, size_from),
            *_stands(ground),
            "",
            *_allowed(ground),
            *_others(ground),
            *_notes(ground),
            "[[camera]]",
            camera_text(),
        ]
    )


def fit_words(ground: MappedGround) -> list[str]:
    """What the fit found and how sure it is, a line each."""
    fit, sport = ground.fit, ground.sport
    size = f"{sport.area.length_m:g} x {sport.area.width_m:g} m"
    traced = "points of a track" if ground.is_walked else "corners"
    lines = [
        f"{sport.name}, {size}, laid on {ground.n_points} {traced}: {max(fit.typical_miss_m, 0.01):.2g} m off "
        f"typically, {max(fit.worst_miss_m, 0.01):.2g} m at worst"
    ]
    sure = f"+/- {max(fit.middle_se_m, 0.01):.2g} m"
    if ground.longitude_latitude_deg is not None:
        longitude, latitude = ground.longitude_latitude_deg
        lines.append(f"middle at latitude {latitude:.7f}, longitude {longitude:.7f} ({sure} each way)")
    if ground.bearing_deg is not None:
        north = "true north" if ground.longitude_latitude_deg is not None else "up on the drawing"
        lines.append(
            f"+x points {compass_word(ground.bearing_deg)}, {ground.bearing_deg:.1f} degrees from {north} "
            f"(+/- {max(fit.turn_se_deg, 0.01):.2g})"
        )
    return lines


def _head(ground: MappedGround, map_file: MapFile, title: str, licence: str) -> Iterator[str]:
    yield f"# {title}: a match file for standmark, made from a map. Every line that begins with # is a comment."
    yield f"# Source: {map_file.name} ({map_file.form})."
    told = licence or map_file.licence
    yield f"# Licence: {told}" if told else "# Licence: the map does not say; ask whose it is before you pass this on."
    yield "# Frame: metres from the middle of the playing area; x along its length, y to the left when you look"
    yield "# along +x; heights above the ground."
    yield ""
    yield "[match]"
    yield f"sport = {_word(ground.sport.key)}"
    if ground.sport.preset != ground.sport.presets[0]:
        yield f"preset = {_word(ground.sport.preset)}"
    yield f"title = {_word(title)}"
    yield "# start = 2027-05-08T15:00:00      # local time; with the place below it brings in the sun"
    yield '# timezone = "Area/City"'
    yield ""


def _venue(ground: MappedGround, title: str, size_from: str) -> Iterator[str]:
    area, place = ground.sport.area, ground.longitude_latitude_deg
    yield "[venue]"
    yield f"name = {_word(title)}"
    for line in fit_words(ground):
        yield f"# {line}"
    if ground.is_walked:
        yield "# An error that the phone kept all the way round cannot be seen in its track. Lengths come from the"
        yield "# tape, never from a track."
    elif place is not None:
        yield "# What the map itself is off by (often a metre or more) comes on top."
    yield f"length_m = {area.length_m:g}".ljust(34) + f" # {size_from}"
    yield f"width_m = {area.width_m:g}"
    if place is not None:
        yield f"latitude = {place[1]:.7f}"
        yield f"longitude = {place[0]:.7f}"
    bearing = f"bearing_deg = {ground.bearing_deg or 0.0:.2f}"
    if place is None:
        yield f"# {bearing}".ljust(34) + " # only if up on the drawing is true north; a grid's north is not quite that"
    elif ground.has_two_ends:
        yield (
            bearing.ljust(34)
            + f" # +x is taken to be the {compass_word(ground.bearing_deg or 0.0)} end; --toward turns it"
        )
    else:
        yield bearing.ljust(34) + " # compass direction of +x, clockwise from true north"
    yield "# side_names = { " + ", ".join(f'"{side}" = "{name}"' for side, name in PLAIN_SIDES.items()) + " }"


def _stands(ground: MappedGround) -> Iterator[str]:
    """Heights of stands by their side; those of no known height are asked for."""
    known: dict[str, float] = {}
    for laid in _of(ground, "stand"):
        side = side_of(ground, laid)
        if laid.height_m is None:
            yield f'# How high is "{laid.name}"? Then write stand_height_m = {{ "{side}" = 8 }}.{_storeys(laid)}'
        else:
            known[side] = max(known.get(side, 0.0), laid.height_m[1])
    if known:
        heights = ", ".join(f'"{side}" = {height:g}' for side, height in sorted(known.items()))
        yield f"stand_height_m = {{ {heights} }}".ljust(34) + " # keeps a low sun off"


def side_of(ground: MappedGround, laid: Laid) -> str:
    """Side of the playing area that a thing stands on: "+x", "-x", "+y" or "-y"."""
    low_x, low_y, high_x, high_y = ground.sport.area.outline.bounds
    x, y = np.mean(laid.xy_m, axis=0)
    out = {"+x": x - high_x, "-x": low_x - x, "+y": y - high_y, "-y": low_y - y}
    return max(out, key=lambda side: out[side])


def _allowed(ground: MappedGround) -> Iterator[str]:
    own = _of(ground, "allowed")
    if not own:
        yield "# The map names nowhere to stand: these are the usual places; take out what the ground refuses."
        yield "usual_places = ["
        yield from (place_line(place) for place in ground.sport.area.places)
        yield "]"
        yield ""
    for laid in own:
        yield "[[venue.allowed]]"
        yield f"name = {_word(laid.name)}"
        yield _shape_line(laid)
        low, high = laid.height_m or DEFAULT_HEIGHT_M
        asked = "" if laid.height_m else " # the map gives no height: how high may the lens be?"
        yield f"lens_height_m = [{low:g}, {high:g}]".ljust(34 if asked else 0) + asked
        yield ""


def _others(ground: MappedGround) -> Iterator[str]:
    for laid in _of(ground, "forbidden"):
        yield "[[venue.forbidden]]"
        yield f"name = {_word(laid.name)}"
        yield _shape_line(laid)
        yield ""
    for laid in _of(ground, "obstacle"):
        mark = "" if laid.height_m and laid.height_m[1] > 0 else "# "
        if mark:
            yield f"# How high is this?{_storeys(laid)} Give top_m, and take away the # of these lines."
        yield f"{mark}[[venue.obstacle]]"
        yield f"{mark}name = {_word(laid.name)}"
        yield mark + _shape_line(laid)
        yield f"{mark}top_m = {laid.height_m[1]:g}" if not mark and laid.height_m else f"{mark}top_m = "
        yield ""


def _notes(ground: MappedGround) -> Iterator[str]:
    for note in ground.notes:
        yield f"# Note: {note}."
    if ground.notes:
        yield ""


def _storeys(laid: Laid) -> str:
    if not laid.storeys.isdigit() or not 0 < int(laid.storeys) < 100:
        return ""
    return f" The map says storeys: {laid.storeys}, so perhaps {int(laid.storeys) * STOREY_M:g} m."


def _shape_line(laid: Laid) -> str:
    points = ", ".join(f"[{x:.2f}, {y:.2f}]" for x, y in (laid.xy_m.round(2) + 0.0).tolist())
    return f"{'polygon' if laid.is_area else 'line'} = [{points}]"


def _of(ground: MappedGround, kind: str) -> list[Laid]:
    return [laid for laid in ground.things if laid.kind == kind]


def _word(text: str) -> str:
    """Text as a TOML string."""
    return json.dumps(text, ensure_ascii=False)
