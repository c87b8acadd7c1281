"""Ways to spoil a sound file, and names made to hurt, for `hostile.py`."""

from __future__ import annotations

import copy
import json
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

NAMES = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "</text><a href='javascript:alert(1)'>",
    "]]><b>",
    "<!--",
    "&lt;b&gt; &amp; &#x3c;",
    '" onload="alert(1)',
    "' or 1=1 --",
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\uff1d1+1",
    " =1+1",
    "\t=1",
    "%s%n%x",
    "${7*7}",
    "{{7*7}}",
    "{% for x in y %}",
    "$x^2$",
    "\\frac{1}{2}",
    "\\textbf{x}",
    "a_b^c~d#e",
    "\x1b[31mred\x1b[0m",
    "\x07bell",
    "\x00nul",
    "a\nb",
    "a\r\nb",
    "a\tb",
    "\u2028line",
    "\u2029paragraph",
    "\u202eevil",
    "\u2066isolate\u2069",
    "\u200b\u200b",
    "\ufeffmark",
    "\u00ad",
    "\ud7ff",
    "e\u0301\u0301\u0301\u0301",
    "Z\u0351\u036b\u0343",
    "🏟️🎥",
    "👩‍👩‍👧‍👦",
    "מגרש",
    "ملعب",
    "体育場",
    "สนาม",
    "../../etc/escaped",
    "/etc/escaped",
    "..\\..\\escaped",
    "C:\\escaped",
    "\\\\host\\share",
    "CON",
    "nul.txt",
    ".",
    "..",
    "~root",
    "-rf",
    "--out=/",
    "a" * 200,
    "a" * 10_000,
    "\U0010ffff",
    "ﬃ ﷽",
    "name ",
)
BYTES_ONLY = ".jpg", ".png", ".webp", ".tif", ".mpo", ".kmz", ".txt", ".ics"
KEYS = "x", "ｘ", '""', "__class__", '"a.b"'
VALUES: tuple[Any, ...] = (
    None,
    True,
    False,
    0,
    -1,
    1,
    10**400,
    -(10**18),
    0.0,
    -0.0,
    1e308,
    -1e308,
    5e-324,
    float("inf"),
    float("nan"),
    "",
    " ",
    "a" * 20_000,
    [],
    [[]],
    {},
    [1],
    [1, 2],
    [[1, 2]] * 300,
    {"a": {"b": {"c": 1}}},
    ["x"] * 1000,
    *NAMES[:20],
)


@dataclass(frozen=True)
class Kind:
    """One kind of input: a sound file of it, and what reads it."""

    name: str
    file: str
    content: bytes
    read: Callable[[Path], object]

    @property
    def text(self) -> str:
        """Content as text."""
        return self.content.decode("utf-8")


def spoiled_bytes(kind: Kind, rng: random.Random) -> bytes:
    """Change, drop, double or move a few bytes."""
    data = bytearray(kind.content)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) or 1)
        match rng.randrange(5):
            case 0 if data:
                data[at] = rng.randrange(256)
            case 1:
                del data[at : at + rng.randint(1, 40)]
            case 2:
                data[at:at] = data[at : at + rng.randint(1, 60)] * rng.choice((1, 1, 50))
            case 3:
                data[at:at] = rng.choice(
                    (b"[", b'"', b"'''", b"[[", b"\\u", b"\xff\xfe", b"1e999", b"\x00", b"-", b"=")
                )
            case _:
                end = rng.randrange(len(data) or 1)
                data[at:at] = data[end : end + rng.randint(1, 30)]
    return bytes(data)


def spoiled_structure(kind: Kind, rng: random.Random) -> bytes:
    """Keep the form sound and spoil what it says: values, keys, entries."""
    if kind.file.endswith(BYTES_ONLY):
        return spoiled_bytes(kind, rng)
    if kind.file.endswith(".csv"):
        rows = [line.split(",") for line in kind.text.splitlines()]
        for _ in range(rng.randint(1, 4)):
            row = rng.choice(rows)
            row[rng.randrange(len(row))] = str(rng.choice(VALUES))
        return "\n".join(",".join(row) for row in rows).encode("utf-8", "surrogatepass")
    if kind.file.endswith("json"):
        document = json.loads(kind.text)
        for _ in range(rng.randint(1, 4)):
            _spoil(document, rng)
        return json.dumps(document).encode("utf-8", "surrogatepass")
    if kind.file.endswith((".kml", ".gpx", ".osm")):
        text = kind.text
        for _ in range(rng.randint(1, 4)):
            said = rng.choice(list(re.finditer(r'(?<=")[^"<>]*(?=")|(?<=>)[^<>]+(?=<)', text)))
            text = text[: said.start()] + escape(str(rng.choice(VALUES)), {'"': "&quot;"}) + text[said.end() :]
        return text.encode("utf-8", "surrogatepass")
    lines = kind.text.splitlines()
    if kind.file.endswith(".dxf"):
        for _ in range(rng.randint(1, 4)):
            lines[rng.randrange(len(lines))] = str(rng.choice(VALUES))
        return "\n".join(lines).encode("utf-8", "surrogatepass")
    said = [i for i, line in enumerate(lines) if re.match(r"\s*[\w-]+ *= ", line)]
    for _ in range(rng.randint(1, 4)):
        i = rng.choice(said)
        match rng.randrange(4):
            case 0 | 1:
                lines[i] = f"{lines[i].split('=')[0]}= {_toml(rng.choice(VALUES))}"
            case 2:
                lines[i] = f"{rng.choice(KEYS)} ={lines[i].partition('=')[2]}"
            case _:
                lines.append(lines[i])
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _spoil(document: Any, rng: random.Random) -> None:
    """Replace, drop or double one entry somewhere in a document."""
    places = list(_places(document))
    if not places:
        return
    parent, key = rng.choice(places)
    match rng.randrange(4):
        case 0 | 1:
            parent[key] = copy.deepcopy(rng.choice(VALUES))  # what is put in may be spoiled again
        case 2 if isinstance(parent, dict):
            parent[rng.choice((*KEYS, *NAMES))] = parent.pop(key)
        case _:
            if isinstance(parent, list):
                parent.append(copy.deepcopy(parent[key]))
            else:
                del parent[key]


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in list(entries):
        yield value, key
        yield from _places(inner)


def _toml(value: Any) -> str:
    """Write a value as TOML would; what TOML has no word for as a text."""
    if value is None:
        return '""'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value)
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{k} = {_toml(v)}' for k, v in value.items())}}}"
    return repr(value)
