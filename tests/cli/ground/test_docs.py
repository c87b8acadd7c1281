"""The commands that docs/grounds.md shows are real: each is run as it stands there."""

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from standmark.cli.main import standmark

ROOT = Path(__file__).resolve().parents[3]
TEXT = (ROOT / "docs" / "grounds.md").read_text(encoding="utf-8")
SLOW = ("book", "plan")
COMMANDS = [
    line
    for block in re.findall(r"```sh\n(.*?)```", TEXT, re.DOTALL)
    for line in block.splitlines()
    if line.startswith("standmark ") and line.split()[1] not in SLOW
]


@pytest.mark.parametrize("line", COMMANDS)
def test_a_command_of_the_docs_runs(line, tmp_path, monkeypatch):
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(standmark, shlex.split(line)[1:])
    assert done.exit_code == 0, f"{line}: {done.output} {done.exception}"


def test_the_docs_show_commands_of_every_kind():
    assert {line.split()[1] for line in COMMANDS} == {"ground", "spot"}
    assert len(COMMANDS) >= 6
