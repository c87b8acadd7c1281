"""What all tables of a match file share: strictness, and names that are safe to show anywhere."""

from __future__ import annotations

import unicodedata
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict

OVERRIDES = "\u202a\u202b\u202d\u202e\u2066\u2067\u2068"


def _name(text: str) -> str:
    clean = unicodedata.normalize("NFC", text).strip()
    if not 1 <= len(clean) <= 80:
        raise ValueError("must be 1 to 80 characters")
    if any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or c in OVERRIDES for c in clean):
        raise ValueError("must not hold control or direction-override characters")
    return clean


Name = Annotated[str, AfterValidator(_name)]


class Table(BaseModel):
    """Base of every table: unknown keys are errors, numbers are finite, nothing is guessed."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)
