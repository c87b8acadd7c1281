"""The ground of a match as the page draws it: names, places with their answers, things in the way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import shapely

from standmark.cli.ground.landmarks import landmarks
from standmark.cli.open.shapes import drawing, is_line, rings_of, shape_words
from standmark.cli.words.match_warnings import onto_words
from standmark.optimizer.match.match import AllowedArea, Match, Venue
from standmark.optimizer.match.match_schema import MatchFile
from standmark.optimizer.match.place_shape import key_of, place_shape
from standmark.optimizer.match.usual_areas import default_areas, raised_areas
from standmark.optimizer.match.venue_schema import AllowedTable, VenueTable
from standmark.optimizer.picture.sun_path import match_sun
from standmark.sports.sport import PLAIN_SIDES, Furniture, Sport

BENCHES = ("bench", "dugout")
SIDES = ("+x", "-x", "+y", "-y")
MIRRORED = {"+y": {"+x": "left end", "-x": "right end", "+y": "bench side", "-y": "far side"}}
MIRRORED["-y"] = {"+x": "right end", "-x": "left end", "+y": "far side", "-y": "bench side"}

Marks = Mapping[str, tuple[int, ...]]


def ground_data(match: Match, tables: MatchFile, marks: Marks) -> dict[str, Any]:
    """Everything that the page draws of a ground, in the file's pitch frame."""
    venue, area = match.venue, match.sport.area
    benches = bench_side(match)
    bottom = benches if benches in ("+y", "-y") else "-y" if area.has_home_corner else "+y"
    return {
        "sport": match.sport.key,
        "sport_name": match.sport.name,
        "preset": match.sport.preset,
        "length_m": round(area.length_m, 3),
        "width_m": round(area.width_m, 3),
        "unit": area.unit,
        "length_range_m": list(match.sport.length_range_m),
        "width_range_m": list(match.sport.width_range_m),
        "bottom": bottom,
        "benches": benches,
        "bench_choices": [_bench_choice(side, match, tables, marks) for side in ("+y", "-y")] if benches else [],
        "main_side": venue.main_side,
        "sides": {
            side: {
                "name": venue.side_names[side],
                "usual": (PLAIN_SIDES | area.side_names)[side],
                "at": _at(side, bottom),
            }
            for side in SIDES
        },
        "drawing": drawing(area),
        "landmarks": [
            {"name": name, "at": [round(x, 2), round(y, 2)]}
            for name, (x, y, _) in landmarks(area, venue.side_names).items()
        ],
        "places": list(_places(match, tables.venue, marks)),
        "forbidden": [
            {
                "mark": _mark(marks, "forbidden", i),
                "name": entry.name,
                "reason": entry.reason,
                "rings": rings_of(entry.shape),
                "is_line": is_line(entry.shape),
                "words": shape_words(entry.shape, match),
            }
            for i, entry in enumerate(venue.forbidden)
        ],
        "obstacles": list(_obstacles(match, tables.venue, marks)),
        "furniture": list(_furniture(match, tables.venue, marks)),
        "latitude": venue.latitude_deg,
        "longitude": venue.longitude_deg,
        "bearing_deg": venue.bearing_deg if venue.has_bearing else None,
        "can_walk": match.sport.play_flow is not None,
        "is_indoor": venue.is_indoor,
        "is_floodlit": venue.is_floodlit,
        "sun": _sun(match),
        "rules": None if match.profile is None else {"key": match.profile.key, "name": match.profile.name},
    }


def bench_side(match: Match) -> str | None:
    """Side on which the sport's benches stand: "+y", "-y", "both" or "ends"; None where it has none."""
    benches = [thing for thing in match.venue.furniture if any(word in thing.key for word in BENCHES)]
    half_m, half_x_m = match.sport.area.width_m / 2, match.sport.area.length_m / 2
    middles = [p.centroid for b in benches for p in shapely.get_parts(b.shape)]
    if not middles:
        return None
    if match.sport.area.has_home_corner or any(abs(m.y) < half_m and abs(m.x) > half_x_m for m in middles):
        return "ends"
    above = {m.y > 0 for m in middles}
    return "both" if len(above) > 1 else "+y" if above.pop() else "-y"


def _bench_choice(side: str, match: Match, tables: MatchFile, marks: Marks) -> dict[str, Any]:
    """Edits that put the benches of the sport on a side of the ground."""
    edits: list[dict[str, Any]] = []
    now = bench_side(match)
    usual_m = [thing for thing in match.sport.area.furniture if any(w in thing.key for w in BENCHES) and thing.is_usual]
    for thing in usual_m if now in ("+y", "-y") and now != side else ():
        at = next((i for i, t in enumerate(tables.venue.furniture) if t.what in (thing.key, thing.name)), None)
        mirror = None if (thing.shape.centroid.y > 0) == (side == "+y") else "y"
        if at is None:
            edits.append({"do": "add", "part": "furniture", "value": {"what": thing.key, "mirror": mirror}})
        elif mirror is None and tables.venue.furniture[at].model_fields_set <= {"what", "mirror"}:
            edits.append({"do": "drop", "part": _mark(marks, "furniture", at)})
        else:
            part = _mark(marks, "furniture", at)
            edits += [
                {"do": "put", "part": part, "field": key, "value": None}
                for key in ("polygon", "polygons", "line", "side", "span_m", "offset_m", "around")
            ]
            edits.append({"do": "put", "part": part, "field": "mirror", "value": mirror})
    for key, name in MIRRORED[side].items() if edits else ():
        said = tables.venue.side_names.get(key)  # type: ignore[call-overload]
        if said is None or said in MIRRORED["+y"].values():
            edits.append(
                {"do": "put", "part": "side_names", "field": key, "value": None if PLAIN_SIDES[key] == name else name}
            )
    return {"side": side, "is_now": now == side, "edits": edits}


