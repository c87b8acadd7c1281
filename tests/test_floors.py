"""Imports point down the floors only, and only the top floor prints, draws or writes."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
FLOORS = ["geometry", "sports", "optimizer", "cli"]
TOP_FLOOR_ONLY = {"matplotlib", "click", "rich", "jinja2", "gpxpy", "icalendar"}


def python_files(floor):
    return sorted((ROOT / floor).rglob("*.py"))


def imported_names(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module or ""


@pytest.mark.parametrize("floor", FLOORS)
def test_imports_point_down(floor):
    above = set(FLOORS[FLOORS.index(floor) + 1 :])
    files = python_files(floor)
    assert files, f"no python files in {floor}"
    for path in files:
        for name in imported_names(path):
            parts = name.split(".")
            if parts[0] == "standmark":
                assert len(parts) == 1 or parts[1] not in above, f"{path} imports {name}"


@pytest.mark.parametrize("floor", FLOORS[:-1])
def test_lower_floors_have_no_side_effects(floor):
    for path in python_files(floor):
        for name in imported_names(path):
            assert name.split(".")[0] not in TOP_FLOOR_ONLY, f"{path} imports {name}"
        calls = [
            n.func.id
            for n in ast.walk(ast.parse(path.read_text()))
            if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        ]
        assert "print" not in calls, f"{path} prints"


def test_search_knows_arrays_only():
    for path in sorted((ROOT / "optimizer" / "search").glob("*.py")):
        for name in imported_names(path):
            assert not name.startswith("standmark.") or name.startswith("standmark.optimizer.search"), f"{path}: {name}"
