"""Pictures as SVG: small, with real text, a title and a description; the same bytes for the same picture."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from standmark.cli.drawing.font_face import font_faces, picture_letters
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words
from standmark.cli.drawing.palette import PAPER, STYLES, Style
from standmark.geometry.arrays import Floats

FONTS = "Atkinson Hyperlegible Next, DejaVu Sans, Verdana, sans-serif"


def svg_document(picture: Picture) -> bytes:
    """Write a picture as a file of its own; every element carries its look, so that any viewer shows it."""
    size = f'width="{_number(picture.width_mm)}mm" height="{_number(picture.height_mm)}mm"'
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view_box(picture)}" role="img">',
        f"<title>{escape(picture.title)}</title>",
        f"<desc>{escape(picture.description)}</desc>",
        f"<style>{font_faces(picture_letters(picture.marks))}</style>",
        f'<rect width="100%" height="100%" fill="{PAPER}"/>',
        f"<g font-family={quoteattr(FONTS)}>",
        svg_elements(picture.marks),
        "</g>",
        "</svg>\n",
    ]
    return "\n".join(parts).encode("utf-8")


def view_box(picture: Picture) -> str:
    """Value of the viewBox attribute: user units are millimetres."""
    return f"0 0 {_number(picture.width_mm)} {_number(picture.height_mm)}"


def svg_elements(marks: Iterable[Mark]) -> str:
    """Elements of some marks; each run of one style is a group with the style's look, and its name as class."""
    groups = []
    for style, run in groupby(marks, key=lambda mark: mark.style):
        elements = "".join(_element(mark) for mark in run)
        groups.append(f'<g class="{style}"{_look(STYLES[style])}>{elements}</g>')
    return "\n".join(groups)


def path_data(parts: Iterable[Floats], *, is_closed: bool) -> str:
    """Value of the `d` attribute of a path, in hundredths of a millimetre."""
    return "".join(_subpath(xy, is_closed) for xy in parts)


def _element(mark: Mark) -> str:
    match mark:
        case Fill():
            return f'<path fill-rule="evenodd" d="{path_data(mark.rings, is_closed=True)}"/>'
        case Line():
            return f'<path d="{path_data(mark.parts, is_closed=False)}"/>'
        case Words():
            return _text(mark)


def _text(mark: Words) -> str:
    x, y = _number(mark.x_mm), _number(mark.y_mm)
    anchor = "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'
    turn = f' transform="rotate({_number(-mark.turn_deg)} {x} {y})"' if mark.turn_deg else ""
    return f'<text x="{x}" y="{y}" font-size="{_number(mark.size_mm)}"{anchor}{turn}>{escape(mark.text)}</text>'


def _look(style: Style) -> str:
    return "".join(f' {name}="{value}"' for name, value in look_of(style).items())


def look_of(style: Style) -> dict[str, str]:
    """Presentation attributes of a style, which are declarations of a style sheet as well."""
    look = {"fill": style.fill or "none"}
    if style.fill_opacity != 1.0:
        look["fill-opacity"] = f"{style.fill_opacity:g}"
    if style.stroke is not None:
        look |= {"stroke": style.stroke, "stroke-width": f"{style.width_mm:g}", "stroke-linejoin": "round"}
    if style.dash_mm:
        look["stroke-dasharray"] = " ".join(f"{d:g}" for d in style.dash_mm)
    if style.is_bold:
        look["font-weight"] = "bold"
    return look


def _subpath(xy: Floats, is_closed: bool) -> str:
    points = [f"{_number(x)} {_number(y)}" for x, y in (xy[:-1] if is_closed else xy).tolist()]
    return f"M{'L'.join(points)}{'Z' if is_closed else ''}"


def _number(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
