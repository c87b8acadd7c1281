"""Every file that a plan becomes, as bytes; the same plan gives the same bytes."""

from __future__ import annotations

from standmark.cli.drawing.paint import png_bytes
from standmark.cli.drawing.plan import plan_picture, plan_stretches
from standmark.cli.drawing.svg import svg_document
from standmark.cli.units import Units
from standmark.optimizer.plan import Plan


def plan_pictures(plan: Plan, *, units: Units = Units.METRIC) -> dict[str, bytes]:
    """Draw a plan as `plan.png` and `plan.svg`."""
    picture = plan_picture(plan, plan_stretches(plan), units=units)
    return {"plan.png": png_bytes(picture), "plan.svg": svg_document(picture)}
