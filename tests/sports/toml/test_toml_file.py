"""TOML that people write: read safely, every mistake told with file, line, key, what was got and what is allowed."""

import time
import tomllib
from typing import Annotated, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field

from standmark.geometry.errors import InputError
from standmark.sports.reading.words import Text
from standmark.sports.shapes.shape import Table
from standmark.sports.toml.file import Problem, parse_toml, problems_error, read_toml, validate
from standmark.sports.toml.lines import line_of


class Lens(Table):
    name: Text
    focal_mm: tuple[float, float]


class Ground(Table):
    kind: Literal["grass", "indoor"] = "grass"
    length_m: Annotated[float, Field(gt=0, le=1000)]
    players: int = 11
    is_floodlit: bool = False
    lens: tuple[Lens, ...] = ()


GOOD = """# a ground
kind = "grass"
length_m = 100
players = 11

[[lens]]
name = "short"
focal_mm = [24, 70]

[[lens]]
name = "long"
focal_mm = [70, 200]
"""


def check(text):
    return validate(Ground, parse_toml(text, name="ground.toml").data, text=text, file="ground.toml")


def test_a_good_file_is_read():
    ground = check(GOOD)
    assert ground.length_m == 100.0
    assert ground.lens[1].focal_mm == (70.0, 200.0)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("length_m = 100", "lenght_m = 100", r'ground.toml:3: lenght_m: unknown key; .*did you mean "length_m"\?'),
        ("length_m = 100", "lenght_m = 100", r"ground.toml: length_m: missing; this key is needed"),
        ("length_m = 100", "length_m = -5", r"ground.toml:3: length_m: out of range \(got -5\); allowed: above 0"),
        ("length_m = 100", "length_m = nan", r"ground.toml:3: length_m: must be a finite number \(got nan\)"),
        ("length_m = 100", "length_m = 1e999", r"ground.toml:3: length_m: (must be a finite number|out of range)"),
        ("length_m = 100", 'length_m = "100"', r'ground.toml:3: length_m: must be a number \(got "100"\)'),
        ("length_m = 100", "length_m = true", r"ground.toml:3: length_m: must be a number \(got true\)"),
        ("players = 11", "players = 11.5", r"ground.toml:4: players: must be a whole number \(got 11.5\)"),
        ('"grass"', '"gras"', r'ground.toml:2: kind: not known \(got "gras"\); allowed: grass, indoor; did'),
        ("[70, 200]", "[70]", r"ground.toml:12: lens\[2\].focal_mm(\[2\])?: "),
        ("[70, 200]", '[70, "200"]', r'ground.toml:12: lens\[2\].focal_mm\[2\]: must be a number \(got "200"\)'),
        ('name = "long"', "name = 3", r"ground.toml:11: lens\[2\].name: must be text in quotes \(got 3\)"),
        ('name = "long"', 'name = ""', r"ground.toml:11: lens\[2\].name: must not be empty"),
        ('name = "long"', 'name = "a\\u202eb"', r"ground.toml:11: lens\[2\].name: must not contain control"),
        ('name = "long"', 'name = "a\\u0007b"', r"ground.toml:11: lens\[2\].name: must not contain control"),
        ('name = "long"', 'nmae = "long"', r'ground.toml:11: lens\[2\].nmae: unknown key.*did you mean "name"'),
        ('name = "long"', 'nmae = "long"', r"ground.toml:10: lens\[2\].name: missing"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line(old, new, message):
    with pytest.raises(InputError, match=message):
        check(GOOD.replace(old, new))


def test_all_mistakes_are_told_at_once_but_not_more_than_twenty():
    text = "length_m = 1\n" + "".join(f"wrong_{i} = 1\n" for i in range(30))
    with pytest.raises(InputError) as error:
        check(text)
    lines = str(error.value).splitlines()
    assert len(lines) == 21
    assert lines[0].startswith("ground.toml:2: wrong_0: unknown key")
    assert lines[-1] == "ground.toml: and 10 more"


def test_names_are_composed():
    assert check(GOOD.replace('"long"', '"Ame\\u0301lie"')).lens[1].name == "Am\u00e9lie"


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"a = 1\nb = \n", r'f.toml:2: not TOML: not a value.*column 5 of \"b =\"'),
        (b"a = 1\na = 2\n", r'f.toml:2: not TOML: this key is given twice \(column 6 of \"a = 2\"'),
        (b"a = '\xff'\n", r"f.toml:1: not UTF-8 text \(it looks like Windows-1252\); in the editor choose Save as"),
        (b"a = " + b"1" * 5000, r"f.toml: not usable TOML"),
        (b"a = " + b"[" * 50_000, r"f.toml: not usable TOML"),
        (b"x." * 20_000 + b"x = 1\n", r"f.toml:1: a key with more than 32 dotted parts"),
        (b"[" + b"x." * 20_000 + b"x]\n", r"f.toml:1: a key with more than 32 dotted parts"),
        (b"a = {" + b'"x" . ' * 20_000 + b"x = 1}\n", r"f.toml:1: a key with more than 32 dotted parts"),
        (b"#" * (1 << 20) + b"#", r"f.toml: larger than 1 MiB"),
    ],
)  # fmt: skip
def test_hostile_files_are_refused_quickly(tmp_path, raw, message):
    path = tmp_path / "f.toml"
    path.write_bytes(raw)
    start = time.process_time()
    with pytest.raises(InputError, match=message):
        read_toml(path)
    assert time.process_time() - start < 5.0


