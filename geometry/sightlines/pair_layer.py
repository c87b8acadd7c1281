"""Values for pairs of lens and wall, reduced to one for each lens with whole-array operations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Indices, Singles


@dataclass(frozen=True, eq=False)
class PairLayers:
    """Pairs in layers: first one for each lens, then the second of each lens that has one, and so on.

    Lenses with more pairs come first, so a layer lies over the first lenses of the one before it.
    """

    pair: Indices  # shape (n,)
    lens: Indices  # shape (n_lenses_present,)
    place: Indices  # shape (n,), index into `lens` of each pair
    size: tuple[int, ...]  # pairs in each layer, falling


def pairs_in_layers(pair: Indices, lens: Indices) -> PairLayers:
    """Sort pairs into layers.

    Parameters
    ----------
    pair : shape (n,)
    lens : shape (n,), lens of each pair, rising
    """
    count = np.bincount(lens)
    by_count = np.argsort(-count, kind="stable")
    place = np.empty_like(by_count)
    place[by_count] = np.arange(len(count))
    layer = np.arange(len(lens)) - (np.cumsum(count) - count)[lens]
    order = np.argsort(layer * len(count) + place[lens])
    size = np.bincount(layer)
    return PairLayers(pair[order], by_count[: size[0]], place[lens[order]], tuple(size.tolist()))


def reduce_layers(layers: PairLayers, values: Singles, *, how: np.ufunc) -> Singles:
    """Reduce values to one for each lens present.

    Parameters
    ----------
    values : shape (..., n), in the order of the layers; the first layer is overwritten
    how : np.maximum, np.multiply ...

    Returns
    -------
    shape (..., n_lenses_present)
    """
    start = layers.size[0]
    total = values[..., :start]
    for size in layers.size[1:]:
        part = total[..., :size]
        how(part, values[..., start : start + size], out=part)
        start += size
    return total
