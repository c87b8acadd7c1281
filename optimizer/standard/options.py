"""Every way to fill one position at a ground: place, height and lens, each measured against the wishes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.optimizer.standard.places import Kit, OpenArea, places_in, reach_m
from standmark.optimizer.standard.view import FramingFit, GroundView, clear_share, fit, shortfall

LOOKS = 16  # at first


@dataclass(frozen=True, eq=False)
class Options:
    """One row a way to fill a position."""

    view: GroundView
    kits: tuple[Kit, ...]
    xyz_m: Floats  # shape (n, 3)
    area: Indices  # shape (n,), index into the open areas
    kit: Indices  # shape (n,), index into kits
    fit: FramingFit  # a row that was not looked from counts as free of things in the way
    is_known: Flags  # shape (n,), was the view past fixed things measured
    order: Indices  # rows from best to worst: strain, then distance from the middle of the bands, then place


def options(view: GroundView, areas: Sequence[OpenArea], kits: Sequence[Kit], *, steps: dict[str, float]) -> Options:
    """List every way to fill a position."""
    blocks = [
        (index, k, places_in(view, open_area, reach=reach))
        for k, kit in enumerate(kits)
        for index, open_area in enumerate(areas)
        if (reach := reach_m(open_area.area, kit.camera)) is not None and len(open_area.xy_m)
    ]
    return measured(view, kits, blocks, steps=steps)


def measured(
    view: GroundView, kits: Sequence[Kit], blocks: Sequence[tuple[int, int, Floats]], *, steps: dict[str, float]
) -> Options:
    """Measure given places.

    Parameters
    ----------
    blocks : index of the open area, index of the kit, and places of shape (n, 3)
    """
    xyz_m = np.concatenate([np.empty((0, 3)), *(block for _, _, block in blocks)])
    counts = [len(block) for _, _, block in blocks]
    area = np.repeat(np.array([a for a, _, _ in blocks], dtype=np.intp), counts)
    kit = np.repeat(np.array([k for _, k, _ in blocks], dtype=np.intp), counts)
    parts = [
        (rows, fit(view, xyz_m[rows], mode=k.outfit.mode, focal_range_mm=k.outfit.lens.focal_mm, steps=steps))
        for index, k in enumerate(kits)
        if len(rows := np.flatnonzero(kit == index)) or index == 0
    ]
    rows = np.concatenate([rows for rows, _ in parts])
    is_known = np.full(len(rows), view.slot.role.clear_share is None or not view.occluders)
    return _ranked(view, tuple(kits), xyz_m[rows], area[rows], kit[rows], _merged([f for _, f in parts]), is_known)


def widened(known: Options, blocks: Sequence[tuple[int, int, Floats]], *, steps: dict[str, float]) -> Options:
    """Add places to the options, those that are there already left out."""
    there = {(*xyz, k) for xyz, k in zip(known.xyz_m.tolist(), known.kit.tolist(), strict=True)}
    fresh = [
        (a, k, np.array([p for p in block.tolist() if (*p, k) not in there]).reshape(-1, 3)) for a, k, block in blocks
    ]
    more = measured(known.view, known.kits, fresh, steps=steps)
    if not len(more.xyz_m):
        return known
    return _ranked(
        known.view,
        known.kits,
        np.concatenate([known.xyz_m, more.xyz_m]),
        np.concatenate([known.area, more.area]),
        np.concatenate([known.kit, more.kit]),
        _merged([known.fit, more.fit]),
        np.concatenate([known.is_known, more.is_known]),
    )


def looked_from(known: Options, row: int, *, steps: dict[str, float]) -> Options:
    """Measure the view past fixed things from a row, and from the best ones that are not known yet.

    The view is dear to measure and seldom blocked: whoever chooses takes the best row as if nothing were in the way,
    looks from there, and chooses again until a row that was looked from wins. That is the same choice as after
    looking from everywhere, as a look can only make a row worse.
    """
    n_looks = max(LOOKS, int(known.is_known.sum()))  # twice as many known each time: where much is blocked, it adds up
    unknown = known.order[~known.is_known[known.order]][:n_looks]
    rows = np.unique(np.append(unknown, row))
    column = next(i for i, wish in enumerate(known.fit.wishes) if wish.key == "clear")
    value, short, strain = known.fit.value.copy(), known.fit.short.copy(), known.fit.strain.copy()
    value[rows, column] = clear_share(known.view, known.xyz_m[rows])
    short[rows, column] = shortfall(known.fit.wishes[column], value[rows, column])
    strain[rows] += (short[rows, column] / steps["clear"]) ** 2
    is_known = known.is_known.copy()
    is_known[rows] = True
    seen = replace(known.fit, value=value, short=short, strain=strain)
    return _ranked(known.view, known.kits, known.xyz_m, known.area, known.kit, seen, is_known)


def _ranked(
    view: GroundView,
    kits: tuple[Kit, ...],
    xyz_m: Floats,
    area: Indices,
    kit: Indices,
    answer: FramingFit,
    is_known: Flags,
) -> Options:
    order = np.lexsort((kit, *xyz_m.T[::-1], answer.spread.round(9), answer.strain.round(9)))
    return Options(view, kits, xyz_m, area, kit, answer, is_known, order)


def _merged(fits: Sequence[FramingFit]) -> FramingFit:
    columns = ("value", "short", "focal_mm", "strain", "spread")
    return FramingFit(fits[0].wishes, *(np.concatenate([getattr(f, name) for f in fits]) for name in columns))
