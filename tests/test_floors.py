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
    plain = ("arrays", "apart", "compiled")
    known = "standmark.optimizer.search", *(f"standmark.geometry.{name}" for name in plain)
    for path in sorted((ROOT / "optimizer" / "search").glob("*.py")):
        for name in imported_names(path):
            assert not name.startswith("standmark.") or name.startswith(known), f"{path}: {name}"


MOST_ENTRIES = 14  # of one floor: rooms and loose files


def module_name(path):
    return ".".join(("standmark", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")


def room_of(module):
    """Floor and direct child: standmark.optimizer.value.size -> optimizer.value."""
    return ".".join(module.split(".")[1:3])


def room_imports():
    """Each room -> the rooms that its files import, with one file that does."""
    modules = {module_name(path): path for floor in FLOORS for path in python_files(floor)}
    found = {}
    for module, path in modules.items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("standmark."):
                for alias in node.names:
                    whole = f"{node.module}.{alias.name}"
                    target = room_of(whole if whole in modules else node.module)
                    if target != room_of(module):
                        found.setdefault(room_of(module), {}).setdefault(target, path.relative_to(ROOT))
    return found


def test_no_room_imports_one_that_imports_it():
    imports = room_imports()
    assert imports, "no room imports another: the reading of imports is broken"
    for room in imports:
        reached, ahead = set(), [room]
        while ahead:
            for target in imports.get(ahead.pop(), {}):
                if target not in reached:
                    reached.add(target)
                    ahead.append(target)
        assert room not in reached, f"{room} imports itself, by way of {sorted(reached)}"


@pytest.mark.parametrize("floor", FLOORS)
def test_a_floor_can_be_taken_in_at_a_glance(floor):
    entries = [
        path.name
        for path in (ROOT / floor).iterdir()
        if path.name not in ("__init__.py", "__pycache__", "py.typed") and not path.name.startswith(".")
    ]
    assert len(entries) <= MOST_ENTRIES, sorted(entries)


@pytest.mark.parametrize("floor", FLOORS[:-1])
def test_tests_of_a_floor_import_that_floor_and_those_below(floor):
    above = set(FLOORS[FLOORS.index(floor) + 1 :])
    for path in sorted((ROOT / "tests" / floor).rglob("*.py")):
        for name in imported_names(path):
            parts = name.split(".")
            assert parts[0] != "standmark" or parts[1] not in above, f"{path} imports {name}"
