"""Every colour and line weight of our pictures, in one place; a mark names a style, this file says how it looks.

Where the colours come from
---------------------------
Camera hues (blue, vermillion, bluish green, reddish purple) are from the set of Okabe and Ito, "Color Universal
Design", 2008, which people with the common forms of colour blindness can tell apart; yellow and sky blue are left
out because they vanish on white. That leaves four: the fifth to the eighth camera have the same hues much darker on
white and much lighter on a dark screen, so that every two differ in hue or in lightness. `TONES` runs from near white
to Okabe and Ito's blue along a straight line of the
Oklab space (B. Ottosson, 2020) in six steps of equal CIE lightness, so that it reads the same in grey. Greys, paper
and ground are our own, chosen for at least 4.5 : 1 between text and what lies under it (Web Content Accessibility
Guidelines 2.2, success criterion 1.4.3). Nothing is shown by colour alone: a camera also has a letter, a dash pattern
and a hatch direction.
"""

from __future__ import annotations

from dataclasses import dataclass

PAPER = "#ffffff"
INK = "#1b1d1e"
QUIET = "#5c6164"
FAINT = "#c9cccb"
GROUND = "#eef0ea"
BEYOND = "#f8f8f5"
MARKING = "#7b8378"
CAMERAS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#003a5c", "#7d3600", "#00523c", "#7c3d60")
DASHES: tuple[tuple[float, ...], ...] = (
    (), (2.2, 1.0), (2.6, 0.8, 0.5, 0.8), (0.6, 0.8),
    (4.4, 0.9), (1.2, 0.6), (2.6, 0.7, 0.5, 0.7, 0.5, 0.7), (0.5, 1.6),
)  # fmt: skip
HATCH_DEG = (45.0, -45.0, 0.0, 90.0, 22.5, -22.5, 67.5, -67.5)
TONES = ("#f6f9fb", "#cbdeed", "#a0c2df", "#75a8d1", "#488dc2", "#0072b2")
"""From nothing to everything, equal steps of lightness."""
HEAT = ("#f3dcc6", "#eec09a", "#e8a46f", "#e18342", "#d55e00")
"""Toward vermillion from a tint of it: where a sport's moments happen."""

NIGHT_TONES = ("#1d2427", "#293e49", "#35596e", "#407695", "#4b95be", "#56b4e9")
"""The same on a dark screen: from its paper to Okabe and Ito's sky blue, equal steps of lightness."""


@dataclass(frozen=True)
class Style:
    """How one kind of mark looks on white paper; widths in millimetres."""

    fill: str | None = None
    fill_opacity: float = 1.0
    stroke: str | None = None
    width_mm: float = 0.2
    dash_mm: tuple[float, ...] = ()
    is_bold: bool = False


def _camera_styles() -> dict[str, Style]:
    styles = {}
    for index, (colour, dash) in enumerate(zip(CAMERAS, DASHES, strict=True)):
        styles[f"camera-{index}"] = Style(fill=colour, stroke=PAPER, width_mm=0.25)
        styles[f"station-{index}"] = Style(fill=colour, stroke=PAPER, width_mm=0.25)
        styles[f"sector-{index}"] = Style(fill=colour, fill_opacity=0.09)
        styles[f"part-{index}"] = Style(fill=colour, fill_opacity=0.16)
        styles[f"ray-{index}"] = Style(stroke=colour, width_mm=0.4, dash_mm=dash)
        styles[f"hatch-{index}"] = Style(stroke=colour, width_mm=0.25, dash_mm=dash)
        styles[f"edge-{index}"] = Style(stroke=colour, width_mm=0.35)
        styles[f"strip-{index}"] = Style(stroke=colour, width_mm=1.3)
        styles[f"drift-{index}"] = Style(stroke=colour, width_mm=0.5)
        styles[f"fallback-{index}"] = Style(fill=PAPER, stroke=colour, width_mm=0.4)
        styles[f"name-{index}"] = Style(fill=colour, is_bold=True)
    return styles


