"""Tables for a spreadsheet, in which no text can act as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

FORMULA_SIGNS = "=@\uff1d\uff20"  # and their full-width forms, which some programs take for the same
MINUS_SIGNS = "-\uff0d"
PLUS_SIGNS = "+\uff0b"
MINUS = "\N{MINUS SIGN}"  # begins no formula, and looks as a reader expects
PLUS = "\N{SUPERSCRIPT PLUS SIGN}"  # the plus that is nearest in looks and begins no formula


def csv_rows(rows: Iterable[Sequence[Any]]) -> bytes:
    """Write rows as UTF-8 CSV; a text that a spreadsheet would take for a formula is written so that it is none.

    A leading hyphen becomes a minus sign and a leading plus a raised one, so that "+x end" reads as it should; any
    other sign gets an apostrophe before it; spaces before a sign, tabs and line breaks in front do not hide it.

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
    if isinstance(value, str):
        return _plain_text(value)
    return "" if value is None else value


def _plain_text(text: str) -> str:
    sign = text.lstrip()[:1]
    if sign and sign in MINUS_SIGNS:
        return text.replace(sign, MINUS, 1)
    if sign and sign in PLUS_SIGNS:
        return text.replace(sign, PLUS, 1)
    return f"'{text}" if text[:1] in ("\t", "\r") or (sign and sign in FORMULA_SIGNS) else text
