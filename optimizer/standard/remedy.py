"""What would let a position meet its standard: each limit of the ground is lifted alone and the choice made again."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import Match
from standmark.optimizer.standard.fit import ways_at
from standmark.optimizer.standard.options import (
    Options,
    answered,
    listed,
    looked_from,
    measured,
    options,
    outside_m,
)
from standmark.optimizer.standard.places import ANY_HEIGHT_M, Kit, OpenArea, Places, open_areas, places_in, reaches_m
from standmark.optimizer.standard.sight import Sight
from standmark.optimizer.standard.standard import PERSON_M
from standmark.optimizer.standard.view import GroundView, slant_m

LOWEST_LENS_M = 0.3
FARTHEST_M = 80.0  # outside the outline: how far out a new place is looked for
ANY_LENS = Lens("any", (1.0, 5000.0))
MET = 1e-9  # a strain under it is none
NEARLY_M = 1e-6  # more than rounding
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


Tried = tuple[GroundChange, float]  # with the strain that it leaves
Asks = Callable[[Options], Floats]  # how much each row asks for, shape (n,)
ANYWHERE = np.array([[(LOWEST_LENS_M, ANY_HEIGHT_M[1])]])  # lens heights at a new place, shape (1, 1, 2)


def remedies(
    match: Match,
    known: Sequence[Options],
    rows: Sequence[int | None],
    areas: Sequence[OpenArea],
    places: Places,
    sight: Sight,
) -> list[tuple[GroundChange, ...]]:
    """Find the changes that would let each of some positions meet its role.

    Every limit is lifted alone: lens heights, the lens, the place, the periods in which an area is open, the other
    positions. If none of these fixes it, heights and places are tried together with another lens. If nothing fixes
    it, say what keeps closed every place that would, or else the single change that helps most. Heights are whole
    decimetres and focal lengths whole millimetres that fix, where there are such, so that what is said is enough.
    """
    if not known:
        return []
    lever = _Lever(match, known, areas, places, sight)
    tried: list[list[Tried]] = [[] for _ in known]
    lever.single(tried)
    lever.double(tried, [i for i, changes in enumerate(tried) if not _possible(changes)])
    return [
        _told(changes, np.inf if row is None else float(o.strain[row]))
        for changes, o, row in zip(tried, known, rows, strict=True)
    ]


def _possible(tried: list[Tried]) -> tuple[GroundChange, ...]:
    """Changes that fix a position and that nothing keeps from being made."""
    return tuple(change for change, _ in tried if change.is_enough and change.closed_by is None)


def _told(tried: list[Tried], before: float) -> tuple[GroundChange, ...]:
    """Changes to name, of those tried.

    Parameters
    ----------
    before : strain of the position as it is
    """
    if possible := _possible(tried):
        return possible
    if enough := [change for change, _ in tried if change.is_enough]:
        return tuple(enough[:1])
    helpful = [pair for pair in tried if pair[1] < WORTH_TELLING * before]
    return (min(helpful, key=lambda pair: pair[1])[0],) if helpful else ()


class _Lever:
    """The ground with one limit lifted, for several positions at once."""

    def __init__(
        self, match: Match, known: Sequence[Options], areas: Sequence[OpenArea], places: Places, sight: Sight
    ) -> None:
        self.match, self.known, self.areas, self.sight = match, known, areas, sight
        at = [o.index for o in known]
        self.wanted, self.places = known[0].wanted.some(at), places.some(at)
        self.any_height = [tuple(map(_free_height, kits)) for kits in self.wanted.kits]
        self.any_lens = [tuple(map(_free_lens, kits)) for kits in self.wanted.kits]
        self.both = [tuple(map(_free_lens, kits)) for kits in self.any_height]
        self.closed = closing_shapes(match)
        self.new_m = [wanted_places(view) for view in self.wanted.views]
        shut = shapely.union_all([shape for _, shape in self.closed])
        self.is_open = [~shapely.intersects_xy(shut, *xy_m.T) for xy_m in self.new_m]

    def single(self, tried: list[list[Tried]]) -> None:
        """Lift each limit alone."""
        alone = self._best(("separation",), {i: o for i, o in enumerate(self.known) if len(o.strain)}, self.areas)
        _add(tried, {i: change for i, change in alone.items() if change[0].is_enough})
        at = range(len(self.known))
        _add(tried, self._in_areas(("height",), _at_any_height(self.areas), self.places, self.any_height, at))
        _add(tried, self._in_areas(("lens",), self.areas, self.places, self.any_lens, at))
        part_time = [a for a in open_areas(self.match, part_time=True) if a.area.periods is not None]
        if part_time:
            others = places_in(self.wanted.views, self.wanted.table, part_time)
            _add(tried, self._in_areas(("periods",), part_time, others, self.wanted.kits, at))
        _add(tried, self._new_places(("place",), self.any_height, at))

    def double(self, tried: list[list[Tried]], at: Sequence[int]) -> None:
        """Take another height or another place, with another lens."""
        _add(tried, self._in_areas(("height", "lens"), _at_any_height(self.areas), self.places, self.both, at))
        _add(tried, self._new_places(("place", "lens"), self.both, at))

    def _in_areas(
        self,
        kinds: tuple[str, ...],
        areas: Sequence[OpenArea],
        places: Places,
        kits: Sequence[tuple[Kit, ...]],
        at: Sequence[int],
    ) -> dict[int, Tried]:
        if not at:
            return {}
        wanted = self.wanted.with_kits(kits).some(at)
        found = dict(zip(at, options(wanted, places.some(at), areas, self.sight), strict=True))
        return self._best(kinds, found, areas, ask=self._change_of_height_m if "height" in kinds else None)

    def _change_of_height_m(self, tried: Options) -> Floats:
        """How far each option's lens height lies outside what its area and its camera reach, shape (n,)."""
        kits = self.wanted.kits[self.wanted.views.index(tried.wanted.views[tried.index])]
        low, high = reaches_m(self.areas, kits)[tried.kit, tried.area].T
        z_m = tried.xyz_m[:, 2]
        return np.nan_to_num(np.abs(z_m - np.clip(z_m, low, high)), nan=np.inf)

    def _new_places(
        self, kinds: tuple[str, ...], kits: Sequence[tuple[Kit, ...]], at: Sequence[int]
    ) -> dict[int, Tried]:
        """Try places that are not allowed yet; those that something keeps closed where no other is enough."""
        free = self._at(kinds, kits, {i: self.new_m[i][self.is_open[i]] for i in at})
        rest = [i for i in at if i not in free or not free[i][0].is_enough]
        held = self._at(kinds, kits, {i: self.new_m[i][~self.is_open[i]] for i in rest})
        for i, (change, strain) in held.items():
            if change.is_enough:
                spot = shapely.Point(change.x_m, change.y_m)
                name = next(name for name, shape in self.closed if shape.intersects(spot))
                free[i] = replace(change, closed_by=name), strain
        return free

    def _at(
        self, kinds: tuple[str, ...], kits: Sequence[tuple[Kit, ...]], places_m: dict[int, Floats]
    ) -> dict[int, Tried]:
        at = [i for i, xy_m in places_m.items() if len(xy_m)]
        if not at:
            return {}
        wanted = self.wanted.with_kits(kits).some(at)
        view = np.repeat(np.arange(len(at)), [len(places_m[i]) for i in at])
        places = Places(view, np.full(len(view), -1), np.concatenate([places_m[i] for i in at]))
        reach_m = np.repeat(ANYWHERE, wanted.first_kit[-1], axis=0)
        found = dict(zip(at, measured(wanted, places, reach_m, self.sight), strict=True))
        return self._best(kinds, found, (), ask=lambda tried: tried.xyz_m[:, 2])

    def _best(
        self, kinds: tuple[str, ...], found: dict[int, Options], areas: Sequence[OpenArea], *, ask: Asks | None = None
    ) -> dict[int, Tried]:
        """Take for each position the option that fixes and asks least; the nearest to the standard if none fixes.

        Parameters
        ----------
        found : options by index of the position
        ask : how much each option of a position asks for
        """
        at = [i for i, tried in found.items() if len(tried.strain)]
        if not at:
            return {}
        tried = [found[i] for i in at]
        asked = [None if ask is None else ask(o) for o in tried]
        rows = [_cheapest(o, of) for o, of in zip(tried, asked, strict=True)]
        while unknown := [i for i, row in enumerate(rows) if not tried[i].is_known[row]]:
            seen = looked_from([tried[i] for i in unknown], [rows[i] for i in unknown], self.sight)
            for i, o in zip(unknown, seen, strict=True):
                tried[i], rows[i] = o, _cheapest(o, asked[i])
        if ask is not None:
            tried, rows = self._to_the_decimetre(tried, rows)
        focals_mm = answered(tried, rows).focal_mm.tolist()
        return {
            i: self._change(i, kinds, o, row, focal_mm, areas)
            for i, o, row, focal_mm in zip(at, tried, rows, focals_mm, strict=True)
        }

    def _change(
        self, at: int, kinds: tuple[str, ...], tried: Options, row: int, focal_mm: float, areas: Sequence[OpenArea]
    ) -> Tried:
        kit = self.wanted.kits[at][int(tried.kit[row])]
        strain = float(tried.strain[row])
        x_m, y_m, z_m = tried.xyz_m[row].tolist()
        key = areas[int(tried.area[row])].area.key if areas else None
        if "lens" in kinds:
            focal_mm = _least_focal_mm(tried, row, kit)
        reach_m = kit.camera.lens_height_m
        return GroundChange(kinds, key, x_m, y_m, z_m, focal_mm, reach_m, None, strain < MET), strain

    def _to_the_decimetre(self, tried: list[Options], rows: list[int]) -> tuple[list[Options], list[int]]:
        """Give the same places with the lens at a whole decimetre next to it that fixes, if one does."""
        wanted = tried[0].wanted
        places, view, kit, area = [], [], [], []
        for o, row in zip(tried, rows, strict=True):
            x_m, y_m, z_m = o.xyz_m[row].tolist()
            heights = dict.fromkeys((math.floor(10 * z_m), math.ceil(10 * z_m)))
            places += [(x_m, y_m, height / 10) for height in heights]
            view += [o.index] * len(heights)
            kit += [int(o.kit[row])] * len(heights)
            area += [int(o.area[row])] * len(heights)
        xyz_m = np.array(places)
        ways = ways_at(np.array(view), np.array(kit), xyz_m, outside_m(wanted, xyz_m))
        every = listed(wanted, ways, np.array(area), self.sight)
        near = [every[o.index] for o in tried]
        unknown = [i for i, o in enumerate(near) if not o.is_known.all()]
        if unknown:
            seen = looked_from([near[i] for i in unknown], [0] * len(unknown), self.sight)
            for i, o in zip(unknown, seen, strict=True):
                near[i] = o
        pairs = []
        for o, row, close in zip(tried, rows, near, strict=True):
            best = int(close.order[0])
            is_as_good = close.strain[best] < MET or o.strain[row] >= MET
            pairs.append((close, best) if is_as_good else (o, row))
        return [o for o, _ in pairs], [row for _, row in pairs]


