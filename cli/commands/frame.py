"""`standmark frame`: what a lens sees from a spot, drawn and in numbers."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import force_option, load_match, match_source, units_option
from standmark.geometry.errors import InputError

if TYPE_CHECKING:
    from standmark.cli.drawing.marks import Picture
    from standmark.geometry.optics.camera import Lens
    from standmark.optimizer.match.match import Camera, Match
    from standmark.sports.sport import KeyMoment

LENS_HEIGHT_M = 1.6
NEAREST_M = 0.5  # no lens is looked through at what is nearer than this
FARTHEST_M, MOST_HEIGHT_M, MOST_FOCAL_MM = 1000.0, 200.0, 3000.0
PICTURES = (".png", ".svg", ".pdf")


@click.command("frame", short_help="Draw what a lens sees from a spot.")
@match_source
@click.option(
    "--at",
    "at",
    required=True,
    metavar="X,Y[,Z]",
    help="Where the lens is, in metres from the middle of the pitch; Z is 1.6 if left out.",
)
@click.option(
    "--lens",
    "lens_words",
    required=True,
    metavar="70-200[@mm]",
    help="Lens; the focal length in use, or the one after @.",
)
@click.option("--look", "look", required=True, metavar="X,Y", help="Place on the ground to look at.")
@click.option("--moment", help="Key moment to frame there; if left out, the one that happens there most.")
@click.option(
    "--camera", "camera_name", help="Camera of the match file whose mode and role to use; if left out, the first."
)
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), help="Picture to write: .png, .svg or .pdf.")
@units_option
@force_option
def command(
    match_file: Path | None,
    sport: str | None,
    preset: str | None,
    cameras: int | None,
    at: str,
    lens_words: str,
    look: str,
    moment: str | None,
    camera_name: str | None,
    out: Path | None,
    units: str,
    force: bool,
) -> None:
    """Draw what a lens sees from a spot, with sizes and distances.

    Example: standmark frame --sport football --at 57.5,12 --lens 70-200 --look 46,0 --out frame.png
    """
    from standmark.cli.terminal.write_files import check_free, write_one
    from standmark.cli.words.lines import terminal_width, wrapped
    from standmark.cli.words.units import Units
    from standmark.geometry.optics.camera import delivery_crop
    from standmark.optimizer.match.presets import lens_label

    if out is not None:
        _check_suffix(out)
        check_free(out.parent, [out.name], force=force, inputs=[] if match_file is None else [match_file])
    match = load_match(match_file, sport=sport, preset=preset, cameras=cameras)
    lens, focal_mm = _read_lens(lens_words)
    look_m = _numbers(look, "--look", (2,))
    lens_m = (*_numbers(at, "--at", (2, 3)), LENS_HEIGHT_M)[:3]
    if math.hypot(look_m[0] - lens_m[0], look_m[1] - lens_m[1]) < NEAREST_M:
        raise InputError(f"--look: that is where the camera stands; give a place at least {NEAREST_M:g} m from --at")

    from standmark.cli.drawing.frame import frame_lines, frame_picture
    from standmark.cli.drawing.scene import match_scene
    from standmark.optimizer.match.role import role_wish
    from standmark.optimizer.picture.frame import likeliest_moment, take_frame
    from standmark.optimizer.picture.people import people_at
    from standmark.optimizer.value.outfit import working_mode

    at_m, camera = (look_m[0], look_m[1]), _camera(match, camera_name)
    frame = take_frame(
        (lens_m[0], lens_m[1], lens_m[2]),
        at_m,
        moment=likeliest_moment(match, at_m) if moment is None else _moment(match, moment),
        lens=lens,
        mode=delivery_crop(working_mode(match, camera), aspect=match.deliverable.aspect),
        deliverable=role_wish(match, camera),
        focal_mm=focal_mm,
    )
    for line in frame_lines(frame, Units(units)):
        for row in wrapped(line, terminal_width()):
            click.echo(row)
    if out is not None:
        title = f"{match.title}: {lens_label(lens)} from {lens_m[0]:g}, {lens_m[1]:g}, {lens_m[2]:g} m"
        people = people_at(match.sport, frame.moment, at_m, lens_m=(lens_m[0], lens_m[1]))
        picture = frame_picture(frame, match_scene(match), people, title=title, units=Units(units))
        write_one(out, _bytes(picture, out.suffix), force=force)
        click.echo(f"wrote {out}", err=True)


def _numbers(words: str, option: str, counts: tuple[int, ...]) -> tuple[float, ...]:
    form = "X,Y" if counts == (2,) else "X,Y or X,Y,Z"
    try:
        values = tuple(float(part) for part in words.split(","))
    except ValueError:
        values = ()
    if len(values) not in counts or not all(abs(v) <= FARTHEST_M for v in values):  # NaN fails too
        raise InputError(f'{option}: wrong place (got "{words}"); write {form} in metres, each at most {FARTHEST_M:g}')
    if len(values) == 3 and not 0 <= values[2] <= MOST_HEIGHT_M:
        raise InputError(
            f"{option}: lens height is out of range (got {values[2]:g}); allowed: 0 to {MOST_HEIGHT_M:g} m"
        )
    return values


def _read_lens(words: str) -> tuple[Lens, float | None]:
    """Read "70-200", "70-200/2.8" or "70-200@135"."""
    from standmark.optimizer.match.presets import lens_from_words

    name, _, at_mm = words.partition("@")
    lens = lens_from_words(name)
    if lens is None or not 0 < lens.focal_mm[0] <= lens.focal_mm[1] <= MOST_FOCAL_MM:
        raise InputError(f'--lens: not a lens (got "{words}"); write "70-200", "300" or "70-200@135" to fix the length')
    if not at_mm:
        return lens, None
    try:
        focal_mm = float(at_mm.removesuffix("mm"))
    except ValueError:
        focal_mm = float("nan")
    low, high = lens.focal_mm
    if not low <= focal_mm <= high:
        raise InputError(
            f'--lens: that lens does not have this focal length (got "{at_mm}"); allowed: {low:g} to {high:g} mm'
        )
    return lens, focal_mm


def _moment(match: Match, key: str) -> KeyMoment:
    from standmark.sports.toml.file import did_you_mean

    known = {m.key: m for m in match.sport.moments}
    if key not in known:
        hint = did_you_mean(key, list(known))
        raise InputError(f'--moment: no such key moment (got "{key}"); allowed: {", ".join(known)}{hint}')
    return known[key]


def _camera(match: Match, name: str | None) -> Camera:
    known = {c.name: c for c in match.cameras}
    if name is not None and name not in known:
        raise InputError(f'--camera: no such camera (got "{name}"); allowed: {", ".join(known)}')
    return match.cameras[0] if name is None else known[name]


def _check_suffix(out: Path) -> None:
    if out.suffix not in PICTURES:
        raise InputError(f'--out: unknown kind of picture (got "{out.name}"); allowed: {", ".join(PICTURES)}')


def _bytes(picture: Picture, suffix: str) -> bytes:
    from standmark.cli.drawing.paint import png_bytes
    from standmark.cli.drawing.pdf import pdf_bytes
    from standmark.cli.drawing.svg import svg_document

    if suffix == ".svg":
        return svg_document(picture)
    return png_bytes(picture) if suffix == ".png" else pdf_bytes([picture], title=picture.title)
