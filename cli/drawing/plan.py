"""The plan as a picture to scale: one panel a period, PNG and SVG, the same bytes for the same plan."""

from __future__ import annotations

import io
import math

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Wedge

from standmark.cli.drawing import palette
from standmark.cli.drawing.playing_area import draw_hot_zones, draw_playing_area, fill_shape
from standmark.cli.words import percent
from standmark.optimizer.assignment import Assignment, PeriodPlan
from standmark.optimizer.plan import Plan

PANEL_MM = (190.0, 150.0)


def plan_pictures(plan: Plan) -> dict[str, bytes]:
    """Draw a plan as `plan.png` and `plan.svg`."""
    periods = distinct_periods(plan)
    with mpl.rc_context({"svg.hashsalt": "standmark", "svg.fonttype": "path", "text.parse_math": False}):
        figure = plan_figure(plan, periods)
        pictures = {}
        for name, options in (("png", {"dpi": 150}), ("svg", {"metadata": {"Date": None}})):
            buffer = io.BytesIO()
            figure.savefig(buffer, format=name, facecolor=palette.PAPER, **options)
            pictures[f"plan.{name}"] = buffer.getvalue()
    return pictures


def distinct_periods(plan: Plan) -> list[tuple[str, PeriodPlan]]:
    """Periods with different places, each with the names of all periods that share them."""
    groups: dict[tuple[str, ...], list[PeriodPlan]] = {}
    for period in plan.periods:
        groups.setdefault(tuple(a.spot.id + a.lens.name for a in period.assignments), []).append(period)
    return [(", ".join(p.period.name for p in same), same[0]) for same in groups.values()]


def plan_figure(plan: Plan, periods: list[tuple[str, PeriodPlan]]) -> Figure:
    """Lay the panels out under one title."""
    columns = min(2, len(periods))
    rows = math.ceil(len(periods) / columns)
    figure = Figure(figsize=(columns * PANEL_MM[0] / 25.4, rows * PANEL_MM[1] / 25.4 + 0.5), layout="constrained")
    FigureCanvasAgg(figure)
    figure.suptitle(
        f"{plan.match.title}: {plan.match.sport.name}, {plan.match.venue.name} - covers {percent(plan.coverage)}",
        color=palette.INK, fontsize=13,
    )  # fmt: skip
    axes = np.atleast_1d(figure.subplots(rows, columns)).ravel()
    for ax, (name, period) in zip(axes, periods, strict=False):
        draw_period(ax, plan, period, title=f"{name}: {percent(period.coverage)}")
    for ax in axes[len(periods) :]:
        ax.set_axis_off()
    return figure


def draw_period(ax: Axes, plan: Plan, period: PeriodPlan, *, title: str) -> None:
    """Draw ground, allowed and keep-clear areas, hot zones and every camera of one period."""
    match = plan.match
    draw_playing_area(ax, match.sport.area)
    draw_hot_zones(ax, match.sport.moments)
    for area in match.venue.allowed:
        fill_shape(ax, area.shape, facecolor=palette.ALLOWED, alpha=0.12, linewidth=0, zorder=1)
    blocked = [k.shape for k in match.sport.area.keep_clear] if match.venue.respect_keep_clear else []
    for shape in blocked + [f.shape for f in match.venue.forbidden]:
        beside = shape.difference(match.sport.area.outline)
        fill_shape(ax, beside, facecolor="none", edgecolor=palette.KEEP_CLEAR, hatch="////", linewidth=0, zorder=1.5)
    for obstacle in match.venue.obstacles:
        xy = np.array(obstacle.footprint_m)
        ax.fill(xy[:, 0], xy[:, 1], facecolor=palette.QUIET, edgecolor=palette.INK, linewidth=palette.THIN, zorder=3)
    for index, assignment in enumerate(period.assignments):
        draw_camera(ax, assignment, index, reach_m=0.45 * match.sport.area.length_m)
    ax.set_title(title, color=palette.INK, fontsize=11)
    ax.set_xlabel("metres from the middle; allowed places tinted, keep-clear hatched", fontsize=8, color=palette.QUIET)
    ax.tick_params(labelsize=7, colors=palette.QUIET)
    for side in ax.spines.values():
        side.set_visible(False)


def draw_camera(ax: Axes, assignment: Assignment, index: int, *, reach_m: float) -> None:
    """Draw a camera's spot, its pan sector and a label with lens and height."""
    spot, colour = assignment.spot, palette.CAMERAS[index % len(palette.CAMERAS)]
    low, high = assignment.pan_deg
    ax.add_patch(Wedge((spot.x_m, spot.y_m), reach_m, low, high, facecolor=colour, alpha=0.10, linewidth=0, zorder=4))
    ax.add_patch(
        Wedge((spot.x_m, spot.y_m), reach_m, low, high, fill=False, edgecolor=colour, linewidth=1.2,
              linestyle=palette.CAMERA_DASHES[index % 4], zorder=4)
    )  # fmt: skip
    ax.plot(spot.x_m, spot.y_m, marker="o", markersize=13, color=colour, zorder=6)
    ax.text(spot.x_m, spot.y_m, assignment.camera[:2], color=palette.PAPER, ha="center", va="center", fontsize=8,
            fontweight="bold", zorder=7)  # fmt: skip
    away = -np.array([math.cos(math.radians((low + high) / 2)), math.sin(math.radians((low + high) / 2))])
    short, long = assignment.focal_mm
    ax.annotate(
        f"{assignment.camera}: {short:.0f}-{long:.0f} mm, lens {spot.z_m:.1f} m up",
        (spot.x_m, spot.y_m), xytext=tuple(away * 16), textcoords="offset points", fontsize=8, color=palette.INK,
        ha="left" if away[0] > 0.3 else "right" if away[0] < -0.3 else "center",
        va="bottom" if away[1] > 0.3 else "top" if away[1] < -0.3 else "center", zorder=7,
    )  # fmt: skip