STYLES: dict[str, Style] = {
    "paper": Style(fill=PAPER),
    "beyond": Style(fill=BEYOND),
    "ground": Style(fill=GROUND),
    "shade": Style(fill=INK, fill_opacity=0.1),
    "outline": Style(stroke=MARKING, width_mm=0.3),
    "marking": Style(stroke=MARKING, width_mm=0.25),
    "marking-dashed": Style(stroke=MARKING, width_mm=0.25, dash_mm=(1.2, 0.9)),
    "spot": Style(fill=MARKING),
    "target": Style(stroke=INK, width_mm=0.5),
    "dot": Style(fill=INK, fill_opacity=0.55),
    "allowed": Style(fill="#dfe9f1", stroke="#7f9db4", width_mm=0.15),
    "allowed-line": Style(stroke="#7f9db4", width_mm=0.7),
    "clear": Style(stroke="#a9adab", width_mm=0.18),
    "forbidden": Style(stroke=QUIET, width_mm=0.22),
    "forbidden-edge": Style(stroke=QUIET, width_mm=0.3),
    "obstacle": Style(fill="#8b8f90", stroke=INK, width_mm=0.2),
    "obstacle-line": Style(stroke=INK, width_mm=0.6),
    "stand": Style(fill="#d9dbd8"),
    "rule": Style(stroke=FAINT, width_mm=0.2),
    "handover": Style(stroke=INK, width_mm=0.5, dash_mm=(3.0, 0.8, 0.6, 0.8)),
    "action": Style(stroke=QUIET, width_mm=0.3, dash_mm=(2.4, 1.6)),
    "crossed": Style(stroke=INK, width_mm=0.6, dash_mm=(1.2, 0.7)),
    "line": Style(stroke=INK, width_mm=0.3),
    "thin": Style(stroke=QUIET, width_mm=0.15),
    "leader": Style(stroke=QUIET, width_mm=0.15),
    "scale-dark": Style(fill=INK),
    "scale-light": Style(fill=PAPER, stroke=INK, width_mm=0.15),
    "sun": Style(fill=INK),
    "sun-low": Style(fill=PAPER, stroke=INK, width_mm=0.25),
    "sun-path": Style(stroke=INK, width_mm=0.35),
    "best": Style(fill=PAPER, stroke=INK, width_mm=0.4),
    "position": Style(fill=CAMERAS[0], stroke=PAPER, width_mm=0.25),
    "position-short": Style(fill=PAPER, stroke=CAMERAS[1], width_mm=0.5),
    "position-wanted": Style(stroke=QUIET, width_mm=0.4),
    "looks": Style(stroke=CAMERAS[0], width_mm=0.25),
    "looks-short": Style(stroke=CAMERAS[1], width_mm=0.25, dash_mm=DASHES[1]),
    "plate": Style(fill=PAPER, fill_opacity=0.88),
    "danger": Style(fill=PAPER, stroke=INK, width_mm=0.35),
    "on-camera": Style(fill=PAPER, is_bold=True),
    "sky": Style(fill="#e9eef2"),
    "hall": Style(fill="#eeebe6"),
    "land": Style(fill="#dcded6"),
    "lawn": Style(fill="#c3c9b8"),
    "horizon": Style(stroke="#9aa2a6", width_mm=0.15),
    "chalk": Style(stroke=PAPER, width_mm=0.4),
    "chalk-spot": Style(fill=PAPER),
    "bar": Style(stroke=INK, width_mm=0.55),
    "mesh": Style(stroke="#6d7275", width_mm=0.1),
    "veil": Style(fill="#6d7275", fill_opacity=0.06),
    "wall": Style(fill="#9a9d9c", stroke="#5c6164", width_mm=0.12),
    "roof": Style(fill="#b4b7b5", stroke="#5c6164", width_mm=0.12),
    "subject": Style(fill="#d55e00", stroke=PAPER, width_mm=0.2),
    "side-0": Style(fill="#33383b", stroke=PAPER, width_mm=0.12),
    "side-1": Style(fill=PAPER, stroke="#33383b", width_mm=0.15),
    "action-safe": Style(stroke=QUIET, width_mm=0.1, dash_mm=(1.4, 1.0)),
    "graphics-safe": Style(stroke=QUIET, width_mm=0.1, dash_mm=(0.4, 1.0)),
    "frame-edge": Style(stroke=INK, width_mm=0.3),
    "text": Style(fill=INK),
    "strong": Style(fill=INK, is_bold=True),
    "quiet": Style(fill=QUIET),
    "pitch": Style(fill=PAPER),
    "pitch-edge": Style(stroke=INK, width_mm=0.45),
    "pitch-line": Style(stroke=INK, width_mm=0.22),
    "pitch-dashed": Style(stroke=INK, width_mm=0.22, dash_mm=(1.2, 0.9)),
    "pitch-spot": Style(fill=INK),
    "may-stand": Style(fill="#e2e2e2", stroke="#6b6b6b", width_mm=0.18),
    "may-stand-line": Style(stroke="#9a9a9a", width_mm=0.9),
    "arrow": Style(fill=PAPER, stroke=INK, width_mm=0.35),
    "walk": Style(stroke=INK, width_mm=0.55, dash_mm=(0.6, 1.0)),
    "sun-ray": Style(stroke=INK, width_mm=0.3),
    "sun-disc": Style(fill=PAPER, stroke=INK, width_mm=0.3),
    "band": Style(stroke=INK, width_mm=0.56),
    "hair": Style(stroke="#8a8a8a", width_mm=0.18),
    "cut": Style(stroke=INK, width_mm=0.15),
    "grade-full": Style(fill=INK),
    "grade-rim": Style(fill=PAPER, stroke=INK, width_mm=0.3),
    "halo": Style(fill=PAPER, fill_opacity=0.85),
    **{f"tone-{i}": Style(fill=colour) for i, colour in enumerate(TONES)},
    **{f"heat-{i}": Style(fill=colour) for i, colour in enumerate(HEAT, start=1)},
    **{f"value-{i}": Style(fill=colour, stroke=QUIET, width_mm=0.1) for i, colour in enumerate(TONES)},
    **_camera_styles(),
}


