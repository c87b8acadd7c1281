"""The numbers hold against real play: promise and play of half a match, as benchmarks/real_play.py measures them."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np

from standmark.cli.words.checked_words import SEEN_OFF

ROOT = Path(__file__).parents[1]


def run(*arguments: object) -> dict:
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import")}
    command = [sys.executable, ROOT / "benchmarks" / "real_play.py", *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, env=env, check=True)
    return json.loads(done.stdout.splitlines()[-1])


def test_promise_is_within_five_points_of_play_and_ranks_places_as_play_does():
    told = run("--spots", 100)
    assert set(told) == {"rms_points", "rank_correlation", "kicks", "cells"}
    assert set(told["rms_points"]) == {"held", "clear", "size", "seen"}
    assert max(told["rms_points"].values()) <= 5
    assert told["rank_correlation"] >= 0.8
    assert told["kicks"] > 150
    assert round(told["rms_points"]["seen"]) == SEEN_OFF  # what sheets and README say


def test_another_file_with_another_field_works(tmp_path):
    with np.load(ROOT / "benchmarks" / "data" / "football_half.npz") as data:
        part = {key: value[:9000] if value.ndim and len(value) > 9000 else value for key, value in data.items()}
    part["people_cm"] = np.where(part["people_cm"] == -32768, -32768, part["people_cm"] * 0.9).astype(np.int16)
    np.savez(tmp_path / "other.npz", length_m=94.5, width_m=61.2, **part)
    told = run("--data", tmp_path / "other.npz", "--spots", 0)
    assert told["rank_correlation"] is None
    assert 10 < told["kicks"] < 150
