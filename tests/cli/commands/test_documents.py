"""Documents by topic: short, linked from the README, and every command that begins one can be typed as it stands."""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from standmark.cli.main import standmark

ROOT = Path(__file__).resolve().parents[3]
DOCS = ROOT / "docs"
TOPICS = ("numbers", "match-file", "plan-json", "scores", "settings-and-day", "book", "tournament")


def first_commands(text):
    """Commands of the first block of a document, one a line."""
    block = re.search(r"```sh\n(.*?)```", text, re.DOTALL)
    return [shlex.split(line) for line in block[1].splitlines() if line.startswith("standmark ")] if block else []


def test_readme_is_short_and_links_every_document():
    text = (ROOT / "README.md").read_text("utf-8")
    assert len(text.splitlines()) <= 120
    for page in DOCS.glob("*.md"):
        assert f"(docs/{page.name})" in text, page.name


@pytest.mark.parametrize("page", sorted(p.name for p in DOCS.glob("*.md")))
def test_links_and_pictures_of_a_document_are_there(page):
    text = (DOCS / page).read_text("utf-8")
    for target in re.findall(r"\]\(([^)#\s]+)", text):
        if "://" not in target:
            assert (DOCS / target).exists(), target


@pytest.mark.parametrize("topic", TOPICS)
def test_commands_of_a_document_can_be_typed_as_they_stand(topic, tmp_path, monkeypatch):
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    commands = first_commands((DOCS / f"{topic}.md").read_text("utf-8"))
    assert commands
    for command in commands:
        done = CliRunner().invoke(standmark, command[1:], catch_exceptions=False)
        assert done.exit_code == 0, (command, done.output[-500:])
