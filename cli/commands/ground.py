"""`standmark ground`: from a map, a walk or a table of grounds to match files."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import click

from standmark.cli.commands.options import force_option, length, sports_dir_option

TABLES = (".csv", ".tsv")
MOST_SHOWN = 30  # faulty rows told one by one


@click.command("ground", short_help="Make a match file from a map, a walk or a table of grounds.")
@sports_dir_option
@click.argument("source", metavar="FILE", type=click.Path(path_type=Path))
@click.option("-o", "--out", type=click.Path(path_type=Path), required=True, help="Match file to write; or a folder.")
@click.option("--sport", help="The sport, if the map doesn't say.")
@click.option("--preset", help="A variant of the sport, such as a youth size.")
@click.option("--length", "length_m", type=length, help='Measured length: metres, or "110 yd".')
@click.option("--width", "width_m", type=length, help='Measured width: metres, or "70 yd".')
@click.option("--toward", help="Which end is +x: n, south-west, 340, or the name of something on the map.")
@click.option("--pitch", "number", type=click.IntRange(min=1), help="Which pitch, if the map has several.")
@click.option("--name", help="Name of the ground.")
@click.option("--licence", default="", help="Who owns the map, and what you may do with it.")
@click.option("--unit", type=click.Choice(["m", "ft", "yd", "in", "cm", "mm"]), help="Unit of a DXF drawing.")
@click.option("--swap", is_flag=True, help="The map has latitude before longitude.")
@force_option
def command(
    source: Path,
    out: Path,
    sport: str | None,
    preset: str | None,
    length_m: float | None,
    width_m: float | None,
    toward: str | None,
    number: int | None,
    name: str | None,
    licence: str,
    unit: str | None,
    swap: bool,
    force: bool,
) -> int:
    """Make a match file from a map, from a walk round the lines, or a folder of them from a table of grounds.

    Maps are GeoJSON, KML, KMZ, GPX, OpenStreetMap XML or DXF. Name what you draw: pitch, allowed ..., forbidden ...,
    obstacle ... 2.4m, stand ... 8m. A table (.csv) has a row for each ground and gives a file for each.

    Example: standmark ground examples/grounds/gannet-bank.geojson --length 101 --width 64 -o match.toml
    """
    if source.suffix.lower() in TABLES:
        return _from_table(source, out, sport=sport, licence=licence, force=force)

    from standmark.cli.ground.lay import traced_areas
    from standmark.cli.ground.make import GroundWish, make_ground, pitch_list
    from standmark.cli.ground.read_map import read_map
    from standmark.cli.terminal.write_files import check_free, write_all, write_one
    from standmark.geometry.errors import InputError

    wanted = GroundWish(sport, preset, length_m, width_m, toward, name, licence)
    map_file = read_map(source, swap=swap, unit=unit)
    areas = traced_areas(map_file)
    if not areas:
        raise InputError(f"{source}: no playing area; draw its outline and name it pitch (or walk round the lines)")
    is_folder = out.is_dir() or not out.suffix
    if not is_folder:
        check_free(out.parent, [out.name], force=force, inputs=[source])
    if number is not None and number > len(areas):
        raise InputError(f"{source}: --pitch {number}: the map has {len(areas)}\n{pitch_list(map_file, areas)}")
    if number is None and len(areas) > 1 and not is_folder:
        raise InputError(
            f"{source}: {len(areas)} playing areas; choose one with --pitch N, or all with a folder: -o grounds/\n"
            f"{pitch_list(map_file, areas)}"
        )
    chosen = areas if number is None else [areas[number - 1]]
    if toward is None and len(chosen) == 1 and sys.stdin.isatty() and sys.stderr.isatty():
        answer = click.prompt(
            "Which end is +x (n, south-west, 340 or a name; empty: the northern one)", default="", err=True
        )
        wanted = replace(wanted, toward=answer.strip() or None)
    contents: dict[str, bytes] = {}
    for index, traced in enumerate(chosen, start=1):
        made = make_ground(map_file, traced, wanted, fallback=source.stem, index=index if len(chosen) > 1 else None)
        contents[_free_name(made.stem, contents)] = made.text.encode("utf-8")
        click.echo("\n".join(made.lines))
    if is_folder:
        written = write_all(out, contents, force=force)
    else:
        written = [write_one(out, next(iter(contents.values())), force=force)]
    names = ", ".join(map(str, written))
    click.echo(f"wrote {names}; next: look through it, then standmark check {written[0]}", err=True)
    return 0


def _from_table(source: Path, out: Path, *, sport: str | None, licence: str, force: bool) -> int:
    """Write a match file for every sound row of a table, and say which rows are not."""
    from standmark.cli.ground.table import FaultyRow, GroundRow, table_grounds
    from standmark.cli.main import Exit
    from standmark.cli.terminal.write_files import write_all
    from standmark.geometry.errors import InputError, printable

    if out.suffix == ".toml" or out.is_file():
        raise InputError(f"{out}: a table gives a file for each ground; name a folder: -o grounds/")
    made = list(table_grounds(source, sport=sport, licence=" ".join(licence.split())))
    faulty = [row for row in made if isinstance(row, FaultyRow)]
    grounds = {f"{row.stem}.toml": row.text.encode("utf-8") for row in made if isinstance(row, GroundRow)}
    for row in faulty[:MOST_SHOWN]:
        click.echo(printable(row.reason), err=True)
    if len(faulty) > MOST_SHOWN:
        click.echo(f"and {len(faulty) - MOST_SHOWN} more rows", err=True)
    if not grounds:
        raise InputError(f"{source}: no row can be used" if faulty else f"{source}: no rows below the first")
    write_all(out, grounds, force=force)
    passed = f", {len(faulty)} row{'s' if len(faulty) > 1 else ''} passed over" if faulty else ""
    click.echo(f"{len(grounds)} ground{'s' if len(grounds) > 1 else ''}{passed}")
    click.echo(f"wrote {out}; next: standmark book {out} --out book/", err=True)
    return Exit.SOME_FAILED if faulty else Exit.DONE


def _free_name(stem: str, taken: dict[str, bytes]) -> str:
    name, count = f"{stem}.toml", 2
    while name in taken:
        name, count = f"{stem}-{count}.toml", count + 1
    return name
