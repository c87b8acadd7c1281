"""Shadows of walls on the upright lines of one group, and where single precision cannot tell light from dark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Flags, Indices, Singles
from standmark.geometry.sightlines.half_space import HalfSpaces, ShadowLines, pick_lines, values_at
from standmark.geometry.sightlines.pair_layer import PairLayers, reduce_layers

Doubt = tuple[Indices, Indices]  # upright lines and lenses

STEEP = np.float32(-1e9)  # turns a depth of a hair into more than any height


@dataclass(frozen=True, eq=False)
class Shadows:
    """Shadows of r pairs of lens and wall at m upright lines."""

    layers: PairLayers
    lines: ShadowLines
    worst: Singles  # shape (m, r), largest of the three depths, negative in the shadow
    beyond: Singles  # shape (m, r), depth beyond the wall
    hair_m: np.float32  # rounding of the depths


def shadows_at(spaces: HalfSpaces, layers: PairLayers, *, point: Singles, hair_m: float) -> Shadows:
    """Give the shadows of some pairs of lens and wall.

    Parameters
    ----------
    point : shape (m, 3), (x, y, 1)
    """
    lines = pick_lines(spaces, layers.pair)
    left, right, beyond = values_at(point, lines.columns).transpose(1, 0, 2)
    worst = np.maximum(left, right, out=left)
    return Shadows(layers, lines, np.maximum(worst, beyond, out=worst), beyond, np.float32(hair_m))


def dark_cells(shadows: Shadows, *, lowest_m: Singles, cell_m: Singles, n_up: int) -> tuple[Singles, Doubt]:
    """Count the cells of each line that opaque walls on the ground hide, for each lens present.

    The highest shadow decides: a cell is dark when its middle is lower.

    Parameters
    ----------
    lowest_m, cell_m : shape (m, 1), middle of the lowest cell and height of the cells

    Returns
    -------
    dark : shape (m, n_lenses_present)
    doubt : where single precision cannot tell
    """
    rise, hair = shadows.lines.rise[0], shadows.hair_m
    side = _close_calls(shadows, np.abs(shadows.worst) < hair)
    height = shadows.beyond * rise
    height += shadows.lines.edge_m[0]
    height = np.minimum(height, shadows.worst * STEEP, out=height)
    height = reduce_layers(shadows.layers, height, how=np.maximum)
    slack = reduce_layers(shadows.layers, 1.0 + np.abs(rise), how=np.maximum) * hair
    height -= lowest_m - cell_m
    height *= 1.0 / cell_m
    np.clip(height, 0.3, n_up + 0.7, out=height)
    dark = np.floor(height)
    height -= dark
    height -= 0.5
    edge = np.flatnonzero(np.abs(height, out=height) > 0.5 - slack / cell_m.min())
    line, place = np.divmod(edge, height.shape[1])
    return dark, (np.concatenate([side[0], line]), np.concatenate([side[1], shadows.layers.lens[place]]))


def light_through(shadows: Shadows, *, z_m: Singles, see_through: Singles, is_doubtful: Flags) -> tuple[Singles, Doubt]:
    """Light that walls leave for the cells of each line, for each lens present.

    Parameters
    ----------
    z_m : shape (m, n_up), middles of the cells
    see_through : shape (r,), in the order of the layers
    is_doubtful : shape (r,), walls behind which every ray is in doubt

    Returns
    -------
    light : shape (m, n_up or 1, n_lenses_present)
    doubt : where single precision cannot tell
    """
    lines, hair = shadows.lines, shadows.hair_m
    cut, slack = shadows.worst[:, None], np.full(len(see_through), hair)
    if not _hides_whole(shadows, z_m):
        top, base = (shadows.beyond * lines.rise[i] + lines.edge_m[i] for i in (0, 1))
        cut = np.maximum(np.maximum(z_m[..., None] - top[:, None], base[:, None] - z_m[..., None]), cut)
        slack = (1.0 + np.abs(lines.rise).max(axis=0)) * hair
    is_close = (np.abs(cut) < slack).any(axis=1) | (is_doubtful & (shadows.worst < hair))
    light = reduce_layers(shadows.layers, np.where(cut < 0.0, see_through, np.float32(1.0)), how=np.multiply)
    return light, _close_calls(shadows, is_close)


def _hides_whole(shadows: Shadows, z_m: Singles) -> bool:
    """Tell whether all walls stand on the ground, no lower than lens and subject: their shadows rise over them."""
    top, base = shadows.lines.edge_m
    rises = (shadows.lines.rise[0] <= 0.0).all()
    return bool(rises and base.max() < 0.0 and top.min() > z_m.max() + shadows.hair_m)


def _close_calls(shadows: Shadows, is_close: Flags) -> Doubt:
    """Lines and lenses of the pairs marked, shape (m, r)."""
    line, pair = np.divmod(np.flatnonzero(is_close), is_close.shape[1])
    return line, shadows.layers.lens[shadows.layers.place[pair]]
