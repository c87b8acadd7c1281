"""Pictures inside a page of the site."""

from __future__ import annotations

from html import escape

from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.svg import FONTS, svg_elements, view_box


def inline_svg(picture: Picture) -> str:
    """Write a picture as an element of an HTML page; it scales with the page and is read out by its description."""
    return (
        f'<svg class="plan" viewBox="{view_box(picture)}" role="img" aria-label="{escape(picture.title)}" '
        f'font-family="{escape(FONTS)}"><desc>{escape(picture.description)}</desc>\n{svg_elements(picture.marks)}\n</svg>'
    )
