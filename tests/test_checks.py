"""The code as a whole: linted, formatted, typed strictly, and every example in it true."""

import doctest
import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FLOORS = ("geometry", "sports", "optimizer", "cli")
WITH_EXAMPLES = sorted(
    ".".join(("standmark", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")
    for floor in FLOORS
    for path in (ROOT / floor).rglob("*.py")
    if re.search(r"^ *>>> ", path.read_text(encoding="utf-8"), re.MULTILINE)
)


@pytest.mark.parametrize("words", ["ruff check .", "ruff format --check .", "mypy"])
def test_the_code_passes(words):
    done = subprocess.run([sys.executable, "-m", *words.split()], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_examples_are_found():
    assert len(WITH_EXAMPLES) > 30


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples_hold(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0, f"{name}: its examples are not found"
    assert result.failed == 0
