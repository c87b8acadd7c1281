"""Frozen dataclasses as plain data for JSON: sorted keys, no infinities, times as text."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from typing import Any

DIGITS = 9  # significant; the tenth is noise of the arithmetic


def plain(value: Any) -> Any:
    """Turn dataclasses, tuples and numbers into what JSON can hold; an infinite number becomes null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}") if math.isfinite(value) else None
    return value.isoformat() if isinstance(value, datetime) else value


def document_bytes(document: Mapping[str, Any]) -> bytes:
    """Write a document as UTF-8 JSON with a final newline."""
    return document_text(document).encode("utf-8")


def document_text(document: Mapping[str, Any]) -> str:
    """Write a document as JSON text with a final newline: sorted keys, no NaN, one value a line.

    Raises
    ------
    ValueError : a number is not finite
    TypeError : something is not JSON's

    >>> print(document_text({"b": [1, 2.5], "a": {}}), end="")
    {
     "a": {},
     "b": [
      1,
      2.5
     ]
    }
    """
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1, sort_keys=True) + "\n"
