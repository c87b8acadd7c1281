"""How many small wrong changes the tests catch: mutants drawn at random, each run against the tests of its file.

The operators are those of cosmic-ray (extra `mutation`). Modules, their tests, the number drawn and the seed stand in
`pyproject.toml` under `[tool.mutants]`. All happens in a copy of the tracked files and the compiled kernels; what
stands in annotations and decorators is not drawn, because it changes nothing that runs.

    .venv/bin/python benchmarks/mutants.py [--draw 300] [--minutes 30]
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import hypothesis
import matplotlib
import numpy
import pydantic
import pytest
import shapely
from cosmic_ray.ast import ast_nodes, get_ast_from_path
from cosmic_ray.mutating import use_mutation
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).resolve().parents[1]
TIMEOUT_S = 240
LOADED = hypothesis, matplotlib, numpy, pydantic, shapely  # so that a child need not load them


@dataclass(frozen=True)
class Mutant:
    """One change: which operator, at which of its places in a file."""

    module: str
    tests: tuple[str, ...]
    operator: str
    occurrence: int
    line: int


def mutants_of(module: str, tests: tuple[str, ...]) -> Iterator[Mutant]:
    """List every change that the operators can make in a file."""
    path = ROOT / module
    tree, silent = get_ast_from_path(path), list(_silent_parts(path))
    for name in operator_names():
        kind = get_operator(name)
        if kind.arguments() or name.endswith("NoOp"):
            continue
        places = (start for node in ast_nodes(tree) for start, _stop in kind().mutation_positions(node))
        for occurrence, start in enumerate(places):
            if not any(low <= start <= high for low, high in silent):
                yield Mutant(module, tests, name, occurrence, start[0])


def _silent_parts(path: Path) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Where annotations and decorators stand."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        parts = [
            getattr(node, "annotation", None),
            getattr(node, "returns", None),
            *getattr(node, "decorator_list", []),
        ]
        for part in parts:
            if isinstance(part, ast.expr):
                yield (part.lineno, part.col_offset - 1), (part.end_lineno or 0, part.end_col_offset or 0)


def copy_of_the_tree(folder: Path) -> None:
    """Copy all tracked files and the compiled kernels, so that nothing is changed here."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    built = [str(path.relative_to(ROOT)) for path in ROOT.glob("*/*/*_kernel.*so")]
    for name in [*listed.splitlines(), *built]:
        if os.path.lexists(ROOT / name):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name, follow_symlinks=False)


def outcome(mutant: Mutant | None, tests: tuple[str, ...], folder: Path) -> str:
    """Run tests on one change, or on none."""
    if mutant is None:
        return _tested(tests, folder)
    with use_mutation(folder / mutant.module, get_operator(mutant.operator)(), mutant.occurrence) as (_old, new):
        return "none" if new is None else _tested(tests, folder)


def _tested(tests: tuple[str, ...], folder: Path) -> str:
    """Run tests in a child that has the heavy libraries already; none of ours is imported before it."""
    child = os.fork()
    if child == 0:
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        os.dup2(silence, 2)
        os.chdir(folder)
        os.environ["PYTHONPATH"] = str(folder / ".import")
        sys.dont_write_bytecode = True
        signal.alarm(TIMEOUT_S)
        os._exit(int(pytest.main(["-q", "-x", "-n0", "-p", "no:cacheprovider", *tests])))
    status = os.waitpid(child, 0)[1]
    return "survived" if status == 0 else "killed"


def main() -> None:
    """Draw, run and count."""
    given = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["mutants"]
    parser = argparse.ArgumentParser()
    parser.add_argument("--draw", type=int, default=given["draw"])
    parser.add_argument("--minutes", type=float, default=float("inf"), help="stop after this long")
    asked = parser.parse_args()
    every = [m for module, tests in given["modules"].items() for m in mutants_of(module, tuple(tests))]
    drawn = random.Random(given["seed"]).sample(every, min(asked.draw, len(every)))
    end = time.monotonic() + 60 * asked.minutes
    os.nice(10)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        copy_of_the_tree(folder)
        for tests in {m.tests for m in drawn}:
            if outcome(None, tests, folder) != "survived":
                print(f"left out: {' '.join(tests)} fails without any change", flush=True)
                drawn = [m for m in drawn if m.tests != tests]
        counts: Counter[tuple[str, str]] = Counter()
        for number, mutant in enumerate(drawn, start=1):
            if time.monotonic() > end:
                break
            result = outcome(mutant, mutant.tests, folder)
            counts[mutant.module, result] += 1
            if result == "survived":
                print(
                    f"{number}: survived: {mutant.module}:{mutant.line} {mutant.operator} {mutant.occurrence}",
                    flush=True,
                )
        for module in sorted({m for m, _ in counts}):
            print(f"{module}: {counts[module, 'killed']} of {counts[module, 'killed'] + counts[module, 'survived']}")
        killed = sum(n for (_, result), n in counts.items() if result == "killed")
        tried = killed + sum(n for (_, result), n in counts.items() if result == "survived")
        print(f"{killed} of {tried} killed ({100 * killed / max(tried, 1):.0f} %); {len(every)} could be drawn")


if __name__ == "__main__":
    main()
