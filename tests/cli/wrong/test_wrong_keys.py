"""Wrong keys are told at their lines: a share of `benchmarks/hostile.py --lines`."""

import random

import pytest
from hostile_lines import Writer, misplaced, own_files, renamed_keys

NAMES = (
    "heron-lane.toml", "kiln-park.toml", "fen-day.toml", "general.toml", "american-football-pro-2021.toml",
    "badminton-world-2018.toml", "volleyball-world-2025.toml",
)  # fmt: skip
SMALL = [entry for entry in own_files() if entry[0].name in NAMES]


def test_every_key_of_our_small_files_is_told_at_its_line():
    told = [words for path, form in SMALL for words in renamed_keys(path, form, random.Random(1), most=10_000)]
    assert len(told) >= 300
    assert [words for words in told if words] == []


@pytest.mark.parametrize("seed", range(40))
def test_every_path_is_found_in_whatever_form_it_is_written(seed):
    document = Writer(random.Random(seed))
    assert [words for words in misplaced(document) if words] == []


def test_a_line_that_is_wrong_is_noticed():
    document = Writer(random.Random(3))
    path = max(document.lines, key=lambda path: document.lines[path])
    document.lines[path] += 1
    assert len([words for words in misplaced(document) if words]) == 1