def _sun(match: Match) -> dict[str, Any] | None:
    """Where the sun stands at the start; None where that is not known or does not matter."""
    path = match_sun(match)
    if path is None or not match.venue.has_bearing:
        return None
    sun = path.path[0]
    if sun.elevation_deg <= 0:
        return {"words": "The sun is down at the start.", "azimuth_deg": None, "elevation_deg": None}
    turned = (sun.azimuth_deg - match.venue.bearing_deg) % 360  # clockwise from +x
    side = ("+x", "-y", "-x", "+y")[round(turned / 90) % 4]
    words = f"The sun at the start: {sun.elevation_deg:.0f} degrees up, over the {match.venue.side_names[side]}."
    return {
        "words": words,
        "azimuth_deg": round(sun.azimuth_deg, 1),
        "elevation_deg": round(sun.elevation_deg, 1),
    }


def _at(side: str, bottom: str) -> str:
    """Where a side is on the screen, with the benches at the bottom."""
    upright = {"+x": "right", "-x": "left", "+y": "top", "-y": "bottom"}
    turned = {"right": "left", "left": "right", "top": "bottom", "bottom": "top"}
    return upright[side] if bottom == "-y" else turned[upright[side]]


def _mark(marks: Marks, kind: str, index: int) -> str:
    return f"{kind}:{marks[kind][index]}"


def _places(match: Match, table: VenueTable, marks: Marks) -> Iterator[dict[str, Any]]:
    """Every place that one could ask for: usual and raised ones of the sport, then those of the file."""
    venue, names = match.venue, match.venue.side_names
    answers = _answers(venue)
    elsewhere = {entry.what for entry in table.allowed}
    for kind, areas, usual in (
        ("usual", default_areas(match.sport, names), "yes" if _keeps_usual(table) else "no"),
        ("raised", raised_areas(match.sport, names), "ask"),
    ):
        for area in (a for a in areas if a.key not in elsewhere):
            yield _place(area, None, kind, answers, usual if kind == "raised" else _usual(area, table, usual), match)
    for i, entry in enumerate(table.allowed):
        area = AllowedArea(
            key_of(entry.name), entry.name, place_shape(entry, match.sport.area), own_heights_m(entry, match.sport)
        )
        yield _place(area, _mark(marks, "allowed", i), "own", answers, "yes", match)


def _place(
    area: AllowedArea, mark: str | None, kind: str, answers: Mapping[str, str], usual: str, match: Match
) -> dict[str, Any]:
    removed = next((entry.reason for entry in match.venue.removed if entry.name == area.name), "")
    return {
        "key": area.key,
        "mark": mark,
        "kind": kind,
        "name": area.name,
        "rings": rings_of(area.shape),
        "is_line": is_line(area.shape),
        "lens_height_m": list(area.lens_height_m),
        "answer": answers.get(area.key, usual if removed else "no"),
        "usual_answer": usual,
        "removed": removed,
        "onto": onto_words(area.shape, match) if mark else "",
        "words": shape_words(area.shape, match),
    }


def own_heights_m(entry: AllowedTable, sport: Sport) -> tuple[float, float]:
    """Heights of the lens at an area of the file: what it says, or those of the sport's place that stands there."""
    if "lens_height_m" in entry.model_fields_set or entry.what is None:
        return entry.lens_height_m
    return {area.key: area for area in (*default_areas(sport), *raised_areas(sport))}[entry.what].lens_height_m


def _answers(venue: Venue) -> dict[str, str]:
    return {a.key: "ask" for a in venue.asked} | {a.key: "yes" for a in venue.allowed}


def _keeps_usual(table: VenueTable) -> bool:
    return table.usual_places is None and not table.allowed


def _usual(area: AllowedArea, table: VenueTable, default: str) -> str:
    return default if table.usual_places is None else "yes" if area.key in table.usual_places else "no"


def _obstacles(match: Match, table: VenueTable, marks: Marks) -> Iterator[dict[str, Any]]:
    for i, entry in enumerate(table.obstacle):
        shape = place_shape(entry, match.sport.area)
        yield {
            "mark": _mark(marks, "obstacle", i),
            "name": entry.name,
            "rings": rings_of(shape),
            "is_line": is_line(shape),
            "base_m": entry.base_m,
            "top_m": entry.top_m,
            "see_through": entry.see_through,
            "words": shape_words(shape, match),
        }


def _furniture(match: Match, table: VenueTable, marks: Marks) -> Iterator[dict[str, Any]]:
    there = {thing.key: thing for thing in match.venue.furniture}
    said = {entry.what: i for i, entry in enumerate(table.furniture)}
    for usual in match.sport.area.furniture:
        index = said.get(usual.key, said.get(usual.name))
        thing: Furniture = there.get(usual.key, usual)
        yield {
            "key": usual.key,
            "mark": None if index is None else _mark(marks, "furniture", index),
            "name": usual.name,
            "rings": rings_of(thing.shape),
            "is_line": False,
            "top_m": thing.top_m,
            "see_through": thing.see_through,
            "there": usual.key in there,
            "usual": usual.is_usual,
            "words": shape_words(thing.shape, match),
        }
