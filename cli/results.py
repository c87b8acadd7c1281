"""Every picture and sheet that a plan becomes, as bytes; the same plan gives the same bytes."""

from __future__ import annotations

from collections.abc import Mapping

from standmark.cli.drawing.map_page import maps_picture
from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.paint import png_bytes
from standmark.cli.drawing.plan import plan_picture
from standmark.cli.drawing.svg import svg_document
from standmark.cli.sheet.paper_sheet import sheet_pdf
from standmark.cli.units import Units
from standmark.optimizer.plan import Plan
from standmark.optimizer.stretch import plan_stretches


def drawn_files(plan: Plan, *, units: Units = Units.METRIC, paper: str = "a4") -> dict[str, bytes]:
    """Draw a plan as pictures and sheets.

    Parameters
    ----------
    paper : "a4" or "letter"
    """
    stretches = plan_stretches(plan)
    pictures = {"plan": plan_picture(plan, stretches, units=units), "maps": maps_picture(plan, stretches)}
    return {
        **picture_files(pictures),
        "sheet.pdf": sheet_pdf(plan, stretches, paper=paper, units=units),
    }


def picture_files(pictures: Mapping[str, Picture]) -> dict[str, bytes]:
    """Every picture as `NAME.png` and `NAME.svg`."""
    files: dict[str, bytes] = {}
    for name, picture in pictures.items():
        files |= {f"{name}.png": png_bytes(picture), f"{name}.svg": svg_document(picture)}
    return files
