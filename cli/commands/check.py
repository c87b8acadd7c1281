"""`standmark check`: is a match file right, without planning."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import names_its_file, sports_dir_option


@click.command("check", short_help="Check a match file without planning.")
@sports_dir_option
@click.argument("match_file", metavar="MATCH.toml", type=click.Path(path_type=Path))
@names_its_file
def command(match_file: Path) -> None:
    """Check a match file without planning, and warn of what is allowed but unwise.

    Example: standmark check examples/heron-lane.toml
    """
    from standmark.cli.words.lines import counted
    from standmark.cli.words.match_warnings import is_doubtful, match_warnings
    from standmark.optimizer.choice.candidates import camera_positions, match_candidates
    from standmark.optimizer.match.read_match import read_match
    from standmark.sports.toml.file import read_toml

    match = read_match(match_file)
    candidates = match_candidates(match)
    for camera in match.cameras:
        camera_positions(match, candidates, camera)
    text = read_toml(match_file).text
    for warning in match_warnings(match, text, file=str(match_file)):
        click.echo(warning, err=True)
    area = match.sport.area
    verdict = "can be planned, but look at the warnings" if is_doubtful(match, text) else "fine"
    click.echo(
        f"{match_file}: {verdict}. {match.sport.name}, {area.length_m:g} x {area.width_m:g} m, "
        f"{counted(len(match.cameras), 'camera')}, {counted(len(match.venue.allowed), 'area')} to stand in "
        f"({counted(len(candidates.xyz_m), 'place')} to try), {counted(len(match.sport.periods), 'period')}"
    )
