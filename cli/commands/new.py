"""`standmark new`: a commented starter match file."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import force_option, sports_dir_option


@click.command("new", short_help="Write a commented starter match file.")
@sports_dir_option
@click.argument("sport")
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), required=True, help="File to write; - prints it.")
@click.option("--preset", help="A variant of the sport, such as a youth size.")
@force_option
def command(sport: str, out: Path, preset: str | None, force: bool) -> None:
    """Write a commented starter match file, which `plan` accepts unchanged.

    Example: standmark new football -o match.toml
    """
    from standmark.cli.exports.starter import starter_text
    from standmark.cli.terminal.write_files import write_one
    from standmark.sports.library import load_sport

    text = starter_text(load_sport(sport, preset=preset))
    if str(out) == "-":
        click.echo(text, nl=False)
        return
    write_one(out, text.encode("utf-8"), force=force)
    click.echo(f"wrote {out}; next: edit it, then standmark plan {out} --out plan/", err=True)
