"""Text broken into lines for a terminal, so that a figure keeps its unit on its line."""

from __future__ import annotations

import re
import shutil
import textwrap

UNIT = re.compile(r"(\d) (m|mm|ft|in|%|px|px/m|yd|K|points?|stops?|degrees)(?=\W|$)")
OF = re.compile(r"(\d) in (\d)")
KEPT = "\u00a0"
NARROWEST, WIDEST = 40, 100  # letters in a line; longer ones are hard to read


def terminal_width() -> int:
    """Return how many letters a line may have: those of the terminal, 80 where there is none, never more than 100."""
    return min(WIDEST, max(NARROWEST, shutil.get_terminal_size((80, 24)).columns))


def capital(text: str) -> str:
    """Return a text as it begins a sentence."""
    return text[:1].upper() + text[1:]


def counted(n: int, noun: str) -> str:
    """Number of things: "1 ground", "8 grounds"."""
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


def with_unit(text: str) -> str:
    """Tie every figure to the unit that follows it, and the two of "4 in 10".

    >>> with_unit("3.5 m back, 63 %") == "3.5\u00a0m back, 63\u00a0%"
    True
    """
    if " " not in text:  # nothing to tie
        return text
    return UNIT.sub(rf"\1{KEPT}\2", OF.sub(rf"\1{KEPT}in{KEPT}\2", text))


def wrapped(text: str, width: int, *, first: str = "", rest: str = "") -> list[str]:
    """Break a text into lines.

    Parameters
    ----------
    width : most letters in a line
    first, rest : what the first line and the others begin with

    >>> wrapped("films 63 % of the match", 10)
    ['films 63 %', 'of the', 'match']
    """
    lines = textwrap.wrap(with_unit(text), width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return [line.replace(KEPT, " ") for line in lines]
