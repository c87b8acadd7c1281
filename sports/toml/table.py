"""What the tables of all files share: strictness, names that are safe to show anywhere, sizes within reason."""

from __future__ import annotations

import unicodedata
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from standmark.sports.toml.file import did_you_mean

HIGHEST_M = 200.0
OVERRIDES = "\u202a\u202b\u202d\u202e\u2066\u2067\u2068"
UNSEEN = frozenset(("Cf", "Cn", "Co", "Cs", "Mn"))  # general categories (Unicode Standard, 4.5)
UNSEEN_WORDS = "holds only characters that cannot be seen; write something that can be read"


def is_unseen(text: str) -> bool:
    r"""Tell whether nothing of a text can be seen: format characters, marks without a letter, unassigned ones.

    >>> is_unseen("\u200b\u00ad"), is_unseen("\u200bA")
    (True, False)
    """
    return all(unicodedata.category(c) in UNSEEN for c in text if not c.isspace())


def _name(text: str) -> str:
    clean = unicodedata.normalize("NFC", text).strip()
    if not 1 <= len(clean) <= 80:
        raise ValueError("must be 1 to 80 characters")
    if any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or c in OVERRIDES for c in clean):
        raise ValueError("must not contain control or direction-override characters")
    if is_unseen(clean):
        raise ValueError(UNSEEN_WORDS)
    return clean


def _sides(size: tuple[float, float]) -> tuple[float, float]:
    if size[0] > size[1]:
        raise ValueError(f"lowest first: {size[0]:g} is above {size[1]:g}; write [{size[1]:g}, {size[0]:g}]")
    return size


def known_word(known: tuple[str, ...]) -> AfterValidator:
    """Check that a word is one of those known, and offer the nearest."""

    def check(word: str) -> str:
        if word not in known:
            raise ValueError(f"not known; allowed: {', '.join(known)}{did_you_mean(word, list(known))}")
        return word

    return AfterValidator(check)


Name = Annotated[str, AfterValidator(_name)]
Metres = Annotated[float, Field(ge=-1000, le=1000)]
Height = Annotated[float, Field(ge=0, le=HIGHEST_M)]
Range = Annotated[tuple[Height, Height], AfterValidator(_sides)]
Span = Annotated[tuple[Metres, Metres], AfterValidator(_sides)]
Share = Annotated[float, Field(ge=0, le=1)]


class Table(BaseModel):
    """Base of every table: unknown keys are errors, numbers are finite, nothing is guessed."""

    # built when first used, so that a table which is only part of others is not built once more for itself
    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True, defer_build=True)
