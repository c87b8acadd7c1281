"""The page as one document, made from its files when the server starts: modules in one script, styles beside it.

The browser lets a script run by the digest of its text (see `safe.py`). What a module imports has no digest of its own
in every browser, so the modules are put behind one another into one scope: in the order in which a browser would run
them, without their imports, and with exports as plain names. So no two modules may use the same name at their top
level: the browser says so, and runs nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

FIRST = "main.js"
IMPORT = re.compile(r'import \{ (?P<names>[\w, ]+) \} from "\./(?P<file>\w+\.js)";')
EXPORT = re.compile(r"^export (?=(?:async )?function|const |let )", re.MULTILINE)
MARK = re.compile(r'<link rel="stylesheet" href="(\w+\.css)">|<script type="module" src="main\.js"></script>')
ENDS = re.compile(r"</(script|style)|<!--", re.IGNORECASE)  # what would end the script or style, or hide it


@dataclass(frozen=True)
class WholePage:
    """The document, and the texts that it may run and use."""

    html: str
    script: str
    styles: tuple[str, ...]


def whole_page(files: Mapping[str, str]) -> WholePage:
    """Join the files of the page, by name.

    Raises
    ------
    ValueError : a module is not written so that it can be joined; says which
    """
    script = joined(files)
    styles = []

    def inside(mark: re.Match[str]) -> str:
        """Put a file in the place of the tag that names it."""
        if mark[1] is None:
            return f'<script type="module">{script}</script>'
        styles.append(files[mark[1]])
        return f"<style>{files[mark[1]]}</style>"

    html = MARK.sub(inside, files["index.html"])
    if any(ENDS.search(text) for text in (script, *styles)):
        raise ValueError("a script or style of the page holds an end tag or a comment of HTML")
    return WholePage(html, script, tuple(styles))


def joined(files: Mapping[str, str]) -> str:
    """Put all modules that the first one needs into one scope."""
    parts = []
    for name in _order(files, FIRST, set()):
        lines = [line for line in files[name].splitlines() if not line.startswith("import ")]
        parts.append(EXPORT.sub("", "\n".join([f"// {name}", *lines])))
    return "\n" + "\n\n".join(parts) + "\n"


def _order(files: Mapping[str, str], name: str, seen: set[str]) -> Iterator[str]:
    """Names of a module and of all that it imports, each after what it imports."""
    seen.add(name)
    for line in files[name].splitlines():
        if not line.startswith("import "):
            continue
        found = IMPORT.fullmatch(line)
        if found is None or found["file"] not in files or " as " in found["names"]:
            raise ValueError(f"{name} must import plain names from a module of the page: {line}")
        if found["file"] not in seen:
            yield from _order(files, found["file"], seen)
    yield name
