"""`standmark rules`: what competitions ask of those who film."""

from __future__ import annotations

import click


@click.command("rules", short_help="List what competitions ask of people who film.")
@click.argument("key", required=False)
@click.option("--sport", help="List only the rules for this sport.")
def command(key: str | None, sport: str | None) -> None:
    """List the competition rules that standmark knows, or say what one of them asks for.

    Name one in a match file: rules = "KEY" under [match]. docs/rules-file.md says how to write your own.

    Example: standmark rules basketball-fiba-2023
    """
    from standmark.cli.words.lines import wrapped
    from standmark.cli.words.rules_words import profile_sentences
    from standmark.geometry.errors import InputError
    from standmark.sports.competition import OWN_WORD, load_profile, profile_keys, profile_table
    from standmark.sports.library import load_sport

    if key is None:
        keys = profile_keys(sport)
        if not keys:
            raise InputError(f'no rules are known for "{sport}"; standmark sports lists the sports')
        wide = max(map(len, keys))
        for each in keys:
            for line in wrapped(profile_table(each).name, 80, first=f"{each:{wide}}  ", rest=" " * (wide + 2)):
                click.echo(line)
        click.echo(OWN_WORD)
        return
    table = profile_table(key)
    profile = load_profile(key, load_sport(sport or table.sports[0]))
    click.echo(f"{profile.name} ({profile.level})")
    for sentence in profile_sentences(profile):
        click.echo("\n".join(wrapped(sentence, 80, first="- ", rest="  ")))
    click.echo("\n".join(wrapped(f"Source: {profile.source}, {profile.year}; read {profile.read}.", 80)))
    click.echo(OWN_WORD)
