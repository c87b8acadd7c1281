"""Whatever a match file holds, it is read or refused in plain words; nothing else ever happens."""

import random

import pytest
from hostile_kinds import MATCH_MORE
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standmark.cli.exports.starter import starter_text
from standmark.geometry.errors import InputError
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import read_match
from standmark.sports.library import load_sport

STARTER = starter_text(load_sport("tennis"))
FULL = STARTER + MATCH_MORE


def outcome(path, content):
    path.write_bytes(content)
    try:
        return read_match(path)
    except InputError as error:
        return str(error)


def check(result, path):
    if not isinstance(result, Match):
        assert str(path) in result, result
        assert len(result) < 8000
        assert all(line.strip() for line in result.splitlines())


def test_broken_bytes_are_refused_or_read(tmp_path):
    rng = random.Random(20270417)
    path = tmp_path / "match.toml"
    text = FULL.encode()
    for _ in range(250):
        mutant = bytearray(text)
        for _ in range(rng.randint(1, 6)):
            at = rng.randrange(len(mutant))
            match rng.randrange(3):
                case 0:
                    mutant[at] = rng.randrange(256)
                case 1:
                    del mutant[at : at + rng.randint(1, 40)]
                case _:
                    mutant[at:at] = bytes(rng.randrange(256) for _ in range(rng.randint(1, 8)))
        check(outcome(path, bytes(mutant)), path)


VALUES = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True), st.integers(-(10**6), 10**6), st.booleans(),
    st.text(st.characters(codec="utf-8", exclude_characters='"\\\n\r'), max_size=12),
)  # fmt: skip
KEYS = [
    "venue.length_m", "venue.latitude", "venue.bearing_deg", "venue.name", "venue.mains_hz", "rules.separation_m",
    "match.title", "match.cover", "match.deliverable", "match.first_attack", "weights.serve", "venue.floodlit",
]  # fmt: skip


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from(KEYS), VALUES, min_size=1, max_size=4))
def test_any_value_under_any_key_is_answered(tmp_path, values):
    lines = {"match.sport": '"tennis"'}
    for key, value in values.items():
        lines[key] = f'"{value}"' if isinstance(value, str) else str(value).lower()
    path = tmp_path / "match.toml"
    check(outcome(path, "\n".join(f"{key} = {value}" for key, value in lines.items()).encode()), path)


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xfe\x00",
        b"a" * (2 << 20),
        b"[" * 5000,
        b"x = " + b"9" * 5000,
        ("a." * 3000 + "b = 1").encode(),
        b"\xef\xbb\xbf[match]\nsport = 'tennis'\n",
        b"[match]\nsport = 'tennis'\ntitle = '\xe2\x80\xaeevil'\n",
        b"[match]\nsport = 'tennis'\ntitle = \"\\u0007\"\n",
        b"[match]\nsport = '../../etc/passwd'\n",
        b"",
    ],
)
def test_files_made_to_hurt_are_refused_or_read(tmp_path, content):
    path = tmp_path / "match.toml"
    result = outcome(path, content)
    check(result, path)
    assert isinstance(result, Match) == (content.startswith(b"\xef\xbb\xbf"))


@pytest.mark.parametrize("name", ["\u200b\u200b", "\u00ad", "\ufeff", "\u0301"])
def test_a_name_that_shows_nothing_is_refused(tmp_path, name):
    result = outcome(tmp_path / "match.toml", f'[match]\nsport = "tennis"\ntitle = "{name}"\n'.encode())
    assert "match.toml:3: match.title: holds only characters that cannot be seen" in result
