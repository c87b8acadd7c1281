"""What is shipped: the four folders under one name, every data file, and a README whose commands are real."""

import os
import shutil
import subprocess
import sys
import zipfile
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
FLOORS = ("geometry", "sports", "optimizer", "cli")


def compiler(folder, line):
    """Put a command in the place of the C compiler."""
    path = folder / "cc"
    path.write_text(f"#!/bin/sh\n{line}\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)


def test_wheel_holds_only_our_packages_and_every_data_file(tmp_path):
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    tracked = [name for name in listed.splitlines() if os.path.lexists(ROOT / name)]
    for name in tracked:
        copy = tmp_path / "source" / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, copy, follow_symlinks=False)
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path)]
    env = os.environ | {"CC": compiler(tmp_path, 'exec cc "$@" -O0')}  # what is built is looked at, not run
    done = subprocess.run([*command, str(tmp_path / "source")], env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    names = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    built = {name for name in names if name.endswith((".so", ".pyd"))}
    sources = {f"standmark/{name}" for name in tracked if name.split("/")[0] in FLOORS}
    assert names - built == {name for name in sources if not name.endswith((".c", ".h"))}
    assert {name.split(".")[0] for name in built} == {name.split(".")[0] for name in sources if name.endswith(".c")}
    assert "-cp311-abi3-" in wheel.name  # one wheel for this and all later versions of Python


def test_installs_without_a_compiler(tmp_path):
    command = [
        sys.executable,
        "setup.py",
        "-q",
        "build_ext",
        "--build-lib",
        str(tmp_path),
        "--build-temp",
        str(tmp_path),
    ]
    env = os.environ | {"CC": compiler(tmp_path, "exit 1")}
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert not list(tmp_path.rglob("*.so"))


def test_readme_gives_the_commands_that_ci_runs():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = "bash tests/setup.sh && .venv/bin/python -m pytest -q"
    assert command in readme
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert (ROOT / "examples" / "heron-lane.toml").exists()
    assert "standmark plan examples/heron-lane.toml --out plan/" in readme


def needed(name, extras, found):
    """Every installed distribution that one needs, with what those need in turn: name -> version."""
    try:
        there = distribution(name)
    except PackageNotFoundError:
        return
    wanted = {"", *extras}
    known = found.setdefault(canonicalize_name(name), (there.version, set()))[1]
    if wanted <= known:
        return
    known |= wanted
    for words in there.requires or ():
        requirement = Requirement(words)
        if requirement.marker is None or any(requirement.marker.evaluate({"extra": extra}) for extra in wanted):
            needed(requirement.name, requirement.extras, found)


def test_constraints_name_every_version_that_is_installed():
    found = {}
    needed("standmark", {"test"}, found)
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pinned = dict(line.split("==") for line in lines if line and not line.startswith("#"))
    pinned = {canonicalize_name(name): version for name, version in pinned.items()}
    installed = {name: version for name, (version, _) in found.items() if name != "standmark"}
    assert len(installed) > 50
    assert {name: pinned.get(name) for name in installed} == installed


def test_first_command_of_the_readme_installs_what_was_tested():
    assert "-c constraints.txt -e . &&" in (ROOT / "README.md").read_text(encoding="utf-8")
