"""Tables for a spreadsheet, in which no text can act as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_rows(rows: Iterable[Sequence[Any]]) -> bytes:
    """Write rows as UTF-8 CSV; a text that a spreadsheet would take for a formula gets an apostrophe before it.

    References
    ----------
    OWASP, CSV Injection, owasp.org/www-community/attacks/CSV_Injection; RFC 4180 for quotes and line ends
    """
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\r\n").writerows([[_cell(value) for value in row] for row in rows])
    return buffer.getvalue().encode("utf-8")


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return "" if value is None else value
