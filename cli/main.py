"""The command line: knows which commands there are, loads one only when it is called, turns errors into exit codes."""

from __future__ import annotations

import importlib
import os
import re
import sys
from enum import IntEnum

import click

from standmark.cli.terminal import interrupt
from standmark.cli.terminal.loading import uncollected
from standmark.geometry.errors import InputError, NoPlanError, OutputError, StandmarkError


class Exit(IntEnum):
    """Exit codes, documented in docs/match-file.md and stable."""

    DONE = 0
    OUR_BUG = 1
    WRONG_INPUT = 2
    NO_PLAN = 3
    SOME_FAILED = 6
    INTERRUPTED = interrupt.INTERRUPTED
    TERMINATED = interrupt.TERMINATED


# name -> one line for `standmark --help`; the module is standmark.cli.commands.NAME
COMMANDS = {
    "open": "Plan a match on a page in your browser.",
    "plan": "Find where to stand and with which lens.",
    "settings": "Say how to set each camera.",
    "day": "List call times, kit, cautions and checks for the day.",
    "tournament": "Say who films which match of a tournament.",
    "frame": "Draw what a lens sees from a spot.",
    "book": "Make a position book for all grounds of a league.",
    "score": "Compare your own positions, or a plan, with the best and with habit.",
    "compare": "Say how two plans differ, and where each is better.",
    "log": "Compare what you filmed with what the plan promised.",
    "learn": "Learn from your logs how you film.",
    "zones": "Turn a league's own events into the hot zones of a sport.",
    "ground": "Make a match file from a map, a walk or a table of grounds.",
    "spot": "Find where a photograph was taken from.",
    "check": "Check a match file without planning.",
    "new": "Write a match file to start from, with comments.",
    "rules": "List what competitions ask of people who film.",
    "sports": "List the sports that standmark knows.",
    "brief": "Say what someone new to a sport needs to know before filming it.",
}


class LazyCommands(click.Group):
    """A group that imports a command's module only when that command runs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the job."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command."""
        if cmd_name not in COMMANDS:
            return None
        with uncollected():
            module = importlib.import_module(f"standmark.cli.commands.{cmd_name.replace('-', '_')}")
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Name the nearest commands when one is unknown."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, n=2, cutoff=0.5)
            hint = f"; did you mean {' or '.join(near)}?" if near else f"; commands: {', '.join(COMMANDS)}"
            raise click.UsageError(f'no command "{args[0]}"{hint}', ctx=ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _print_version(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
    if value:
        names = ["standmark", "numpy", "scipy", "shapely", "matplotlib", "click"]
        click.echo(", ".join(f"{name} {_version(name)}" for name in names) + f", Python {sys.version.split()[0]}")
        ctx.exit()


def _version(name: str) -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version(name)
    except PackageNotFoundError:
        return "(not installed, run from its folder)"


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_print_version, help="Print versions."
)
@click.option("--debug", is_flag=True, help="Show the traceback of an error.")
@click.pass_context
def standmark(ctx: click.Context, debug: bool) -> None:
    """Find where to stand to film a sport, with which lens, and why.

    Example: standmark plan --sport football --out plan/
    """
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        ctx.color = False


def main(args: list[str] | None = None) -> None:
    """Run the command line and leave with one of the documented exit codes."""
    argv = sys.argv[1:] if args is None else args
    try:
        if "" in argv:
            raise click.UsageError('an empty word "" was typed; leave it out, or fill it in')
        code = standmark.main(args=argv, prog_name="standmark", standalone_mode=False)
        _flush()
        sys.exit(code if isinstance(code, int) else Exit.DONE)
    except click.exceptions.Abort as error:
        is_terminated = isinstance(error.__cause__, interrupt.TerminatedError)
        _fail("stopped", Exit.TERMINATED if is_terminated else Exit.INTERRUPTED)
    except click.UsageError as error:
        _fail(_usage_words(error), Exit.WRONG_INPUT)
    except click.ClickException as error:
        _fail(error.format_message(), Exit.WRONG_INPUT)
    except StandmarkError as error:
        if "--debug" in argv:
            raise
        _fail(str(error), _exit_code(error))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(Exit.DONE)
    except OSError as error:
        if "--debug" in argv:
            raise
        _fail(f"{error.filename or 'output'}: cannot be read or written ({error.strerror})", Exit.WRONG_INPUT)
    except MemoryError:
        if "--debug" in argv:
            raise
        _fail("not enough memory; close other programs, or plan with fewer cameras, lenses or places", Exit.WRONG_INPUT)
    except Exception as error:
        if "--debug" in argv:
            raise
        _fail(
            f"this is a bug in standmark ({type(error).__name__}: {error}); standmark --debug shows more", Exit.OUR_BUG
        )


PLAINER = (
    (re.compile(r"^Missing option '(?:-\w' / ')?(--[\w-]+)'.*$"), r"\1 is missing"),
    (re.compile(r"^Invalid value for '(?:-\w' / ')?(--[\w-]+)': "), r"\1: "),
    (re.compile(r"is not in the range ([\d.]+)<=x<=([\d.]+)"), r"is not between \1 and \2"),
    (re.compile(r"is not in the range x>=([\d.]+)"), r"is less than \1"),
)  # what the library for commands says, as people would


def _usage_words(error: click.UsageError) -> str:
    """One line for a command that was typed wrongly: which, what, and where all options stand."""
    path = "standmark" if error.ctx is None else error.ctx.command_path
    message = error.format_message().rstrip(".")
    for found, plain in PLAINER:
        message = found.sub(plain, message)
    then = "See" if message.endswith("?") else "see"
    told = f"{message}{'' if then == 'See' else ';'} {then} {path} --help"
    return f"{path.removeprefix('standmark').strip()}: {told}".removeprefix(": ")


def _exit_code(error: StandmarkError) -> Exit:
    if isinstance(error, NoPlanError):
        return Exit.NO_PLAN
    return Exit.WRONG_INPUT if isinstance(error, InputError | OutputError) else Exit.OUR_BUG


def _flush() -> None:
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        raise OutputError(f"standard output: cannot be written ({error.strerror})") from error


def _fail(message: str, code: Exit) -> None:
    click.echo(f"standmark: {message}", err=True)
    sys.exit(code)
