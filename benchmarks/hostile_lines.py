"""Wrong keys, for `hostile.py`: each is reported at the line of its key; yields as `hostile_runs.py`.

Half of them are keys of our own files that are renamed, read with what reads those files. The others stand in
documents that are made here, in every form that TOML has for a table, by a writer that knows on which line it writes.
"""

from __future__ import annotations

import json
import random
import re
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel

from standmark.optimizer.day.tournament.schema import TournamentFile
from standmark.optimizer.match.match_schema import MatchFile
from standmark.optimizer.standard.read_standard import GENERAL, StandardFile
from standmark.sports.library import DEFINITIONS
from standmark.sports.reading.profile_schema import ProfileFile
from standmark.sports.reading.schema import SportFile
from standmark.sports.toml.file import Path_, Problem, check_tables, problems_error

ROOT = Path(__file__).resolve().parents[1]
WRONG = "wrongkey"
KEY = re.compile(r"(?:^|(?<=[{,]))[ \t]*(?P<key>[A-Za-z_][\w-]*)(?=[ \t]*=)", re.MULTILINE)
WORDS = (
    "a",
    "b",
    "name",
    "x_m",
    "with-dash",
    '"two words"',
    '"dot.ted"',
    "'sing#le'",
    '"uml\u00e4ut"',
    "1",
    '""',
    '"a=[b]"',
)
VALUES = (
    "1", "-2.5e3", "true", "inf", "2027-05-08T15:00:00Z", "2027-05-08", "15:00:00", '""', '"a # b"', "'[x] = {y}'",
    '"\\"quoted\\" \\\\"', "'''one\n[two]\nthree = 3'''", '"""\nfour\\\n  five ""\n"""', "0x1F",
)  # fmt: skip
GAPS = "", "", "", "# = [comment] {x}\n", "\n", "\n\n# two\n"


def own_files() -> list[tuple[Path, type[BaseModel]]]:
    """Every TOML file of ours that stands alone, and its form."""
    examples = ROOT / "examples"
    return [
        *((path, MatchFile) for path in sorted(examples.glob("*.toml"))),
        *((path, TournamentFile) for path in sorted(examples.glob("tournament/*.toml"))),
        (examples / "sports/lantern-ball.toml", SportFile),
        (GENERAL, StandardFile),
        *((path, ProfileFile) for path in sorted((ROOT / "sports/profiles").glob("*.toml"))),
        *((path, SportFile) for path in sorted(DEFINITIONS.glob("*.toml"))),
    ]


