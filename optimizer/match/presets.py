"""Kit and deliverables that a match file can call by name; every figure can be given in full instead.

Sensor sizes are the usual nominal ones (Super 35, 1-inch and APS-C from memory; full frame, Four Thirds
and 2/3-inch from published dimension tables); pan limits and sizes in frame are common practice, no source,
unless a comment says more.
"""

from __future__ import annotations

import re
from dataclasses import replace

from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support
from standmark.optimizer.match.match import PRACTISED, Deliverable
from standmark.sports.sport import PlayingArea

_RATES = (24.0, 25.0, 30.0, 50.0, 60.0)
_FAST = (*_RATES, 100.0, 120.0)

MODES = {
    m.name: m
    for m in (
        RecordingMode("full-frame-uhd", 36.0, 20.25, 3840, 2160, _RATES),
        RecordingMode("full-frame-hd", 36.0, 20.25, 1920, 1080, _FAST),
        RecordingMode("super35-uhd", 24.89, 14.0, 3840, 2160, _FAST),
        RecordingMode("super35-hd", 24.89, 14.0, 1920, 1080, _FAST),
        RecordingMode("apsc-uhd", 23.5, 13.22, 3840, 2160, _RATES),
        RecordingMode("four-thirds-uhd", 17.3, 9.73, 3840, 2160, _RATES),
        RecordingMode("one-inch-uhd", 13.2, 7.425, 3840, 2160, _RATES),
        RecordingMode("two-thirds-hd", 9.59, 5.39, 1920, 1080, (25.0, 50.0)),
        RecordingMode("full-frame-still", 36.0, 24.0, 6000, 4000, (10.0, 20.0)),
    )
}

SUPPORTS = {
    s.name: s
    for s in (
        Support("tripod", 60.0, 40.0),
        Support("monopod", 75.0, 50.0),
        Support("gimbal", 90.0, 60.0),
        Support("handheld", 90.0, 60.0),
    )
}

# Delay behind steady movement. A trained pointer follows foreseeable targets 0.15 to 0.25 s late, a novice 0.25 to
# 0.40 s (from memory); hands on targets nobody can foresee are 0.12 to 0.30 s late (published tracking experiments).
# Nobody is known to have measured camera operators: the three classes are estimates.
OPERATORS = {o.name: o for o in (Operator("new", 0.40), PRACTISED, Operator("expert", 0.15))}

# Share of frame height and pixel densities: full figure and loose action shots run from a third to four
# fifths of the frame; 125 px/m recognises a known person and 62.5 px/m observes (IEC/EN 62676-4, first
# edition, security video: used as landmarks only). Main-camera look-down of 15 to 18 degrees: Swedish
# Ice Hockey Association arena rules 2022/23, 3.11.
# Analysis: the whole shape from high up near halfway, faces hardly matter, every phase of play counts, no
# cutaways; a slice of two fifths of the playing area (40 m in football gives a player 8 % of the frame).
# Slow motion: replays come mostly from low tight cameras near the ends, so looking down steeply loses.
# Both are common practice, no source, beyond what is named above.
# Wish for faces: our taste, no source; a film may say another ([film] faces). Whoever analyses play looks at shape
# and needs none. Highlights live on what happens: where faces matter wholly, a moment from behind keeps half its
# worth. Slow motion is watched for technique and expression, and in a tall frame one person is the whole picture:
# there it keeps 0.3.
DELIVERABLES = {
    d.key: d
    for d in (
        Deliverable("highlights", "Highlights", 0.12, 0.45, 250.0, 1.0, (16, 9), 25.0, faces=0.5),
        Deliverable("analysis", "Analysis", 0.03, 0.10, 62.5, 3.0, (16, 9), 25.0,
                    faces=0.0, off_play_scale=0.0, evenness=0.5, look_down_deg=12.0),
        Deliverable("slow-motion", "Slow motion", 0.20, 0.60, 350.0, 0.8, (16, 9), 100.0,
                    faces=0.7, off_play_scale=0.5, look_down_most_deg=3.0),
        Deliverable("vertical", "Vertical clips", 0.12, 0.45, 250.0, 0.7, (9, 16), 25.0, faces=0.7),
    )
}  # fmt: skip
SHAPE_SHARE = 0.4  # of the playing area's length, that an analysis frame holds at least


def deliverable_for(key: str, area: PlayingArea, *, faces: float | None = None) -> Deliverable:
    """Deliverable of a name, with what depends on the size of the playing area, and with another wish for faces."""
    known = DELIVERABLES[key]
    return replace(
        known,
        least_width_m=SHAPE_SHARE * area.length_m if key == "analysis" else known.least_width_m,
        faces=known.faces if faces is None else faces,
    )


# what people hire or borrow for a match: a longer zoom, a fast long prime, a wide zoom; focal lengths and apertures
# are those of the usual makes (common practice, no source)
HIRE = (
    Lens("100-400", (100.0, 400.0), (4.5, 5.6)),
    Lens("300 prime", (300.0, 300.0), (2.8, 2.8)),
    Lens("16-35", (16.0, 35.0), (2.8, 2.8)),
)

DEFAULT_MODE = "full-frame-uhd"
DEFAULT_LENSES = ("24-70", "70-200")


NUMBER = r"\d{1,6}(?:[.,]\d{1,6})?"
DASH = r"\s*[-\u2010-\u2015\u2212]\s*"  # hyphens and dashes of every length, and the minus sign
LENS_WORDS = re.compile(
    rf"\s*({NUMBER})(?:{DASH}({NUMBER}))?\s*(?:mm)?"
    rf"(?:(?:\s*(?:/|f/?|1:)\s*(?:f/?)?|\s+)({NUMBER})(?:{DASH}({NUMBER}))?)?\s*",
    re.IGNORECASE,
)


def lens_from_words(words: str) -> Lens | None:
    """Read a lens as people write it; None if it is none.

    >>> [lens_from_words(w).name for w in ("70-200/2.8", "70–200mm f/2.8", "70-200F4", "100-400 4.5-5.6", "400/2.8")]
    ['70-200/2.8', '70-200/2.8', '70-200/4', '100-400/4.5-5.6', '400/2.8']
    """
    found = LENS_WORDS.fullmatch(words)
    if not found:
        return None
    short, long, wide, narrow = (None if part is None else float(part.replace(",", ".")) for part in found.groups())
    assert short is not None, "the pattern asks for one"
    name = _joined(short, long) + ("" if wide is None else f"/{_joined(wide, narrow)}")
    stops = (2.8, 2.8) if wide is None else (wide, wide if narrow is None else narrow)
    return Lens(name, (short, short if long is None else long), stops)


def _joined(first: float, second: float | None) -> str:
    return f"{first:g}" if second is None or second == first else f"{first:g}-{second:g}"
