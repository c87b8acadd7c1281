"""How far a book is: a bar with the time left on a terminal, plain lines elsewhere."""

from __future__ import annotations

import sys
import time
from contextlib import ExitStack
from types import TracebackType
from typing import Any

import click

from standmark.cli.terminal.interrupt import let_it_be_caught

LINE_EVERY_S = 10.0


class Progress:
    """Counts what is finished, stage after stage, and says so on the error stream."""

    def __init__(self, *, quiet: bool) -> None:
        self.quiet = quiet
        self.is_live = sys.stderr.isatty() and not quiet
        self.stack = ExitStack()
        self.bar: Any = None  # on a terminal
        self.begin("grounds", 0)

    def __enter__(self) -> Progress:
        if self.is_live:
            from rich.console import Console
            from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeRemainingColumn
            from rich.progress import Progress as Bar

            columns = (
                TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
                TextColumn("left"),
            )  # fmt: skip
            let_it_be_caught()
            self.bar = self.stack.enter_context(Bar(*columns, console=Console(stderr=True), transient=True))
            self.task = self.bar.add_task("grounds", total=None)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stack.close()

    def begin(self, what: str, total: int, *, kept: int = 0) -> None:
        """Begin a stage.

        Parameters
        ----------
        what : is counted
        kept : done already, at no cost
        """
        self.what, self.total, self.done, self.kept, self.failed = what, total, kept, kept, 0
        self.started_s = self.said_s = time.monotonic()
        if self.bar is not None:
            self.bar.reset(self.task, description=what, total=total, completed=kept)

    def step(self, *, failed: bool = False) -> None:
        """One more is finished."""
        self.done += 1
        self.failed += failed
        if self.bar is not None:
            self.bar.update(self.task, completed=self.done)
        elif not self.quiet and time.monotonic() - self.said_s >= LINE_EVERY_S:
            self.said_s = time.monotonic()
            click.echo(self.line(), err=True)

    def line(self) -> str:
        """Say how far the stage is."""
        fresh = self.done - self.kept
        passed_s = time.monotonic() - self.started_s
        left_s = (self.total - self.done) * passed_s / fresh if fresh else 0.0
        failed = f", {self.failed} failed" if self.failed else ""
        return f"{self.done} of {self.total} {self.what}{failed}, {duration_words(left_s)} left"


def duration_words(seconds: float) -> str:
    """Length of time as people say it: "40 s", "3 min", "2 h 5 min"."""
    if seconds < 90:
        return f"{max(1, round(seconds))} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60} min"
