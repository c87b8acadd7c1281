"""`standmark spot`: where a photograph was taken from, and which way it looked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import Number, length, load_match, sports_dir_option, units_option
from standmark.geometry.errors import InputError

if TYPE_CHECKING:
    from standmark.cli.words.units import Units
    from standmark.geometry.fit.pose import Pose
    from standmark.optimizer.match.match import Match

SIDES = {"+x": (1, 0), "-x": (-1, 0), "+y": (0, 1), "-y": (0, -1)}


@click.command("spot", short_help="Find where a photograph was taken from.")
@sports_dir_option
@click.argument("photo", required=False, type=click.Path(path_type=Path))
@click.option("--marks", type=click.Path(path_type=Path), help="CSV: name of a mark, pixels from the left and top.")
@click.option("--match", "match_file", type=click.Path(path_type=Path), help="Match file of the ground.")
@click.option("--sport", help="Without a match file: the sport whose lines are marked.")
@click.option("--preset", help="A variant of the sport.")
@click.option("--length", "length_m", type=length, help="With --sport: length of the playing area.")
@click.option("--width", "width_m", type=length, help="With --sport: width of the playing area.")
@click.option(
    "--focal",
    "focal_mm",
    type=Number(4, 3000),
    help="Focal length as on a full frame; if left out, from the file.",
)
@click.option("--cropped", is_flag=True, help="The picture was cropped or zoomed: don't use the file's focal length.")
@click.option(
    "--plan", "plan_path", type=click.Path(path_type=Path), help="A plan.json: say how far this is from its spots."
)
@click.option("--list", "wants_list", is_flag=True, help="List the marks of the sport.")
@units_option
def command(
    photo: Path | None,
    marks: Path | None,
    match_file: Path | None,
    sport: str | None,
    preset: str | None,
    length_m: float | None,
    width_m: float | None,
    focal_mm: float | None,
    cropped: bool,
    plan_path: Path | None,
    wants_list: bool,
    units: str,
) -> None:
    """Find where a photograph was taken from and which way it looked, from lines and posts that you mark in it.

    You need six marks, or four if the focal length is known. Before the match it measures a seat in a stand; after
    it, where somebody stood.

    Example: standmark spot seat.jpg --marks seat.csv --match match.toml
    """
    from standmark.cli.ground.landmarks import landmarks
    from standmark.cli.ground.marks_file import read_marks
    from standmark.cli.ground.photo import read_photo
    from standmark.cli.words.lines import terminal_width, wrapped
    from standmark.cli.words.units import Units
    from standmark.geometry.fit.pose import pose_from_marks

    sizes = {"length_m": length_m, "width_m": width_m}
    match = _match(match_file, sport, preset, sizes)
    known = landmarks(match.sport.area, match.venue.side_names)
    if wants_list:
        for name in known:
            click.echo(name)
        return
    if photo is None or marks is None:
        raise InputError("spot: give a photograph and --marks FILE.csv (standmark spot --list --sport NAME names them)")
    picture = read_photo(photo)
    names, xyz_m, uv_px = read_marks(marks, known, match.venue.side_names, picture.size_px)
    equivalent = focal_mm if focal_mm is not None else None if cropped else picture.equivalent_mm
    try:
        pose = pose_from_marks(xyz_m, uv_px, size_px=picture.size_px, equivalent_mm=equivalent)
    except InputError as error:
        raise InputError(f"{marks}: {error}") from None
    focal_from = "given" if focal_mm is not None else "from the file" if equivalent else "found from the marks"
    first, *more = _lines(pose, match, names, focal_from, Units(units))
    for line in wrapped(first, terminal_width(), rest="  "):
        click.echo(line)
    more += [] if plan_path is None else _plan_lines(pose, plan_path)
    for line in more:
        for part in wrapped(line, terminal_width(), first="  ", rest="    "):
            click.echo(part)
    x, y, z = pose.view.xyz_m
    click.echo(f"  To put a camera there, paste under its [[camera]]: at_m = [{x:.1f}, {y:.1f}, {z:.1f}]")


def _match(match_file: Path | None, sport: str | None, preset: str | None, sizes: dict[str, float | None]) -> Match:
    if match_file is not None and any(value is not None for value in sizes.values()):
        raise InputError("--length and --width go with --sport; the match file says them itself")
    stated = {**sizes, "lens": (), "refuse": (), "start": None, "timezone": None, "indoor": False, "stand_m": None}
    return load_match(match_file, sport=sport, preset=preset, cameras=None, said=None if match_file else stated)


def _lines(pose: Pose, match: Match, names: list[str], focal_from: str, units: Units) -> list[str]:
    """What was found, plainest first."""
    import math

    import numpy as np

    from standmark.cli.exports.earth import has_place, place_on_earth
    from standmark.cli.ground.doubts import doubtful_mark, is_guess
    from standmark.cli.words.units import distance_words, height_words, native_units
    from standmark.cli.words.where.place import where
    from standmark.optimizer.work.assignment import Spot

    x, y, z = pose.view.xyz_m
    off_m, lens_off_m = math.hypot(*pose.xyz_se_m[:2]), round(pose.xyz_se_m[2], 1)
    place, said_in = where(Spot("", x, y, z, ""), match, units=units, in_paces=True), native_units(match.sport, units)
    lines = [
        f"Taken {place.at}{f': {place.detail}' if place.detail else ''}, lens {height_words(z, units)} up.",
        f"Good to about {distance_words(off_m, said_in)} on the ground, {height_words(lens_off_m, units)} in height.",
        f"{_aim_words(pose, match, units)}.",
        f"Focal length as on a full frame: {pose.equivalent_mm:.0f} mm "
        f"(+/- {pose.equivalent_mm * pose.focal_se_share:.0f}, {focal_from}).",
        f"{len(names)} marks, off by {np.median(pose.miss_px):.0f} pixels typically, "
        f"{pose.miss_px.max():.0f} at worst.",
    ]
    if has_place(match.venue):
        latitude, longitude = place_on_earth(match.venue, x, y)
        lines.append(f"On a map: {latitude:.6f}, {longitude:.6f}")
    if (doubtful := doubtful_mark(pose, names)) is not None:
        lines.append(f'warning: "{doubtful}" lies {pose.miss_px.max():.0f} pixels off; is it that mark?')
    if is_guess(pose):
        lines.append("warning: this is no better than a guess; mark more points, some nearer and some further away")
    return lines


def _aim_words(pose: Pose, match: Match, units: Units) -> str:
    """Say where the middle of the picture is: a place on the ground nearby, else the side that it looks to."""
    import math

    from standmark.cli.words.units import distance_words, native_units
    from standmark.cli.words.where.place import where
    from standmark.optimizer.work.assignment import Spot

    x, y, z = pose.view.xyz_m
    pan, tilt = math.radians(pose.view.pan_deg), math.radians(pose.view.tilt_deg)
    turned = f"{abs(pose.view.tilt_deg):.0f} degrees {'up' if tilt > 0 else 'down'}"
    away_m = z / math.tan(-tilt) if tilt < 0 and z > 0 else math.inf
    if away_m < 2 * match.sport.area.length_m:
        there = where(Spot("", x + away_m * math.cos(pan), y + away_m * math.sin(pan), 0.0, ""), match, units=units)
        far = distance_words(away_m, native_units(match.sport, units))
        return f"Middle of the picture: {there.words}; {far} away, {turned}"
    key = max(SIDES, key=lambda side: SIDES[side][0] * math.cos(pan) + SIDES[side][1] * math.sin(pan))
    return f"Middle of the picture: over the {match.venue.side_names[key]}, {turned}"


def _plan_lines(pose: Pose, plan_path: Path) -> list[str]:
    """How far the spot lies from each planned one, nearest first."""
    import math

    from standmark.cli.input.plan_file import read_plan

    spots = {
        (camera.name, camera.position.x_m, camera.position.y_m, camera.position.z_m): period.name
        for period in read_plan(plan_path).periods
        for camera in period.cameras
    }
    away = sorted(
        (math.hypot(x - pose.view.xyz_m[0], y - pose.view.xyz_m[1]), pose.view.xyz_m[2] - z, name, period)
        for (name, x, y, z), period in spots.items()
    )
    return [
        f"{flat:.1f} m from where camera {name} was planned ({period.lower()}), lens {abs(up):.1f} m "
        f"{'higher' if up > 0 else 'lower'}."
        for flat, up, name, period in away[:4]
    ]