def _night_cameras() -> dict[str, dict[str, str]]:
    """Camera colours on a dark screen: sky blue for blue, which is too dark there; the last four turn light."""
    looks: dict[str, dict[str, str]] = {"on-camera": {"fill": NIGHT}}
    for index, colour in enumerate(("#56b4e9", *CAMERAS[1:4], *NIGHT_LATER)):
        looks[f"camera-{index}"] = {"fill": colour, "stroke": NIGHT}
        looks[f"station-{index}"] = {"fill": colour, "stroke": NIGHT}
        looks[f"sector-{index}"] = {"fill": colour, "fill-opacity": "0.16"}
        looks[f"fallback-{index}"] = {"fill": NIGHT, "stroke": colour}
        looks[f"name-{index}"] = {"fill": colour}
        for kind in ("ray", "hatch", "edge", "strip", "drift"):
            looks[f"{kind}-{index}"] = {"stroke": colour}
    return looks


NIGHT_LATER = ("#b5def7", "#ffbd94", "#8ee6cb", "#f3cfe2")
NIGHT, NIGHT_INK, NIGHT_QUIET = "#141719", "#eceeed", "#a7adaf"
DARK: dict[str, dict[str, str]] = {
    **{name: {"fill": NIGHT_INK} for name in ("text", "strong", "dot", "scale-dark", "spot")},
    **{name: {"stroke": NIGHT_INK} for name in ("target", "obstacle-line", "handover", "line", "bar", "frame-edge")},
    "crossed": {"stroke": NIGHT_INK},
    **{name: {"stroke": "#8d9791"} for name in ("outline", "marking", "marking-dashed")},
    **{name: {"stroke": "#5d6669"} for name in ("clear", "rule", "horizon")},
    **{
        name: {"stroke": NIGHT_QUIET}
        for name in ("forbidden", "forbidden-edge", "leader", "thin", "action", "action-safe")
    },
    "quiet": {"fill": NIGHT_QUIET},
    "plate": {"fill": NIGHT},
    "ground": {"fill": "#20272a"},
    "shade": {"fill": "#000000", "fill-opacity": "0.35"},
    "allowed": {"fill": "#22323d", "stroke": "#4d6d82"},
    "allowed-line": {"stroke": "#4d6d82"},
    "obstacle": {"fill": "#6f7577", "stroke": NIGHT_INK},
    "sky": {"fill": "#232c33"},
    "hall": {"fill": "#2a2725"},
    "land": {"fill": "#2b2e2a"},
    "lawn": {"fill": "#38402f"},
    "chalk": {"stroke": "#c8cec4"},
    "chalk-spot": {"fill": "#c8cec4"},
    "mesh": {"stroke": "#9aa1a4"},
    "wall": {"fill": "#55595a", "stroke": "#868b8d"},
    "roof": {"fill": "#646869", "stroke": "#868b8d"},
    "subject": {"stroke": NIGHT},
    "side-0": {"fill": "#59636a", "stroke": NIGHT},
    "side-1": {"fill": "#d9dcda", "stroke": "#0d0f10"},
    **{f"tone-{i}": {"fill": colour} for i, colour in enumerate(NIGHT_TONES)},
    **{f"value-{i}": {"fill": colour, "stroke": NIGHT_QUIET} for i, colour in enumerate(NIGHT_TONES)},
    **{name: {"fill": NIGHT} for name in ("pitch", "halo")},
    **{name: {"stroke": NIGHT_INK} for name in ("pitch-edge", "pitch-line", "pitch-dashed", "walk", "sun-ray", "band")},
    **{name: {"fill": NIGHT, "stroke": NIGHT_INK} for name in ("arrow", "sun-disc", "grade-rim")},
    **{name: {"fill": NIGHT_INK} for name in ("pitch-spot", "grade-full")},
    "may-stand": {"fill": "#33383b", "stroke": "#8d9791"},
    "may-stand-line": {"stroke": "#8d9791"},
    **_night_cameras(),
}
"""What changes on a dark screen, as declarations of the page's style sheet."""
