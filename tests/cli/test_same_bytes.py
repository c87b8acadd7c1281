"""The same match gives the same bytes, whatever the process, its hash seed, its zone, its folder."""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

SCRIPT = """
import hashlib, json, os, sys, time
sys.path[:0] = sys.argv[1:3]
from drawn_plans import PLACED, planned_text
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.commands.results import drawn_files
for folder, zone, n_cores in json.loads(sys.argv[3]):
    if child := os.fork():
        assert os.waitpid(child, 0)[1] == 0
        continue
    os.chdir(folder)
    os.environ["TZ"] = zone
    time.tzset()
    os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:n_cores])
    plan = planned_text(PLACED[:PLACED.rindex("[[camera]]")])
    files = {"plan.json": plan_bytes(plan), **drawn_files(plan)}
    print(json.dumps({name: hashlib.sha256(content).hexdigest() for name, content in files.items()}), flush=True)
    os._exit(0)
"""
ROOT = Path(__file__).resolve().parents[2]


def digests(ways, **environment):
    """Digests of every file, for each folder, zone and number of cores, in copies of one process."""
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(ROOT / ".import"), str(ROOT / "tests"), json.dumps(ways)],
        env={**os.environ, **environment}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    return [json.loads(line) for line in run.stdout.splitlines()]


def test_every_file_is_the_same_in_another_process(tmp_path):
    """A share of `benchmarks/hostile.py --same`: four processes; hash seed, zone, language, folder and cores differ."""
    here, there = str(tmp_path), str(tmp_path / "elsewhere")
    Path(there).mkdir()
    first, *others = [
        *digests([(here, "UTC", 1), (there, "Pacific/Auckland", 64)], PYTHONHASHSEED="0", LANG="C.UTF-8"),
        *digests([(there, "America/St_Johns", 1), (here, "UTC", 64)], PYTHONHASHSEED="1", LANG="C"),
    ]
    assert set(first) == {"plan.json", "plan.png", "plan.svg", "maps.svg", "height.svg",
                          "sheet.html", "sheet.pdf", "sheet-A.pdf", "cards.pdf", "duties.csv",
                          "positions.geojson", "positions.gpx", "positions.kml", "times.ics"}  # fmt: skip
    assert others == [first] * 3
    assert all(len(digest) == len(hashlib.sha256().hexdigest()) for digest in first.values())
