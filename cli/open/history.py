"""Undo and redo: the text of the match file after each step, so that undo gives back the same bytes."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from standmark.cli.open.parts import Text

MOST_STEPS = 200


@dataclass(frozen=True)
class Step:
    """One thing done."""

    what: str  # "move scaffold"
    page: str
    text: Text  # after it
    at_s: float


@dataclass
class History:
    """Steps taken and undone, at most 200; `change` counts every change, undo and redo, and never goes back."""

    start: Text
    clock: Callable[[], float] = time.monotonic
    done: list[Step] = field(default_factory=list)
    undone: list[Step] = field(default_factory=list)
    change: int = 1

    @property
    def text(self) -> Text:
        """The match file now."""
        return self.done[-1].text if self.done else self.start

    @property
    def undo_words(self) -> str | None:
        """What undo would take back; None for nothing."""
        return self.done[-1].what if self.done else None

    @property
    def redo_words(self) -> str | None:
        """What redo would do again; None for nothing."""
        return self.undone[-1].what if self.undone else None

    def step(self, text: Text, *, what: str, page: str, goes_on: bool = False) -> None:
        """Take a step; one that goes on with the last one of the same page replaces it."""
        now = self.clock()
        last = self.done[-1] if self.done and not self.undone else None
        if goes_on and last is not None and (last.what, last.page) == (what, page):
            self.done.pop()
        self.done.append(Step(what, page, text, now))
        self.undone.clear()
        if len(self.done) > MOST_STEPS:
            self.start = self.done.pop(0).text
        self.change += 1

    def undo(self) -> str | None:
        """Take the last step back; its name, or None where there is none."""
        if not self.done:
            return None
        step = self.done.pop()
        self.undone.append(step)
        self.change += 1
        return step.what

    def redo(self) -> str | None:
        """Take the step last undone again; its name, or None where there is none."""
        if not self.undone:
            return None
        step = self.undone.pop()
        self.done.append(step)
        self.change += 1
        return step.what