def test_a_long_line_of_letters_or_numbers_is_no_key(tmp_path):
    path = tmp_path / "f.toml"
    path.write_text("a = '" + "x" * 500_000 + "'\nb = [" + "1.5, " * 50_000 + "]\n")
    assert len(read_toml(path).data["b"]) == 50_000


def test_missing_file_and_byte_order_mark(tmp_path):
    with pytest.raises(InputError, match=r"none.toml: cannot be read \(No such file"):
        read_toml(tmp_path / "none.toml")
    path = tmp_path / "bom.toml"
    path.write_bytes(b"\xef\xbb\xbfa = 1\n")
    assert read_toml(path).data == {"a": 1}


LINES = """top = 1

[table]
# a comment
key = [
  1,
  { x = 3 },
  2,
]
text = '''
three
lines'''
dotted.inner = true

[[row]]
a = 1
[[row]]
a = 2
[row.under]
deep = "x"
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("top",), 1), (("table",), 3), (("table", "key"), 5), (("table", "key", 0), 6), (("table", "key", 1), 7),
        (("table", "key", 1, "x"), 7), (("table", "key", 2), 8), (("table", "text"), 10), (("table", "dotted"), 13),
        (("table", "dotted", "inner"), 13), (("row", 0), 15), (("row", 0, "a"), 16), (("row", 1), 17),
        (("row", 1, "a"), 18), (("row", 1, "under"), 19), (("row", 1, "under", "deep"), 20), (("none",), None),
        (("table", "key", 3), None),
    ],
)  # fmt: skip
def test_line_of_a_key(path, line):
    assert line_of(LINES, path) == line


@given(
    st.lists(
        st.sampled_from(["x = 1", "y.z = 'a b'", "# note", "", "w = [\n 1,\n 2,\n]", "s = '''\nq\n'''"]), max_size=8
    )
)
@settings(max_examples=60, deadline=None)
def test_the_line_found_always_holds_the_key(parts):
    text = "".join(f"[t{i}]\n{part}\n" for i, part in enumerate(parts))
    data = tomllib.loads(text)
    lines = text.splitlines()
    for table, entries in data.items():
        assert lines[line_of(text, (table,)) - 1] == f"[{table}]"
        for key in entries:
            assert lines[line_of(text, (table, key)) - 1].startswith(key)


def test_problems_stand_in_the_order_of_the_file():
    problems = [Problem(("row", 1, "a"), "second"), Problem(("top",), "first"), Problem((), "whole")]
    assert str(problems_error(problems, text=LINES, file="f")).splitlines() == [
        "f: whole", "f:1: top: first", "f:18: row[2].a: second",
    ]  # fmt: skip
