"""The same match gives the same bytes, whatever the process, its hash seed, its zone, its folder."""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

SCRIPT = """
import hashlib, json, sys
sys.path[:0] = sys.argv[1:3]
from drawn_plans import PLACED, planned_text
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.commands.results import drawn_files
plan = planned_text(PLACED[:PLACED.rindex("[[camera]]")])
files = {"plan.json": plan_bytes(plan), **drawn_files(plan)}
print(json.dumps({name: hashlib.sha256(content).hexdigest() for name, content in files.items()}))
"""
ROOT = Path(__file__).resolve().parents[2]


def digests(folder, **environment):
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(ROOT / ".import"), str(ROOT / "tests")],
        cwd=folder, env={**os.environ, **environment}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(run.stdout)


def test_every_file_is_the_same_in_another_process(tmp_path):
    (tmp_path / "elsewhere").mkdir()
    first = digests(tmp_path, PYTHONHASHSEED="0", TZ="UTC", LANG="C.UTF-8")
    second = digests(tmp_path / "elsewhere", PYTHONHASHSEED="1", TZ="Pacific/Auckland", LANG="C")
    assert set(first) == {"plan.json", "plan.png", "plan.svg", "maps.svg", "height.svg",
                          "sheet.html", "sheet.pdf", "sheet-A.pdf", "cards.pdf", "duties.csv",
                          "positions.geojson", "positions.gpx", "positions.kml", "times.ics"}  # fmt: skip
    assert second == first
    assert all(len(digest) == len(hashlib.sha256().hexdigest()) for digest in first.values())
