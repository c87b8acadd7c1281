"""`standmark new`: a commented starter match file."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import force_option, sports_dir_option


@click.command("new", short_help="Write a match file to start from, with comments.")
@sports_dir_option
@click.argument("sport", required=False)
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), required=True, help="File to write; - prints it.")
@click.option("--preset", help="A variant of the sport, such as a youth size.")
@click.option("--ask", is_flag=True, help="Ask eight questions and put the answers into the file.")
@force_option
def command(sport: str | None, out: Path, preset: str | None, ask: bool, force: bool) -> None:
    """Write a match file to start from, with comments; `plan` accepts it unchanged.

    Example: standmark new football -o match.toml
    """
    from standmark.cli.exports.starter import starter_text
    from standmark.cli.terminal.write_files import check_free, write_one
    from standmark.geometry.errors import InputError
    from standmark.sports.library import load_sport

    is_file = str(out) != "-"
    if is_file:
        check_free(out.parent, [out.name], force=force)
    if ask:
        from standmark.cli.commands.ask import asked_answers

        answers = asked_answers(sport, preset)
        text = starter_text(answers.sport, answers.wishes)
    elif sport is None:
        raise InputError("new: name a sport (standmark sports lists them), or let it ask: standmark new --ask")
    else:
        text = starter_text(load_sport(sport, preset=preset))
    if not is_file:
        click.echo(text, nl=False)
        return
    write_one(out, text.encode("utf-8"), force=force)
    click.echo(f"wrote {out}; next: edit it, then standmark plan {out} --out plan/", err=True)
