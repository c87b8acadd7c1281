"""Names of a package that are imported when they are first asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def lazy_names(package: str, homes: Mapping[str, str]) -> tuple[Callable[[str], Any], Callable[[], list[str]]]:
    """Make `__getattr__` and `__dir__` of a package (PEP 562).

    Parameters
    ----------
    package : its name
    homes : the module below it that holds each name
    """

    def get(name: str) -> Any:
        """Import a name from its home."""
        if name not in homes:
            raise AttributeError(f"module {package} has no attribute {name}; it has {', '.join(sorted(homes))}")
        return getattr(import_module(f"{package}.{homes[name]}"), name)

    def names() -> list[str]:
        """List what the package holds by now, and what it can import."""
        return sorted({*vars(import_module(package)), *homes})

    return get, names
