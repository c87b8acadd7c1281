"""`standmark spot`: where a photograph was taken from, and which way it looked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import Number, length, load_match, sports_dir_option, units_option
from standmark.geometry.errors import InputError

if TYPE_CHECKING:
    from standmark.geometry.fit.pose import Pose
    from standmark.optimizer.match.match import Match


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
    from standmark.cli.words.units import Units
    from standmark.geometry.fit.pose import pose_from_marks

    sizes = {"length_m": length_m, "width_m": width_m}
    match = _match(match_file, sport, preset, sizes)
    known = landmarks(match.sport.area, match.venue.side_names)
    if wants_list:
        for name, (x, y, z) in known.items():
            click.echo(f"{name.ljust(56)} x {x:8.2f}  y {y:8.2f}  z {z:5.2f}")
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
    for line in _lines(pose, match, names, focal_from, Units(units)):
        click.echo(line)
    if plan_path is not None:
        for line in _plan_lines(pose, plan_path):
            click.echo(line)


def _match(match_file: Path | None, sport: str | None, preset: str | None, sizes: dict[str, float | None]) -> Match:
    if match_file is not None and any(value is not None for value in sizes.values()):
        raise InputError("--length and --width go with --sport; the match file says them itself")
    stated = {**sizes, "lens": (), "refuse": (), "start": None, "timezone": None, "indoor": False, "stand_m": None}
    return load_match(match_file, sport=sport, preset=preset, cameras=None, said=None if match_file else stated)


def _lines(pose: Pose, match: Match, names: list[str], focal_from: str, units: object) -> list[str]:
    """What was found, plainest first."""
    import numpy as np

    from standmark.cli.exports.earth import has_place, place_on_earth
    from standmark.cli.ground.doubts import doubtful_mark, is_guess
    from standmark.cli.words.naming import walk_words
    from standmark.cli.words.units import Units
    from standmark.optimizer.work.assignment import Spot

    assert isinstance(units, Units)
    x, y, z = pose.view.xyz_m
    se_x, se_y, se_z = pose.xyz_se_m
    lines = [
        f"Taken from {walk_words(Spot('', x, y, z, ''), match, units=units)}",
        f"  x {x:.1f} m (+/- {se_x:.1f}), y {y:.1f} m (+/- {se_y:.1f}), lens {z:.1f} m up (+/- {se_z:.1f})",
    ]
    if has_place(match.venue):
        latitude, longitude = place_on_earth(match.venue, x, y)
        lines.append(f"  latitude {latitude:.6f}, longitude {longitude:.6f}")
    lines += [
        f"  pointed {pose.view.pan_deg:.1f} degrees from +x toward +y (+/- {pose.pan_se_deg:.1f}), "
        f"{abs(pose.view.tilt_deg):.1f} {'up' if pose.view.tilt_deg > 0 else 'down'} (+/- {pose.tilt_se_deg:.1f}), "
        f"tilted sideways {pose.view.roll_deg:.1f}",
        f"  focal length as on a full frame {pose.equivalent_mm:.0f} mm "
        f"(+/- {pose.equivalent_mm * pose.focal_se_share:.0f}, {focal_from})",
        f"  {len(names)} marks, off by {np.median(pose.miss_px):.0f} pixels typically, "
        f"{pose.miss_px.max():.0f} at worst",
        f"  in a match file: at_m = [{x:.1f}, {y:.1f}, {z:.1f}]",
    ]
    if (doubtful := doubtful_mark(pose, names)) is not None:
        lines.append(f'  warning: "{doubtful}" lies {pose.miss_px.max():.0f} pixels off; is it that mark?')
    if is_guess(pose):
        lines.append("  warning: this is no better than a guess; mark more points, some nearer and some further away")
    return lines


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
        f"  {flat:.1f} m from the planned spot of camera {name} ({period}), lens {abs(up):.1f} m "
        f"{'higher' if up > 0 else 'lower'}"
        for flat, up, name, period in away[:4]
    ]
