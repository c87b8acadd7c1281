"""Where in a TOML text each key and each entry of a list is first written: the parser does not say."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache

Path_ = tuple[str | int, ...]

TOKEN = re.compile(
    r'''
    [ \t\r]+ | \#[^\n]*                                             # nothing that counts
    | (?P<end>\n)
    | (?P<string>"""(?:\\.|[^\\])*?"{3,5} | \'\'\'.*?\'{3,5} | "(?:\\.|[^"\\\n])*" | '[^'\n]*')
    | (?P<mark>[\[\]{},=.])
    | (?P<word>[^\s\[\]{},=.#"']+)
    ''',
    re.VERBOSE | re.DOTALL,
)


def line_of(text: str, path: Sequence[str | int]) -> int | None:
    r"""Line (from 1) on which `path` is first written in a sound TOML text; None if the text does not hold it.

    >>> line_of("[[area]]\nname = 'a'\n[[area]]\nspan = [\n  1,\n  2]", ("area", 1, "span", 1))
    6
    """
    return _lines(text).get(tuple(path))


@lru_cache(maxsize=2)
def _lines(text: str) -> dict[Path_, int]:
    """Lines of all paths, found in one pass over the text."""
    walk = _Walk(text)
    with suppress(StopIteration, RecursionError):  # the end of the text; what was found so far is right in any case
        walk.document()
    return walk.first_line


class _Walk:
    """A walk through the tokens of a text, which keeps the line of every path it meets."""

    def __init__(self, text: str) -> None:
        self.first_line: dict[Path_, int] = {}
        self.line = 1
        self.last: dict[Path_, int] = {}  # lists of tables: index of the last entry
        self.tokens = TOKEN.finditer(text)
        self.token = ""
        self.start = 1  # line on which the token starts
        self.at = 0  # offset just behind the token

    def step(self) -> str:
        """Go to the next token that counts."""
        for match in self.tokens:
            if match.lastgroup is None:
                continue
            self.token, self.start, self.at = match[0], self.line, match.end()
            self.line += match[0].count("\n")
            return self.token
        raise StopIteration

    def document(self) -> None:
        """Read every statement of the text."""
        table: Path_ = ()
        while True:
            if self.step() == "\n":
                continue
            if self.token == "[":
                opened_at = self.at
                is_list = self.step() == "[" and self.at == opened_at + 1
                if is_list:
                    self.step()
                table = self.header(self.key("]"), is_list=is_list)
            else:
                self.pair(table)
            self.skip_to("\n")

    def header(self, key: Path_, *, is_list: bool) -> Path_:
        """Path of the table that a header opens."""
        path: Path_ = ()
        for index, part in enumerate(key):
            path = (*path, part)
            self.note(path)
            if is_list and index == len(key) - 1:
                self.last[path] = self.last.get(path, -1) + 1
            if path in self.last:
                path = (*path, self.last[path])
                self.note(path)
        return path

    def pair(self, table: Path_) -> None:
        """Read a key, of which the first token is read already, and its value."""
        path, line = table, self.start
        for part in self.key("="):
            path = (*path, part)
            self.first_line.setdefault(path, line)
        self.step()
        self.value(path)

    def key(self, closing: str) -> Path_:
        """Read a dotted key up to the mark that closes it."""
        parts: list[str] = []
        while self.token != closing:
            if self.token != ".":
                is_quoted = self.token[0] in "\"'"
                parts.append(next(iter(tomllib.loads(f"{self.token}=0"))) if is_quoted else self.token)
            self.step()
        return tuple(parts)

    def value(self, path: Path_) -> None:
        """Read a value, of which the first token is read already; of a plain one no more than that token."""
        if self.token == "[":
            index = 0
            while self.past_ends() != "]":
                self.note((*path, index))
                self.value((*path, index))
                index += 1
                if self.skip_to(",]") == "]":
                    break
        elif self.token == "{":
            while self.past_ends() != "}":
                self.pair(path)
                if self.skip_to(",}") == "}":
                    break

    def past_ends(self) -> str:
        """Go to the next token that is no end of a line."""
        while self.step() == "\n":
            pass
        return self.token

    def skip_to(self, marks: str) -> str:
        """Go to the next token that is one of these marks."""
        while self.step() not in marks:
            pass
        return self.token

    def note(self, path: Path_) -> None:
        """Keep the line of the present token as that of a path, unless it was met before."""
        self.first_line.setdefault(path, self.start)
