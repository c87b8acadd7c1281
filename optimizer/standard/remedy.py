"""What would let a position meet its standard: each limit of the ground is lifted alone and the choice made again."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import Match
from standmark.optimizer.standard.options import Options, looked_from, measured, options
from standmark.optimizer.standard.places import ANY_HEIGHT_M, Kit, OpenArea, at_telling_heights, open_areas, reach_m
from standmark.optimizer.standard.standard import PERSON_M
from standmark.optimizer.standard.view import GroundView, slant_m

LOWEST_LENS_M = 0.3
FARTHEST_M = 80.0  # outside the outline: how far out a new place is looked for
ANY_LENS = Lens("any", (1.0, 5000.0))
MET = 1e-9  # a strain under it is none
WORTH_TELLING = 0.9  # a change that does not fix is listed if it leaves less than this share of the strain


@dataclass(frozen=True)
class GroundChange:
    """One change at the ground, or two together, and what the position would then be."""

    kinds: tuple[str, ...]  # of "height", "lens", "place", "periods", "separation"
    area: str | None  # key of the allowed area it happens in; None: a place that is not allowed yet
    x_m: float
    y_m: float
    z_m: float
    focal_mm: float
    reach_m: tuple[float, float]  # lens heights that the support of the camera reaches now
    closed_by: str | None  # with "place": what keeps the place closed, by its name
    is_enough: bool  # False: it helps, but the view still falls short


def remedies(
    match: Match, known: Options, row: int | None, areas: Sequence[OpenArea], *, steps: dict[str, float]
) -> tuple[GroundChange, ...]:
    """Find the changes that would let a position meet its role.

    Every limit is lifted alone: lens heights, the lens, the place, the periods in which an area is open, the other
    positions. If none of these fixes it, heights and places are tried together with another lens. If nothing fixes
    it, say what keeps closed every place that would, or else the single change that helps most. Heights are whole
    decimetres and focal lengths whole millimetres that fix, where there are such, so that what is said is enough.
    """
    lever = _Lever(match, known, areas, steps)
    tried: list[Tried] = []
    for changes in (lever.single(), lever.double()):
        tried += [change for change in changes if change is not None]
        enough = [remedy for remedy, _ in tried if remedy.is_enough]
        if possible := tuple(remedy for remedy in enough if remedy.closed_by is None):
            return possible
    if enough:
        return tuple(enough[:1])
    before = np.inf if row is None else float(known.fit.strain[row])
    helpful = [pair for pair in tried if pair[1] < WORTH_TELLING * before]
    return (min(helpful, key=lambda pair: pair[1])[0],) if helpful else ()


Tried = tuple[GroundChange, float]


class _Lever:
    """The ground with one limit lifted."""

    def __init__(self, match: Match, known: Options, areas: Sequence[OpenArea], steps: dict[str, float]) -> None:
        self.match, self.known, self.areas, self.steps = match, known, areas, steps
        self.view = known.view
        self.any_height = tuple(_free_height(kit) for kit in known.kits)
        self.any_lens = tuple(_free_lens(kit) for kit in known.kits)

    def single(self) -> Iterator[Tried | None]:
        """Each limit lifted alone."""
        alone = self._best(("separation",), self.known, self.areas)
        if alone is not None and alone[0].is_enough:
            yield alone
        yield self._in_areas(("height",), _at_any_height(self.areas), self.any_height)
        yield self._in_areas(("lens",), self.areas, self.any_lens)
        part_time = [a for a in open_areas(self.match, part_time=True) if a.area.periods is not None]
        if part_time:
            yield self._in_areas(("periods",), part_time, self.known.kits)
        yield self._new_place(("place",), self.any_height)

    def double(self) -> Iterator[Tried | None]:
        """Another height or another place, with another lens."""
        both = tuple(_free_lens(kit) for kit in self.any_height)
        yield self._in_areas(("height", "lens"), _at_any_height(self.areas), both)
        yield self._new_place(("place", "lens"), both)

    def _in_areas(self, kinds: tuple[str, ...], areas: Sequence[OpenArea], kits: Sequence[Kit]) -> Tried | None:
        tried = options(self.view, areas, kits, steps=self.steps)
        return self._best(kinds, tried, areas, ask=self._change_of_height_m(tried) if "height" in kinds else None)

    def _change_of_height_m(self, tried: Options) -> Floats:
        """How far each option's lens height lies outside what its area and its camera reach, shape (n,)."""
        change = np.full(len(tried.xyz_m), np.inf)
        for area, kit in itertools.product(range(len(self.areas)), range(len(self.known.kits))):
            reach = reach_m(self.areas[area].area, self.known.kits[kit].camera)
            rows = (tried.area == area) & (tried.kit == kit)
            if reach is not None:
                change[rows] = np.abs(tried.xyz_m[rows, 2] - np.clip(tried.xyz_m[rows, 2], *reach))
        return change

    def _new_place(self, kinds: tuple[str, ...], kits: Sequence[Kit]) -> Tried | None:
        xy_m = wanted_places(self.view)
        closed = closing_shapes(self.match)
        is_open = ~shapely.intersects_xy(shapely.union_all([shape for _, shape in closed]), *xy_m.T)
        free = self._at(kinds, xy_m[is_open], kits)
        if free is not None and free[0].is_enough:
            return free
        held = self._at(kinds, xy_m[~is_open], kits)
        if held is None or not held[0].is_enough:
            return free
        spot = shapely.Point(held[0].x_m, held[0].y_m)
        name = next(name for name, shape in closed if shape.intersects(spot))
        return replace(held[0], closed_by=name), held[1]

    def _at(self, kinds: tuple[str, ...], xy_m: Floats, kits: Sequence[Kit]) -> Tried | None:
        if not len(xy_m):
            return None
        xyz_m = at_telling_heights(self.view, xy_m, reach=(LOWEST_LENS_M, ANY_HEIGHT_M[1]))
        tried = measured(self.view, kits, [(-1, k, xyz_m) for k in range(len(kits))], steps=self.steps)
        return self._best(kinds, tried, (), ask=tried.xyz_m[:, 2])

    def _best(
        self, kinds: tuple[str, ...], tried: Options, areas: Sequence[OpenArea], *, ask: Floats | None = None
    ) -> Tried | None:
        """Take the option that fixes and asks least; the nearest to the standard if none fixes.

        Parameters
        ----------
        ask : shape (n,), how much each option asks for
        """
        if not len(tried.order):
            return None
        while not tried.is_known[row := _cheapest(tried, ask)]:
            tried = looked_from(tried, row, steps=self.steps)
        if ask is not None:
            tried, row = self._to_the_decimetre(tried, row)
        strain = float(tried.fit.strain[row])
        x_m, y_m, z_m = (float(v) for v in tried.xyz_m[row])
        key = areas[int(tried.area[row])].area.key if areas else None
        focal_mm = self._least_focal_mm(tried, row) if "lens" in kinds else float(tried.fit.focal_mm[row])
        reach_m = self.known.kits[int(tried.kit[row])].camera.lens_height_m
        return GroundChange(kinds, key, x_m, y_m, z_m, focal_mm, reach_m, None, strain < MET), strain

    def _to_the_decimetre(self, tried: Options, row: int) -> tuple[Options, int]:
        """Give the same place with the lens at a whole decimetre next to it that fixes, if one does."""
        x_m, y_m, z_m = tried.xyz_m[row]
        heights = np.unique(np.array([math.floor(10 * z_m), math.ceil(10 * z_m)]) / 10)
        places = np.column_stack([np.full(len(heights), x_m), np.full(len(heights), y_m), heights])
        near = measured(self.view, tried.kits, [(int(tried.area[row]), int(tried.kit[row]), places)], steps=self.steps)
        if not near.is_known.all():
            near = looked_from(near, 0, steps=self.steps)
        best = int(near.order[0])
        is_as_good = near.fit.strain[best] < MET or tried.fit.strain[row] >= MET
        return (near, best) if is_as_good else (tried, row)

    def _least_focal_mm(self, tried: Options, row: int) -> float:
        """Focal length nearest to the present lens that gives a wanted size from an option's place."""
        band = self.view.slot.role.size_share
        kit = self.known.kits[int(tried.kit[row])]
        if band is None:
            return kit.outfit.lens.focal_mm[1]
        per_share = float(slant_m(self.view, tried.xyz_m[row : row + 1])[0]) * kit.outfit.mode.height_mm / PERSON_M
        low, high = band[0] * per_share, band[1] * per_share
        if low > kit.outfit.lens.focal_mm[1]:
            return math.ceil(low) if math.ceil(low) <= high else low
        high = min(high, kit.outfit.lens.focal_mm[0])
        return math.floor(high) if math.floor(high) >= low else high


