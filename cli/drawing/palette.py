"""Every colour and line weight of our pictures, in one place.

Hues are from the set of Okabe and Ito (Color Universal Design, 2008), which people with the common forms
of colour blindness can tell apart; yellow is left out on white. Nothing is told by colour alone: cameras
also carry a letter and a line style, areas a hatch.
"""

from __future__ import annotations

PAPER = "#ffffff"
INK = "#1c1c1c"
QUIET = "#6f6f6f"
GROUND = "#eef1ec"  # playing area: near white, so that print in grey keeps contrast
MARKING = "#7d857a"
TARGET = "#1c1c1c"
HEAT = "#d55e00"  # hot zones: vermillion, laid on thinly
ALLOWED = "#0072b2"
KEEP_CLEAR = "#9a9a9a"
CAMERAS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7")
CAMERA_DASHES = ("-", "--", "-.", ":")
"""Same order as the cameras of a match."""

LINE = 0.8
THIN = 0.5
"""Points."""
