"""Compiled templates are kept beside the templates, serve again, and are never needed."""

import sys

import pytest
from jinja2 import Environment, FileSystemLoader

from standmark.cli.sheet.template_cache import TemplateCache


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    (tmp_path / "page.html").write_text("Hello {{ name }}", "utf-8")
    return tmp_path


def rendered(folder):
    """Render in a program that has compiled nothing yet."""
    environment = Environment(loader=FileSystemLoader(folder), bytecode_cache=TemplateCache(folder), autoescape=True)
    return environment.get_template("page.html").render(name="you")


def test_a_template_is_compiled_once(folder, monkeypatch):
    assert rendered(folder) == "Hello you"
    assert len(list((folder / "__pycache__").iterdir())) == 1
    monkeypatch.setattr(Environment, "compile", None)  # whoever compiles now fails
    assert rendered(folder) == "Hello you"


def test_a_changed_template_is_compiled_again(folder):
    rendered(folder)
    (folder / "page.html").write_text("Goodbye {{ name }}", "utf-8")
    assert rendered(folder) == "Goodbye you"


def test_a_damaged_file_is_made_again(folder):
    rendered(folder)
    (kept,) = (folder / "__pycache__").iterdir()
    kept.write_bytes(kept.read_bytes()[:30])
    assert rendered(folder) == "Hello you"


def test_nothing_is_kept_where_nothing_can_be_written_or_may_be(folder, monkeypatch):
    (folder / "__pycache__").write_text("a file in the way", "utf-8")
    assert rendered(folder) == "Hello you"
    (folder / "__pycache__").unlink()
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert rendered(folder) == "Hello you"
    assert not (folder / "__pycache__").exists()
