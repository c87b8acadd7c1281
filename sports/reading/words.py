"""Words and numbers that a definition may hold: clean text, keys, shares, lengths that are not negative."""

from __future__ import annotations

import re
import unicodedata
from functools import partial
from typing import Annotated

from pydantic import AfterValidator, Field

from standmark.sports.toml.table import UNSEEN_WORDS, is_unseen

BIDI_CONTROLS = frozenset("\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean_text(text: str) -> str:
    """One line of plain text in composed form (NFC).

    Raises
    ------
    ValueError
        When it is empty, shows nothing, or holds control or direction-override characters.
    """
    line = " ".join(unicodedata.normalize("NFC", text).split())
    if not line:
        raise ValueError("must not be empty")
    if any(char in BIDI_CONTROLS or unicodedata.category(char) == "Cc" for char in line):
        raise ValueError("must not contain control or direction-override characters")
    if is_unseen(line):
        raise ValueError(UNSEEN_WORDS)
    return line


def check_word(pattern: str, joints: str, text: str) -> str:
    """Keep a key as it is if it fits the pattern.

    Raises
    ------
    ValueError
        When it does not, or is longer than 60 characters.
    """
    if len(text) > 60 or not re.fullmatch(pattern, text):
        raise ValueError(f"must be lower-case letters and digits joined by {joints}, at most 60")
    return text


Text = Annotated[str, AfterValidator(clean_text), Field(max_length=80)]
LongText = Annotated[str, AfterValidator(clean_text), Field(max_length=2000)]
Key = Annotated[str, AfterValidator(partial(check_word, r"[a-z0-9]+(-[a-z0-9]+)*", "hyphens"))]
Name = Annotated[str, AfterValidator(partial(check_word, r"[a-z][a-z0-9_]*", "underscores"))]
Share = Annotated[float, Field(ge=0, le=1)]
Positive = Annotated[float, Field(gt=0, le=100_000)]
NotNegative = Annotated[float, Field(ge=0, le=100_000)]
SourceKey = Annotated[str, AfterValidator(partial(check_word, r"[a-z0-9][a-z0-9_-]*", "hyphens"))]
Presets = tuple[Key, ...]
