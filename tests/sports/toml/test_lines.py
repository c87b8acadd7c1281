"""Lines of keys, found in one pass, against a finder that cuts the text shorter and shorter."""

import tomllib
from pathlib import Path

import pytest

from standmark.sports.library import DEFINITIONS
from standmark.sports.toml.lines import line_of


def paths_in(value, path=()):
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for part, entry in entries:
        yield (*path, part)
        yield from paths_in(entry, (*path, part))


def first_line_by_cutting(text, path):
    """Fewest lines of the text, cut where a statement ends, that hold a path."""
    lines = text.splitlines(keepends=True)
    for n in range(1, len(lines) + 1):
        try:
            data = tomllib.loads("".join(lines[:n]))
        except tomllib.TOMLDecodeError:
            continue
        if path in set(paths_in(data)):
            return n
    return None


ONE_LINE_STATEMENTS = """# a comment with [brackets] and = signs
title = "a # in text, [and] {brackets}"
'quoted key'."with.dots" = 'C:\\n'
[venue]
at = 2027-05-08 15:00:00
size = { length = 1.5, width = -2e3, deep = { x = [1, [2, 3.25]] } }
[[venue.allowed]]
name = "a"
[[venue.allowed]]
name = "b"
[venue.allowed.inner]
key = true
[[venue.allowed.deep]]
n = 1
[venue.other]
n = inf
"""


def test_every_path_has_the_line_that_cutting_finds():
    paths = list(paths_in(tomllib.loads(ONE_LINE_STATEMENTS)))
    assert len(paths) > 25
    for path in paths:
        assert line_of(ONE_LINE_STATEMENTS, path) == first_line_by_cutting(ONE_LINE_STATEMENTS, path), path
    assert line_of(ONE_LINE_STATEMENTS, ("venue", "nothing")) is None


def test_entries_of_a_long_list_have_lines_of_their_own():
    text = 'a = """\nx\n[no.table]\n"""\nspan = [ # why\n  [1, 2],\n\n  [3,\n   4],\n]\nend = 1\n'
    assert [line_of(text, p) for p in (("a",), ("span",), ("span", 0), ("span", 1), ("span", 1, 1), ("end",))] == [
        1, 5, 6, 8, 9, 11,
    ]  # fmt: skip


@pytest.mark.parametrize("path", sorted(Path(DEFINITIONS).glob("*.toml"))[:4], ids=lambda p: p.stem)
def test_every_path_of_a_definition_is_found(path):
    text = path.read_text(encoding="utf-8")
    assert all(line_of(text, p) for p in paths_in(tomllib.loads(text)))


def test_a_megabyte_is_one_pass():
    """Work that grew with the square of the text would not end while anybody waits."""
    text = "\n".join(f"[[area]]\nname = 'x{i}'\nline = [[1.5, 2], [3, 4]]" for i in range(20_000))
    assert line_of(text, ("area", 19_999, "line", 1)) == 60_000
