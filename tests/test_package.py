"""What is shipped: the four folders under one name, every data file, and a README whose commands are real."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FLOORS = ("geometry", "sports", "optimizer", "cli")


def test_wheel_holds_only_our_packages_and_every_data_file(tmp_path):
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    tracked = [name for name in listed.splitlines() if os.path.lexists(ROOT / name)]
    for name in tracked:
        copy = tmp_path / "source" / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, copy, follow_symlinks=False)
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path)]
    done = subprocess.run([*command, str(tmp_path / "source")], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    names = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert names == {f"standmark/{name}" for name in tracked if name.split("/")[0] in FLOORS}


def test_readme_gives_the_commands_that_ci_runs():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = "bash tests/setup.sh && .venv/bin/python -m pytest -q"
    assert command in readme
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert (ROOT / "examples" / "heron-lane.toml").exists()
    assert "standmark plan examples/heron-lane.toml --out plan/" in readme
