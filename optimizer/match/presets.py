"""Kit and deliverables that a match file can call by name, from `presets.toml`, which also names the sources."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support
from standmark.optimizer.match.match import Deliverable
from standmark.sports.sport import PlayingArea

Preset = TypeVar("Preset")

_FILE: dict[str, Any] = tomllib.loads(Path(__file__).with_name("presets.toml").read_text("utf-8"))


def _presets(kind: str, make: Callable[..., Preset]) -> Iterator[Preset]:
    """Make what the file lists of one kind; its source, and what is a share of the playing area, stay in the file."""
    for entry in _FILE[kind]:
        given = {key: tuple(value) if isinstance(value, list) else value for key, value in entry.items()}
        yield make(**{key: value for key, value in given.items() if key not in ("source", "least_width_share")})


MODES = {mode.name: mode for mode in _presets("mode", RecordingMode)}
SUPPORTS = {support.name: support for support in _presets("support", Support)}
OPERATORS = {operator.name: operator for operator in _presets("operator", Operator)}
DELIVERABLES = {deliverable.key: deliverable for deliverable in _presets("deliverable", Deliverable)}
LEAST_WIDTH_SHARES: dict[str, float] = {e["key"]: e.get("least_width_share", 0.0) for e in _FILE["deliverable"]}
HIRE = tuple(_presets("hire", Lens))  # what people hire or borrow for a match
LONG = tuple(_presets("long", Lens))  # tried where a bag is too short for its sport

DEFAULT_MODE: str = _FILE["default"]["mode"]
DEFAULT_LENSES: tuple[str, ...] = tuple(_FILE["default"]["lenses"])
DEFAULT_SUPPORT: str = _FILE["default"]["support"]


def deliverable_for(key: str, area: PlayingArea, *, faces: float | None = None) -> Deliverable:
    """Deliverable of a name, with what depends on the size of the playing area, and with another wish for faces."""
    known = DELIVERABLES[key]
    return replace(
        known,
        least_width_m=LEAST_WIDTH_SHARES[key] * area.length_m,
        faces=known.faces if faces is None else faces,
    )


NUMBER = r"\d{1,6}(?:[.,]\d{1,6})?"
DASH = r"\s*[-\u2010-\u2015\u2212]\s*"  # hyphens and dashes of every length, and the minus sign
LENS_WORDS = re.compile(
    rf"\s*({NUMBER})(?:{DASH}({NUMBER}))?\s*(?:mm)?"
    rf"(?:(?:\s*(?:/|f/?|1:)\s*(?:f/?)?|\s+)({NUMBER})(?:{DASH}({NUMBER}))?)?\s*",
    re.IGNORECASE,
)


def lens_from_words(words: str) -> Lens | None:
    """Read a lens as people write it; None if it is none.

    >>> [lens_from_words(w).name for w in ("70-200/2.8", "70–200mm f/2.8", "70-200F4", "100-400 4.5-5.6", "400/2.8")]
    ['70-200/2.8', '70-200/2.8', '70-200/4', '100-400/4.5-5.6', '400/2.8']
    """
    parts = LENS_WORDS.fullmatch(words)
    if not parts:
        return None
    short, long, wide, narrow = (None if part is None else float(part.replace(",", ".")) for part in parts.groups())
    assert short is not None, "the pattern asks for one"
    name = _joined(short, long) + ("" if wide is None else f"/{_joined(wide, narrow)}")
    stops = (2.8, 2.8) if wide is None else (wide, wide if narrow is None else narrow)
    return Lens(name, (short, short if long is None else long), stops)


def lens_label(lens: Lens) -> str:
    """Name of a lens as people write it: focal lengths, then the aperture where the name has one.

    >>> [lens_label(Lens(name, (70.0, 200.0))) for name in ("70-200/2.8", "100-400", "the long one")]
    ['70-200 mm f/2.8', '100-400 mm', 'the long one']
    """
    focal, _, aperture = lens.name.partition("/")
    if not focal.replace("-", "").replace(".", "").isdigit():
        return lens.name
    return f"{focal} mm f/{aperture}" if aperture else f"{focal} mm"


def _joined(first: float, second: float | None) -> str:
    return f"{first:g}" if second is None or second == first else f"{first:g}-{second:g}"
