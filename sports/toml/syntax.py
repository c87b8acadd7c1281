"""What the TOML parser says of a broken text, in words for whoever wrote it."""

from __future__ import annotations

import re
import tomllib

from standmark.geometry.errors import InputError, shown
from standmark.sports.toml.as_written import slip_on

NEEDS_EQUALS = 'a key needs = and a value, as in name = "Final"'
NOT_CLOSED = "a list is not closed; end it with ]"
SAID = (  # what the parser says begins so, and what we say
    ("Cannot overwrite a value", "this key is given twice"),
    ("Cannot declare", "this table is given twice; write its keys below the first, or [[...]] for one of a list"),
    ("Cannot mutate immutable namespace", "this table is given already, and complete; add the key there"),
    ("Cannot redefine namespace", "this table is given already; add the key there"),
    ("Duplicate inline table key", "this key is given twice"),
    ("Expected newline or end of document", "not a value: text needs quotes, and dates must exist"),
    ("Invalid value", "not a value: text needs quotes"),
    ("Invalid date or datetime", "this date or time does not exist"),
    ("Expected '='", NEEDS_EQUALS),
    ("Invalid initial character for a key part", "not a key; a key is made of letters, digits, - and _"),
    ("Invalid statement", "not a key; a key is made of letters, digits, - and _"),
    ("Expected ']'", "a table's name ends with ], as in [venue]"),
    ("Expected ']]'", "two brackets at the start of the line need two at its end, as in [[camera]]"),
    ("Unclosed array", NOT_CLOSED),
    ("Unclosed inline table", "a table is not closed; end it with }"),
    ("Illegal character '\\n'", "the quotes are not closed; end the text with one more"),
    ("Unterminated string", "the quotes are not closed; end the text with the same ones"),
    ("Unescaped '\\", "a backslash in quotes; write two of them, or single quotes: 'like this'"),
)


def syntax_mistake(name: str, text: str, error: tomllib.TOMLDecodeError) -> InputError:
    """Return the error of a text that is not TOML, with its line and the words on it."""
    words = str(error)
    located = re.search(r"^(.*) \(at (?:line (\d+), column (\d+)|end of document)\)$", words, re.DOTALL)
    if not located:
        return InputError(f"{name}: {words}", unquoted=f"{name}: not TOML")
    ours = next((ours for theirs, ours in SAID if located[1].startswith(theirs)), None)
    what = f"not TOML: {ours or located[1][:1].lower() + located[1][1:]}"
    if located[2] is None:
        at_end = f"{name}:{len(text.rstrip().splitlines()) or 1}: {what} (at the end of the file)"
        return InputError(at_end, unquoted=at_end)
    line = text.split("\n")[int(located[2]) - 1].strip()
    quoted = f'"{shown(line)}"'
    if slip := slip_on(line):
        return InputError(f"{name}:{located[2]}: {slip} (in {quoted})", unquoted=f"{name}:{located[2]}: {slip}")
    place = f"{name}:{located[2]}: {what} (column {located[3]}"
    return InputError(f"{place} of {quoted})", unquoted=f"{place})")