def wrong_keys(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Tell n wrong keys, each at its line."""
    told = 0
    while told < n // 2 and time.monotonic() < end:
        path, model = rng.choice(own_files())
        for words in renamed_keys(path, model, rng, most=min(40, n // 2 - told)):
            told += 1
            yield words
    while told < n and time.monotonic() < end:
        document = Writer(rng)
        for words in [*misplaced(document)][: n - told]:
            told += 1
            yield words


def renamed_keys(path: Path, model: type[BaseModel], rng: random.Random, *, most: int) -> Iterator[str]:
    """Rename keys of a file of ours, one at a time; those of tables in which any name may stand are passed over."""
    text = path.read_text("utf-8")
    found = list(KEY.finditer(text))
    for key in rng.sample(found, min(most, len(found))):
        spoiled = text[: key.start("key")] + WRONG + text[key.end("key") :]
        line = text.count("\n", 0, key.start("key")) + 1
        try:
            data = tomllib.loads(spoiled)
        except tomllib.TOMLDecodeError:
            continue  # the same again in one table: two keys with that start
        problems = [p for p in check_tables(model, data)[1] if p.path[-1:] == (WRONG,)]
        if not any(p.message.startswith("unknown key") for p in problems):
            continue  # a name of a table, a comment or a text
        told = str(problems_error(problems, text=spoiled, file="own.toml"))
        is_there = any(words.startswith(f"own.toml:{line}: ") for words in told.splitlines())
        yield "" if is_there else f"{path.name}: {key['key']} on line {line} was reported as {told}"


def misplaced(document: Writer) -> Iterator[str]:
    """Hold the line told for every path of a document against the one on which it was written."""
    text = document.text
    paths = set(_paths(tomllib.loads(text)))
    if paths != set(document.lines):
        yield f"the writer and the parser disagree on {paths ^ set(document.lines)}\n{text}"
        return
    for path, line in document.lines.items():
        told = str(problems_error([Problem(path, "wrong")], text=text, file="made.toml"))
        is_there = told.startswith(f"made.toml:{line}: ")
        yield "" if is_there else f"{path} on line {line} was reported as {told}\n{text}"


def _paths(value: object, path: Path_ = ()) -> Iterator[Path_]:
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for part, entry in entries:
        yield (*path, part)
        yield from _paths(entry, (*path, part))


class Writer:
    """A document made by chance, and the line on which each of its paths is first written."""

    def __init__(self, rng: random.Random) -> None:
        self.rng, self.lines, self.parts, self.line = rng, dict[Path_, int](), list[str](), 1
        self._pairs((), rng.randint(0, 4))
        self._tables((), (), 0)
        text = "".join(self.parts)
        self.text = text.replace("\n", "\r\n") if rng.random() < 0.2 else text

    def _write(self, text: str) -> None:
        self.parts.append(text)
        self.line += text.count("\n")

    def _note(self, path: Path_) -> None:
        self.lines.setdefault(path, self.line)

    def _keys(self, path: Path_, n: int) -> list[str]:
        """Keys that a table does not have yet, as they are written."""
        taken = {known[len(path)] for known in self.lines if len(known) > len(path) and known[: len(path)] == path}
        free = [word for word in WORDS if _plain(word) not in taken]
        return self.rng.sample(free, min(n, len(free)))

    def _pairs(self, path: Path_, n: int) -> None:
        for key in self._keys(path, n):
            self._write(self.rng.choice(GAPS) + self.rng.choice(("", "  ")))
            self._pair(path, key, 0)
            self._write(self.rng.choice(("\n", " # = 1\n")))

    def _pair(self, path: Path_, key: str, depth: int) -> None:
        """A key, plain or dotted, and its value."""
        dotted = [key, *self.rng.sample(WORDS, self.rng.choice((0, 0, 0, 1, 2)))]
        for word in dotted:
            path = (*path, _plain(word))
            self._note(path)
        self._write(self.rng.choice((".", " . ")).join(dotted) + self.rng.choice(("=", " = ")))
        self._value(path, depth)

    def _value(self, path: Path_, depth: int) -> None:
        kind = self.rng.random()
        if depth > 2 or kind < 0.6:
            self._write(self.rng.choice(VALUES))
        elif kind < 0.8:
            self._list(path, depth)
        else:
            self._write("{ ")
            for index, key in enumerate(self._keys(path, self.rng.randint(0, 3))):
                self._write(", " if index else "")
                self._pair(path, key, depth + 1)
            self._write(" }")

    def _list(self, path: Path_, depth: int) -> None:
        gap = self.rng.choice(("", "\n", "\n  # ] , [\n"))
        n = self.rng.randint(0, 3)
        self._write("[" + gap)
        for index in range(n):
            self._note((*path, index))
            self._value((*path, index), depth + 1)
            self._write(gap if index == n - 1 else "," + (gap or " "))
        self._write("]")

    def _tables(self, path: Path_, written: tuple[str, ...], depth: int) -> None:
        """Tables below a table, under headers of their own: single ones, ones of a list, ones a level deeper."""
        for key in self._keys(path, self.rng.randint(0, 2 if depth else 4) if depth < 3 else 0):
            inner, head = (*path, _plain(key)), (*written, key)
            for index in range(self.rng.choice((0, 0, 1, 3))):  # a list, where there is any
                self._header(inner, head, index=index)
            if inner in self.lines:
                continue
            if self.rng.random() < 0.3:  # [a.b] before [a]
                deeper = self.rng.choice(WORDS)
                self._header((*inner, _plain(deeper)), (*head, deeper))
            self._header(inner, head)

    def _header(self, path: Path_, written: tuple[str, ...], *, index: int | None = None) -> None:
        self._write(self.rng.choice(GAPS))
        for length in range(1, len(path) + 1):
            self._note(path[:length])
        name = self.rng.choice((".", " . ")).join(written)
        if index is not None:
            path = (*path, index)
            self._note(path)
        self._write(f"[{name}]\n" if index is None else f"[[{name}]]\n")
        self._pairs(path, self.rng.randint(0, 3))
        self._tables(path, written, len(written))


def _plain(word: str) -> str:
    """Key as the parser returns it."""
    return json.loads(word) if word[0] == '"' else word.strip("'")
