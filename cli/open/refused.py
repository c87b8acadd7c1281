"""Why something that a page asked for was not done."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from standmark.cli.open.checked import Fault


class StaleError(Exception):
    """Somebody else has changed the match meanwhile."""


class FaultError(Exception):
    """A change that makes no sound match."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("; ".join(fault.words for fault in faults))
        self.faults = tuple(faults)


class DiskError(Exception):
    """The file is another one than the page knows; holds what differs."""

    def __init__(self, differs: dict[str, Any]) -> None:
        super().__init__("changed on disk")
        self.differs = differs
