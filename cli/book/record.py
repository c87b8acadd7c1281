"""What a book says of one ground, as plain data: stable keys, SI units, sorted, no NaN."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence

import shapely

from standmark.cli.book.record_types import (
    Fix,
    GroundRecord,
    OnEarth,
    PositionRecord,
    WishAnswer,
)
from standmark.cli.book.words import remedy_words, shortfall_words
from standmark.cli.exports.earth import place_on_earth
from standmark.cli.words.naming import place_words, walk_words
from standmark.cli.words.units import Units
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import AllowedArea, Match
from standmark.optimizer.standard.apply import Answer, Filled, Position, StandardPositions
from standmark.optimizer.standard.cover import Cover
from standmark.optimizer.standard.remedy import GroundChange
from standmark.optimizer.work.assignment import Spot
from standmark.optimizer.work.danger import spot_dangers

SCHEMA = "standmark.ground/1"


def ground_record(
    match: Match,
    planned: StandardPositions,
    covered: Cover,
    *,
    code: str,
    path: str,
    has_bearing: bool,
    units: Units,
) -> GroundRecord:
    """Lay out a ground and its positions.

    Parameters
    ----------
    code : the ground's code; a position's code is this, a hyphen and the role's
    path : of the ground's file inside the folder tree
    has_bearing : False: nobody said how the ground lies, so its positions are not placed on earth
    """
    venue, area = match.venue, match.sport.area
    places = earth_places(match, planned, has_bearing=has_bearing)
    shares = iter(zip(covered.alone, covered.by_moment, covered.seen, covered.faces, strict=True))
    positions = [
        _position(match, position, code, place, next(shares) if position.filled is not None else None, units)
        for position, place in zip(planned.positions, places, strict=True)
    ]
    return {
        "schema": SCHEMA,
        "code": code,
        "path": path,
        "name": venue.name,
        "sport": match.sport.key,
        "sport_name": match.sport.name,
        "preset": match.sport.preset,
        "playing_area": {"length_m": area.length_m, "width_m": area.width_m},
        "latitude": venue.latitude_deg,
        "longitude": venue.longitude_deg,
        "bearing_deg": venue.bearing_deg if has_bearing else None,
        "side_names": dict(venue.side_names),
        "main_side": planned.main_side,
        "main_side_name": venue.side_names[planned.main_side],
        "main_side_reason": planned.main_side_reason,
        "exact": planned.is_exact,
        "together": _share(covered.together),
        "seen": _share(covered.together_seen),
        "faces": _share(covered.together_faces),
        "met": sum(p["met"] for p in positions),
        "short": [p["code"] for p in positions if p["needed"] and not p["met"]],
        "positions": positions,
        "limits": limits(match),
    }


def earth_places(match: Match, positions: StandardPositions, *, has_bearing: bool) -> list[OnEarth | None]:
    """Latitude and longitude of every position, on the WGS 84 ellipsoid; None where they cannot be known."""
    venue = match.venue
    places: list[OnEarth | None] = []
    for position in positions.positions:
        if position.filled is None or venue.latitude_deg is None or not has_bearing:
            places.append(None)
            continue
        spot = position.filled.station.spot
        latitude, longitude = place_on_earth(venue, spot.x_m, spot.y_m)
        places.append({"latitude": latitude, "longitude": longitude})
    return places


def compass_deg(bearing_deg: float, turn_rad: float) -> float:
    """Compass direction of a direction on the ground, given from +x toward +y."""
    return (bearing_deg - math.degrees(turn_rad)) % 360.0


def limits(match: Match) -> dict[str, str]:
    """Say everything about a ground that decides its positions, so that two editions can be compared.

    What words do not hold, such as an outline, stands in brackets as a fingerprint.
    """
    venue, area = match.venue, match.sport.area
    said = {
        "sport": f"{match.sport.key}, {match.sport.preset}",
        "playing area": f"{area.length_m:g} x {area.width_m:g} m",
        "keep-clear areas": "respected" if venue.respect_keep_clear else "released",
        "deliverable": match.deliverable.name,
        "main side": venue.main_side or "not given",
        "place": f"latitude {venue.latitude_deg}, bearing {venue.bearing_deg:g}",
    }
    said |= {f"allowed area “{a.name}”": _area_words(a) for a in venue.allowed}
    said |= {f"forbidden area “{f.name}”": _shape_words(f.shape) for f in venue.forbidden}
    said |= {f"obstacle “{o.name}”": f"{o.base_m:g} to {o.top_m:g} m high [{_digest(str(o))}]" for o in venue.obstacles}
    said |= {
        f"furniture “{t.name}”": f"{t.base_m:g} to {t.top_m:g} m high [{_digest(str(t))}]" for t in venue.furniture
    }
    for camera in match.cameras:
        lenses = ", ".join(lens_words(lens) for lens in camera.lenses)
        reach = f"{camera.lens_height_m[0]:g} to {camera.lens_height_m[1]:g} m"
        areas = "" if camera.areas is None else f", only in {', '.join(camera.areas)}"
        said[f"camera “{camera.name}”"] = f"{camera.mode.name}, {lenses}, lens {reach} up{areas}"
    return said


def lens_words(lens: Lens) -> str:
    """Focal lengths of a lens: "70-200 mm"."""
    short, long = lens.focal_mm
    return f"{short:g} mm" if short == long else f"{short:g}-{long:g} mm"


def _position(
    match: Match,
    position: Position,
    ground_code: str,
    place: OnEarth | None,
    shares: tuple[float, dict[str, float], float, float] | None,
    units: Units,
) -> PositionRecord:
    slot, role = position.slot, position.slot.role
    nowhere: PositionRecord = {
        "code": f"{ground_code}-{slot.code}",
        "role_code": slot.code,
        "role": role.name + (f", {slot.end}" if slot.end else ""),
        "purpose": role.purpose,
        "needed": role.needed,
        "aim": {"x_m": _metres(position.view.aim_m[0]), "y_m": _metres(position.view.aim_m[1])},
        "filled": position.filled is not None,
        "met": position.filled is not None and position.filled.is_met,
        "fixes": [_remedy(match, remedy, position, units) for remedy in position.remedies],
        "shortfalls": [],
    }
    if position.filled is None or shares is None:
        missing = f"No open place within {role.max_turn_deg:g}° of its direction"
        if position.is_crowded_out:
            missing = "every place it could take is too close to another position"
        return {**nowhere, "shortfalls": [missing]}
    return _filled(nowhere, match, position, position.filled, place, shares, units)


def _filled(
    nowhere: PositionRecord,
    match: Match,
    position: Position,
    filled: Filled,
    place: OnEarth | None,
    shares: tuple[float, dict[str, float], float, float],
    units: Units,
) -> PositionRecord:
    spot, lens = filled.station.spot, filled.station.outfit.lens
    aim_x, aim_y = position.view.aim_m
    looks_rad = math.atan2(aim_y - spot.y_m, aim_x - spot.x_m)
    answers = [_answer(answer) for answer in filled.answers]
    alone, by_moment, seen, faces = shares
    return {
        **nowhere,
        "x_m": _metres(spot.x_m),
        "y_m": _metres(spot.y_m),
        "z_m": _metres(spot.z_m),
        "area": spot.area,
        "area_name": area_of(match, spot.area).name,
        "place": place_words(spot, match, units=units),
        "latitude": None if place is None else place["latitude"],
        "longitude": None if place is None else place["longitude"],
        "looks_deg": round(math.degrees(looks_rad) % 360.0, 1),
        "looks_compass_deg": None if place is None else round(compass_deg(match.venue.bearing_deg, looks_rad), 1),
        "distance_m": _metres(math.hypot(aim_x - spot.x_m, aim_y - spot.y_m)),
        "mode": filled.station.outfit.mode.name,
        "lens": lens_words(lens),
        "focal_mm": round(filled.focal_mm, 1),
        "wishes": answers,
        "shortfalls": [shortfall_words(answer, units) for answer in answers if answer["short_by"] != 0],
        "dangers": [{"name": d.name, "text": d.text, "marked": d.is_marked} for d in spot_dangers(match, spot)],
        "coverage": _share(alone),
        "seen": _share(seen),
        "faces": _share(faces),
        "by_moment": {key: _share(value) for key, value in by_moment.items()},
    }


def _answer(answer: Answer) -> WishAnswer:
    low, high = answer.wish.band
    wanted = [round(low, 4), None if math.isinf(high) else round(high, 4)]
    return {
        "wish": answer.wish.key,
        "wanted": wanted,
        "value": round(answer.value, 4),
        "short_by": round(answer.short, 6),
    }


def _remedy(match: Match, remedy: GroundChange, position: Position, units: Units) -> Fix:
    area = None if remedy.area is None else area_of(match, remedy.area)
    lens = match.cameras[0].lenses[0] if position.filled is None else position.filled.station.outfit.lens
    fix: Fix = {
        "kinds": list(remedy.kinds),
        "is_enough": remedy.is_enough,
        "area_name": None if area is None else area.name,
        "heights_m": None if area is None else list(area.lens_height_m),
        "x_m": _metres(remedy.x_m),
        "y_m": _metres(remedy.y_m),
        "z_m": _metres(remedy.z_m),
        "focal_mm": round(remedy.focal_mm, 1),
        "lens_mm": list(lens.focal_mm),
        "reach_m": list(remedy.reach_m),
        "closed_by": remedy.closed_by,
        "place": walk_words(Spot("", remedy.x_m, remedy.y_m, remedy.z_m, ""), match, units=units),
    }
    return {**fix, "words": remedy_words(fix, units)}


def area_of(match: Match, key: str) -> AllowedArea:
    """Allowed area with a key."""
    return next(area for area in match.venue.allowed if area.key == key)


def _area_words(area: AllowedArea) -> str:
    low, high = area.lens_height_m
    periods: Sequence[str] = area.periods or ()
    when = f", only {', '.join(periods)}" if periods else ""
    return f"{_shape_words(area.shape)}, lens {low:g} to {high:g} m up{when}"


def _shape_words(shape: shapely.geometry.base.BaseGeometry) -> str:
    size = f"{shape.area:.0f} m²" if shape.area else f"{shape.length:.0f} m long"
    x, y = (round(v, 1) + 0.0 for v in (shape.centroid.x, shape.centroid.y))
    return f"{size} round ({x}, {y}) [{_digest(shapely.to_wkt(shape, 3))}]"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:6]


def _metres(value: float) -> float:
    return round(float(value), 3) + 0.0


def _share(value: float) -> float:
    return round(float(value), 6)
