"""What is shipped: the four folders under one name, every data file, and a README whose commands are real."""

import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_wheel_holds_only_our_packages_and_every_data_file(tmp_path):
    copy = tmp_path / "source"
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split(
        "\n"
    )
    for name in filter(None, tracked):
        source = ROOT / name
        if source.is_file() and not name.startswith(".import/"):
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_bytes(source.read_bytes())
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path), str(copy)]
    subprocess.run(command, capture_output=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    names = {n for n in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in n}
    expected = {
        f"standmark/{name}" for name in tracked if name.split("/")[0] in ("geometry", "sports", "optimizer", "cli")
    }
    assert names == expected


def test_readme_gives_the_commands_that_ci_runs():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = "bash tests/setup.sh && .venv/bin/python -m pytest -q"
    assert command in readme
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert (ROOT / "examples" / "heron-lane.toml").exists()
    assert "standmark plan examples/heron-lane.toml --out plan/" in readme
