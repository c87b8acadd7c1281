"""`standmark sports`: the sports that are known."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

from standmark.cli.commands.options import force_option, sports_dir_option


@click.command("sports", short_help="List the sports that standmark knows.")
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
@sports_dir_option
@click.option("--sheet", type=click.Path(path_type=Path, dir_okay=False), help="Draw all playing areas on one PNG.")
@force_option
def command(as_json: bool, sheet: Path | None, force: bool) -> None:
    """List the sports that standmark knows.

    Example: standmark sports --json
    """
    from standmark.sports.library import load_sport, sport_heads

    heads = sport_heads()
    if sheet is not None:
        from standmark.cli.drawing.paint import png_bytes
        from standmark.cli.drawing.sport_picture import contact_sheet
        from standmark.cli.terminal.write_files import check_free, write_one

        check_free(sheet.parent, [sheet.name], force=force)
        sports = [load_sport(head.key) for head in sorted(heads, key=lambda h: h.name)]
        click.echo(f"wrote {write_one(sheet, png_bytes(contact_sheet(sports), dpi=110), force=force)}", err=True)
    elif as_json:
        click.echo(json.dumps([asdict(head) for head in heads], indent=2, allow_nan=False, ensure_ascii=False))
    else:
        widest = max(len(head.key) for head in heads)
        for head in heads:
            click.echo(f"{head.key:{widest}}  {head.name}: {', '.join(head.presets)}")