def _cheapest(tried: Options, ask: Floats | None) -> int:
    """Row that fixes and asks least; the nearest to the standard if none fixes."""
    enough = tried.order[tried.fit.strain[tried.order] < MET]
    if not len(enough):
        return int(tried.order[0])
    return int(enough[0] if ask is None else enough[np.argmin(ask[enough].round(1))])


def wanted_places(view: GroundView) -> Floats:
    """Places in the wanted directions and at the wanted distances outside the outline, whoever they belong to.

    Returns
    -------
    shape (n, 2), to the decimetre; half a metre apart along five directions
    """
    near_m, far_m = view.slot.role.offset_m or (0.0, FARTHEST_M)
    turns = np.radians(np.linspace(*view.slot.role.from_deg, 5))
    ahead = np.outer(np.cos(turns), view.main) + np.outer(np.sin(turns), view.hand)
    low_x, low_y, high_x, high_y = view.outline.bounds
    reach_m = np.hypot(high_x - low_x, high_y - low_y) + far_m
    away_m = np.arange(0.0, reach_m, 0.5)
    xy_m = (np.array(view.aim_m) + away_m[:, None, None] * ahead).reshape(-1, 2).round(1)
    off_m = shapely.distance(shapely.points(xy_m), view.outline)
    return np.unique(xy_m[(off_m > 0) & (off_m >= near_m) & (off_m <= far_m)], axis=0)


def closing_shapes(match: Match) -> list[tuple[str, BaseGeometry]]:
    """Name and shape of everything that keeps a place closed, wherever it is."""
    shapes: list[tuple[str, BaseGeometry]] = [("playing area", match.sport.area.outline)]
    if match.venue.respect_keep_clear:
        shapes += [(k.name, k.shape) for k in match.sport.area.keep_clear]
    shapes += [(f.name, f.shape) for f in match.venue.forbidden]
    shapes += [(o.name, shapely.Polygon(o.footprint_m)) for o in match.venue.obstacles if o.is_closed]
    return shapes + [(t.name, t.shape) for t in match.venue.furniture]


def _free_height(kit: Kit) -> Kit:
    return replace(kit, camera=replace(kit.camera, lens_height_m=(LOWEST_LENS_M, ANY_HEIGHT_M[1])))


def _free_lens(kit: Kit) -> Kit:
    return replace(kit, outfit=replace(kit.outfit, lens=ANY_LENS))


def _at_any_height(areas: Sequence[OpenArea]) -> list[OpenArea]:
    return [replace(a, area=replace(a.area, lens_height_m=(0.0, ANY_HEIGHT_M[1]))) for a in areas]
