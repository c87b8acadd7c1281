"""How far a book is: a bar with the time left on a terminal, plain lines elsewhere."""

from __future__ import annotations

import sys
import time
from contextlib import ExitStack
from types import TracebackType

import click

LINE_EVERY_S = 10.0


class Progress:
    """Counts finished grounds and says so on the error stream."""

    def __init__(self, total: int, *, kept: int, quiet: bool) -> None:
        self.total, self.done, self.kept, self.failed = total, kept, kept, 0
        self.quiet = quiet
        self.is_live = sys.stderr.isatty() and not quiet
        self.stack = ExitStack()
        self.started_s = self.said_s = time.monotonic()

    def __enter__(self) -> Progress:
        if self.is_live:
            from rich.console import Console
            from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeRemainingColumn
            from rich.progress import Progress as Bar

            columns = (
                TextColumn("grounds"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), TextColumn("left")
            )  # fmt: skip
            self.bar = self.stack.enter_context(Bar(*columns, console=Console(stderr=True), transient=True))
            self.task = self.bar.add_task("grounds", total=self.total, completed=self.done)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stack.close()

    def step(self, *, failed: bool = False) -> None:
        """One ground more is finished."""
        self.done += 1
        self.failed += failed
        if self.is_live:
            self.bar.update(self.task, completed=self.done)
        elif not self.quiet and time.monotonic() - self.said_s >= LINE_EVERY_S:
            self.said_s = time.monotonic()
            click.echo(self.line(), err=True)

    def line(self) -> str:
        """Say how far the book is."""
        fresh = self.done - self.kept
        passed_s = time.monotonic() - self.started_s
        left_s = (self.total - self.done) * passed_s / fresh if fresh else 0.0
        failed = f", {self.failed} failed" if self.failed else ""
        return f"{self.done} of {self.total} grounds{failed}, {duration_words(left_s)} left"


def duration_words(seconds: float) -> str:
    """Length of time as people say it: "40 s", "3 min", "2 h 5 min"."""
    if seconds < 90:
        return f"{max(1, round(seconds))} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60} min"