def _add(tried: list[list[Tried]], found: dict[int, Tried]) -> None:
    for i, change in found.items():
        tried[i].append(change)


def _least_focal_mm(tried: Options, row: int, kit: Kit) -> float:
    """Focal length nearest to the present lens that gives a wanted size from an option's place."""
    band = tried.wanted.views[tried.index].slot.role.size_share
    if band is None:
        return kit.outfit.lens.focal_mm[1]
    away_m = float(slant_m(tried.wanted.table, tried.index, tried.xyz_m[row : row + 1])[0])
    per_share = away_m * kit.outfit.mode.height_mm / PERSON_M
    low, high = band[0] * per_share, band[1] * per_share
    if low > kit.outfit.lens.focal_mm[1]:
        return math.ceil(low) if math.ceil(low) <= high else low
    high = min(high, kit.outfit.lens.focal_mm[0])
    return math.floor(high) if math.floor(high) >= low else high


def _cheapest(tried: Options, ask: Floats | None) -> int:
    """Row that fixes and asks least; the nearest to the standard if none fixes."""
    enough = np.flatnonzero(tried.strain < MET)
    if not len(enough):
        return tried.first(np.arange(len(tried.strain)))
    if ask is not None:
        asked = ask[enough].round(1)
        enough = enough[asked == asked.min()]
    return tried.first(enough)


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
    x_m, y_m = xy_m.T
    off_x_m = np.maximum(np.maximum(low_x - x_m, x_m - high_x), 0.0)
    off_y_m = np.maximum(np.maximum(low_y - y_m, y_m - high_y), 0.0)
    off_m = np.hypot(off_x_m, off_y_m)  # from the box round the outline, which saves measuring most of the places
    is_near = off_m <= far_m + NEARLY_M
    if view.outline.area > (1 - NEARLY_M) * (high_x - low_x) * (high_y - low_y):  # the outline is that box
        is_near &= (off_m > 0) & (off_m >= near_m - NEARLY_M)
    xy_m = np.unique(xy_m[is_near], axis=0)
    off_m = shapely.distance(shapely.points(xy_m), view.outline)
    return xy_m[(off_m > 0) & (off_m >= near_m) & (off_m <= far_m)]


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
