"""What the sheet of an operator is called."""

from __future__ import annotations

import re


def sheet_name(camera: str) -> str:
    """Name of the sheet of a camera, whose own name may hold anything: letters and digits, no ending.

    >>> sheet_name("A"), sheet_name("B / roof")
    ('sheet-A', 'sheet-B-roof')
    """
    return f"sheet-{re.sub(r'[^A-Za-z0-9]+', '-', camera).strip('-') or 'camera'}"
