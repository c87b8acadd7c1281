"""`standmark zones`: a league's own events as the hot zones of a sport."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import Number, force_option, sports_dir_option


@click.command("zones", short_help="Turn a league's own events into the hot zones of a sport.")
@click.argument("events_file", metavar="EVENTS.csv", type=click.Path(path_type=Path))
@click.option("--sport", required=True, help="The sport, or a definition file, whose zones are replaced.")
@click.option("--preset", help="A variant of the sport, such as a youth size.")
@click.option(
    "--length",
    "length_m",
    type=Number(min=0),
    help="Length of the ground in the events, metres; if left out, the usual one.",
)
@click.option(
    "--width",
    "width_m",
    type=Number(min=0),
    help="Width of the ground in the events, metres; if left out, the usual one.",
)
@click.option("--moment", help="The key moment of all rows, if the file has no column moment.")
@click.option(
    "--most", type=click.IntRange(1, 40), default=16, show_default=True, help="At most this many zones for one moment."
)
@click.option("--rates", is_flag=True, help="Also count how often each moment happens (needs the column match_id).")
@click.option(
    "--flow", is_flag=True, help="Also count how play moves, for cameras that walk (needs match_id, time_s and side)."
)
@click.option(
    "--flow-zones",
    type=click.IntRange(2, 40),
    default=10,
    show_default=True,
    help="With --flow: zones along the length.",
)
@click.option(
    "--play",
    "play_s",
    type=Number(0.0, 600.0),
    default=8.0,
    show_default=True,
    help="With --flow: seconds that a play lasts; you can walk in the time until the next one.",
)
@click.option("--title", default="own event data", show_default=True, help="Name of the events, given as the source.")
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), required=True, help="Definition file to write.")
@click.option(
    "--picture", type=click.Path(path_type=Path), help="PNG file to write: the events with the old and the new zones."
)
@sports_dir_option
@force_option
def command(
    events_file: Path,
    sport: str,
    preset: str | None,
    length_m: float | None,
    width_m: float | None,
    moment: str | None,
    most: int,
    rates: bool,
    flow: bool,
    flow_zones: int,
    play_s: float,
    title: str,
    out: Path,
    picture: Path | None,
    force: bool,
) -> None:
    """Turn a league's own events into the hot zones of a sport: where each key moment happens.

    Name the file that it writes in a match file: sport_file under [match].

    Example: standmark zones season.csv --sport football -o my-football.toml
    """
    from standmark.cli.terminal.write_files import check_free, write_one

    for path in (out, picture):
        if path is not None:
            check_free(path.parent, [path.name], force=force, inputs=[events_file, Path(sport)])

    if picture is not None and picture.resolve() == out.resolve():
        raise click.UsageError("--picture: is the file of --out; give another name")

    import numpy as np

    from standmark.cli.exports.flow_text import flow_text
    from standmark.cli.exports.zone_file import check_has_no_flow, read_definition, with_new_zones
    from standmark.cli.input.timed_events import read_timed_events
    from standmark.cli.input.zone_events import count_events, new_moments, zone_estimates
    from standmark.cli.words.zone_words import estimates_text, flow_words
    from standmark.optimizer.scoring.flow_counts import count_flow
    from standmark.sports.library import load_sport
    from standmark.sports.reading.words import clean_text

    try:
        title = clean_text(title)
    except ValueError as error:
        raise click.UsageError(f"--title {error}") from error
    definition = read_definition(sport)
    base = load_sport(sport, preset=preset, length_m=length_m, width_m=width_m)
    low_x, _, high_x, _ = base.area.outline.bounds
    if flow and abs(low_x + high_x) > 0.01:
        raise click.UsageError(f"--flow: {base.name} has no two ends; leave it out")
    plays = None
    if flow:
        check_has_no_flow(definition)
        plays = count_flow(read_timed_events(events_file), np.linspace(low_x, high_x, flow_zones + 1), play_s=play_s)
    counts = count_events(events_file, base, moment=moment)
    estimates = zone_estimates(counts, most=most)
    moments = new_moments(counts, estimates, with_rates=rates)
    text = with_new_zones(
        definition,
        moments,
        base.area,
        title=title,
        name=str(out),
        flow=None if plays is None else lambda source: flow_text(plays, source=source, play_s=play_s),
    )
    write_one(out, text.encode("utf-8"), force=force)
    if picture is not None:
        from standmark.cli.drawing.paint import png_bytes
        from standmark.cli.drawing.zones import zones_picture

        write_one(picture, png_bytes(zones_picture(base, counts, estimates)), force=force)
    click.echo(estimates_text(base, counts, estimates), nl=False)
    if plays is not None:
        click.echo(flow_words(plays))
    click.echo(f'wrote {out}; next: sport_file = "{out.name}" under [match] of a match file beside it', err=True)
