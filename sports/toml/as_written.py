"""Text as people and their editors write it: other encodings, times without seconds, curly quotes, decimal commas."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from standmark.geometry.errors import InputError

UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
SHORT_TIME = re.compile(
    r"^(\s*[\w.\"'-]+\s*=\s*\d{4}-\d{2}-\d{2}[Tt ]\d{2}:\d{2})(?=\s*(?:#.*)?$|[Zz]|[+-]\d{2}:\d{2})", re.ASCII
)
DECIMAL_COMMA = re.compile(r"=\s*[+-]?(\d+),(\d+)\s*(?:#.*)?$")
CURLY = "“”„‟‘’‚«»"
SAVE_AS = "in the editor choose Save as, encoding UTF-8"


def decoded(raw: bytes, path: Path) -> str:
    """Text of a file in UTF-8, or in UTF-16 where its first bytes say so.

    Raises
    ------
    InputError : another encoding; with the line and how to save the file
    """
    if raw.startswith(UTF16):
        try:
            return raw.decode("utf-16")
        except UnicodeDecodeError as error:
            raise InputError(f"{path}: broken UTF-16 text; {SAVE_AS}") from error
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(f"{path}:{line}: not UTF-8 text{_what_else(raw)}; {SAVE_AS}") from error


def encoding_of(head: bytes) -> str:
    """Encoding that a file's first bytes speak for: UTF-16, or else UTF-8."""
    return "utf-16" if head.startswith(UTF16) else "utf-8-sig"


def with_seconds(text: str, line: int) -> str | None:
    """Text with the seconds added to the time on a line (from 1); None where that line holds no time without them."""
    lines = text.split("\n")
    changed, n = SHORT_TIME.subn(r"\1:00", lines[line - 1].rstrip("\r"))
    if not n:
        return None
    lines[line - 1] = changed
    return "\n".join(lines)


def slip_on(line: str) -> str | None:
    """Name the usual slip that a line of broken TOML holds, and what to write; None where it is none of these."""
    if any(mark in line for mark in CURLY):
        return 'curly quotes, which a word processor makes; write straight ones, "like this"'
    comma = DECIMAL_COMMA.search(line)
    if comma:
        return f"a decimal comma; write {comma[1]}.{comma[2]}"
    return None


def _what_else(raw: bytes) -> str:
    """Say which encoding it looks like: single bytes of Western letters, or two bytes for each."""
    if raw[1:2] == b"\x00" or raw[:1] == b"\x00":
        return " (it looks like UTF-16)"
    try:
        words = raw.decode("cp1252")
    except UnicodeDecodeError:
        return ""
    odd = sum(not (c.isprintable() or c in "\r\n\t") for c in words)
    return " (it looks like Windows-1252)" if odd == 0 else ""
