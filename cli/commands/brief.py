"""`standmark brief`: what someone new to a sport needs to know before filming it."""

from __future__ import annotations

from pathlib import Path
from shutil import get_terminal_size

import click

from standmark.cli.commands.options import force_option, sports_dir_option

WIDEST = 96  # characters; longer lines are hard to read


@click.command("brief", short_help="Say what someone new to a sport needs to know before filming it.")
@click.argument("sport", metavar="SPORT")
@click.option("--preset", help="A variant of the sport, such as a youth size.")
@click.option("--html", type=click.Path(path_type=Path, dir_okay=False), help="Write a page for a browser.")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), help="Write A4 pages.")
@sports_dir_option
@force_option
def command(sport: str, preset: str | None, html: Path | None, pdf: Path | None, force: bool) -> None:
    """Say what someone new to SPORT needs to know before filming it.

    SPORT is a key from `standmark sports`, or a definition file of your own.

    Example: standmark brief netball --pdf netball.pdf
    """
    from standmark.cli.terminal.write_files import check_free, write_one
    from standmark.sports.library import load_sport

    subject = load_sport(sport, preset=preset)
    for path in (html, pdf):
        if path is not None:
            check_free(path.parent, [path.name], force=force, inputs=[Path(sport)])
    if html is not None and pdf is not None and html.resolve() == pdf.resolve():
        raise click.UsageError("--html and --pdf: one file cannot be both; give two names")
    if html is not None:
        from standmark.cli.drawing.brief_page import sport_picture
        from standmark.cli.sheet.brief_html import brief_html

        click.echo(f"wrote {write_one(html, brief_html(subject, sport_picture(subject)), force=force)}", err=True)
    if pdf is not None:
        from standmark.cli.drawing.brief_page import brief_pages
        from standmark.cli.drawing.pdf import pdf_bytes

        pages = pdf_bytes(brief_pages(subject), title=f"Brief: {subject.name}")
        click.echo(f"wrote {write_one(pdf, pages, force=force)}", err=True)
    if html is None and pdf is None:
        from standmark.cli.words.brief_text import brief_text

        for is_heading, line in brief_text(subject, width=min(WIDEST, get_terminal_size().columns)):
            click.echo(click.style(line, bold=True) if is_heading else line)
