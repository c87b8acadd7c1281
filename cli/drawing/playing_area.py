"""The playing area to scale: outline, markings, goals and posts, hot zones."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing import palette
from standmark.sports.sport import KeyMoment, PlayingArea


def draw_playing_area(ax: Axes, area: PlayingArea) -> None:
    """Draw outline, markings and targets; true shapes, equal scale on both axes."""
    fill_shape(ax, area.outline, facecolor=palette.GROUND, edgecolor=palette.MARKING, linewidth=palette.LINE, zorder=1)
    for marking in area.markings:
        draw_lines(ax, marking.shape, color=palette.MARKING, linewidth=palette.LINE, zorder=2.5)
    for target in area.targets:
        for bar in target.bars:
            points = np.array(bar)
            ax.plot(points[:, 0], points[:, 1], color=palette.TARGET, linewidth=1.6, zorder=3, solid_capstyle="butt")
    ax.set_aspect("equal")


def draw_hot_zones(ax: Axes, moments: Iterable[KeyMoment], *, both_ends: bool = True) -> None:
    """Lay the zones of key moments on the ground; the more a place is worth per square metre, the stronger the tone."""
    patches = [
        (shape, moment.rate_per_match * moment.importance * zone.weight / zone.shape.area)
        for moment in moments
        if moment.is_play
        for zone in moment.zones
        for shape in ([zone.shape, turned(zone.shape)] if both_ends and moment.sided else [zone.shape])
    ]
    strongest = max((worth for _, worth in patches), default=1.0)
    for shape, worth in patches:
        alpha = 0.04 + 0.30 * (worth / strongest) ** 0.5
        fill_shape(ax, shape, facecolor=palette.HEAT, alpha=alpha, linewidth=0, zorder=2)


def turned(shape: BaseGeometry) -> BaseGeometry:
    """Return the shape turned by 180 degrees about the origin."""
    return shapely.transform(shape, lambda xy: -xy)


def fill_shape(ax: Axes, shape: BaseGeometry, **style: Any) -> None:
    """Fill a polygon or several, holes left open."""
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon" and not part.is_empty:
            rings = [part.exterior, *part.interiors]
            path = Path.make_compound_path(*(Path(np.asarray(ring.coords)[:, :2], closed=True) for ring in rings))
            ax.add_patch(PathPatch(path, **style))


def draw_lines(ax: Axes, shape: BaseGeometry, **style: Any) -> None:
    """Draw lines as lines and points as small spots."""
    for part in shapely.get_parts(shape):
        if part.is_empty:
            continue
        if part.geom_type == "Point":
            ax.plot([part.x], [part.y], marker="o", markersize=1.6, linestyle="none", color=style.get("color"))
        else:
            line = part.exterior if part.geom_type == "Polygon" else part
            xy = np.asarray(line.coords)
            ax.plot(xy[:, 0], xy[:, 1], **style)
