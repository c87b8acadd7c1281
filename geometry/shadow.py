"""Shadows of walls on the subjects of one tile, and where single precision cannot tell light from dark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.half_space import HalfSpaces, pick_lines, values_at
from standmark.geometry.stack import Stack, reduce_stack

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

STEEP = np.float32(-1e9)  # turns a depth of a hair into more than any height


@dataclass(frozen=True, eq=False)
class Shadows:
    """Shadows of r pairs of lens and wall at m points."""

    stack: Stack
    depth: Singles  # shape (m, 3, r), beside the left end, beside the right end, beyond the line
    aside: Singles | None  # shape (m, 3, r), change of the depths for a step of one metre to the left
    edge_m: Singles  # shape (2, r), top and base of the wall
    rise: Singles  # shape (2, r), change of the height of their shadows with the depth beyond
    hair_m: np.float32  # rounding of the depths


def shadows_at(spaces: HalfSpaces, stack: Stack, *, point: Singles, away_m: Singles | None, hair_m: float) -> Shadows:
    """Give the shadows of some pairs of lens and wall.

    Parameters
    ----------
    point : shape (m, 3), (x, y, 1)
    away_m : shape (m, r), distances of the points from the lens, inf under it; None: subjects without width
    """
    lines = pick_lines(spaces, stack.pair)
    aside = None
    if away_m is not None:
        aside = values_at(point, lines.aside)
        aside /= away_m[:, None]
    return Shadows(stack, values_at(point, lines.line), aside, lines.edge_m, lines.rise, np.float32(hair_m))


def dark_cells(shadows: Shadows, *, aside_m: float, z_m: Singles) -> tuple[Singles, Flags]:
    """Count the cells of each point that opaque walls on the ground hide, for each lens present.

    The highest shadow decides: a cell is dark when its middle is lower.

    Parameters
    ----------
    z_m : shape (m, n_up), middles of the cells, evenly spaced upward

    Returns
    -------
    dark, doubt : shape (m, n_lenses_present), doubt where single precision cannot tell
    """
    worst, beyond = _depths(shadows, aside_m)
    doubt = _touched(shadows, np.abs(worst) < shadows.hair_m)
    height = beyond * shadows.rise[0]
    height += shadows.edge_m[0]
    worst *= STEEP
    height = reduce_stack(shadows.stack, np.minimum(height, worst, out=height), how=np.maximum)
    slack = reduce_stack(shadows.stack, 1.0 + np.abs(shadows.rise[0]), how=np.maximum) * shadows.hair_m
    n_up = z_m.shape[1]
    cell = np.maximum(z_m[:, -1:] - z_m[:, :1], 1e-6) / max(n_up - 1, 1)
    height -= z_m[:, :1]
    height /= cell
    height += 1.0
    np.clip(height, 0.3, n_up + 0.7, out=height)
    doubt |= np.abs(height - np.rint(height)) * cell < slack
    return np.floor(height, out=height), doubt


def light_through(
    shadows: Shadows, *, aside_m: float, z_m: Singles, see_through: Singles, is_doubtful: Flags
) -> tuple[Singles, Flags]:
    """Light that walls leave for the cells of each point, for each lens present.

    Parameters
    ----------
    z_m : shape (m, n_up), middles of the cells
    see_through : shape (r,), in the order of the stack
    is_doubtful : shape (r,), walls behind which every ray is in doubt

    Returns
    -------
    light : shape (m, n_up or 1, n_lenses_present)
    doubt : shape (m, n_lenses_present), where single precision cannot tell
    """
    worst, beyond = _depths(shadows, aside_m)
    if _hides_whole(shadows, z_m):
        cut, slack = worst[:, None], np.full(worst.shape[1], shadows.hair_m)
    else:
        top, base = (beyond * shadows.rise[i] + shadows.edge_m[i] for i in (0, 1))
        cut = np.maximum(z_m[..., None] - top[:, None], base[:, None] - z_m[..., None])
        np.maximum(cut, worst[:, None], out=cut)
        slack = (1.0 + np.abs(shadows.rise).max(axis=0)) * shadows.hair_m
    is_close = (np.abs(cut) < slack).any(axis=1) | (is_doubtful & (worst < shadows.hair_m))
    doubt = _touched(shadows, is_close)
    return reduce_stack(shadows.stack, np.where(cut < 0.0, see_through, np.float32(1.0)), how=np.multiply), doubt


def _hides_whole(shadows: Shadows, z_m: Singles) -> bool:
    """Tell whether all walls stand on the ground, no lower than lens and subject: their shadows rise over them."""
    top, base = shadows.edge_m
    return bool((shadows.rise[0] <= 0.0).all() and base.max() < 0.0 and top.min() > z_m.max() + shadows.hair_m)


def _depths(shadows: Shadows, aside_m: float) -> tuple[Singles, Singles]:
    """Largest depth and depth beyond the line at an offset, shape (m, r)."""
    depth = shadows.depth
    if aside_m != 0.0 and shadows.aside is not None:
        depth = shadows.aside * np.float32(aside_m)
        depth += shadows.depth
    worst = np.maximum(depth[:, 0], depth[:, 1])
    return np.maximum(worst, depth[:, 2], out=worst), depth[:, 2]


def _touched(shadows: Shadows, is_close: Flags) -> Flags:
    """Points and lenses with a close call, shape (m, n_lenses_present)."""
    doubt = np.zeros((len(is_close), len(shadows.stack.lens)), bool)
    row, column = np.divmod(np.flatnonzero(is_close), is_close.shape[1])
    doubt[row, shadows.stack.place[column]] = True
    return doubt
