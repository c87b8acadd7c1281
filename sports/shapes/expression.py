"""Lengths that follow the actual size of a playing area: `end - 16.5`, `0.5 goal_width + 1`."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

TERM = re.compile(r"\s*(?P<sign>[+-])?\s*(?P<factor>\d+(?:\.\d+)?)?\s*\*?\s*(?P<name>[a-z][a-z0-9_]*)?\s*")
MAX_LENGTH_M = 100_000.0


@dataclass(frozen=True)
class Length:
    """A sum of named sizes and a constant, metres. `end` is half the length, `side` half the width."""

    constant: float
    terms: tuple[tuple[float, str], ...] = ()

    def __str__(self) -> str:
        """Write it as it is written in a definition."""
        words = [f"{factor:+.12g} {name}" for factor, name in self.terms]
        return " ".join([*words, f"{self.constant:+.12g}"])


def parse_length(value: object) -> Length:
    """Read a number or a text such as "end - 16.5".

    Raises
    ------
    ValueError
        When it is neither, or is not finite, or is over 100 km.
    """
    if isinstance(value, Length):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return Length(_checked(float(value)))
    if not isinstance(value, str) or not value.strip() or len(value) > 200:
        raise ValueError('must be a number of metres or a sum of sizes such as "end - 16.5"')
    return _parse_sum(value)


def evaluate(length: Length, sizes_m: Mapping[str, float]) -> float:
    """Metres of a length, given the named sizes.

    Raises
    ------
    KeyError
        When a name is not among the sizes.
    """
    return length.constant + sum(factor * sizes_m[name] for factor, name in length.terms)


def _parse_sum(text: str) -> Length:
    constant, terms, at = 0.0, [], 0
    while at < len(text):
        term = TERM.match(text, at)
        is_first = at == 0
        if not term or not (term["factor"] or term["name"]) or not (is_first or term["sign"]):
            raise ValueError('cannot be read as a sum of sizes such as "end - 16.5" or "0.5 goal_width + 1"')
        factor = float(term["factor"] or 1.0) * (-1.0 if term["sign"] == "-" else 1.0)
        if term["name"]:
            terms.append((_checked(factor), term["name"]))
        else:
            constant += factor
        at = term.end()
    return Length(_checked(constant), tuple(terms))


def _checked(metres: float) -> float:
    if not math.isfinite(metres) or abs(metres) > MAX_LENGTH_M:
        raise ValueError("must be a finite number of at most 100 km")
    return metres
