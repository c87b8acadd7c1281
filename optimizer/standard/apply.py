"""A league's standard laid on one ground: which place each position takes, and how near it comes to its view."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.optimizer.choice.candidates import FINEST_M
from standmark.optimizer.match.match import Match, Venue
from standmark.optimizer.standard.fit import Wanted
from standmark.optimizer.standard.joint_choice import choose_jointly
from standmark.optimizer.standard.options import Options, answered, looked_from, options, widened
from standmark.optimizer.standard.places import SPACING_M, OpenArea, open_areas, places_in, role_kits
from standmark.optimizer.standard.remedy import GroundChange, remedies
from standmark.optimizer.standard.sight import sight_of
from standmark.optimizer.standard.standard import CodedPosition, Standard, coded_positions
from standmark.optimizer.standard.view import WISHES, GroundView, ViewWish, lay_view, wishes
from standmark.optimizer.value.surroundings import fixed_occluders
from standmark.optimizer.work.assignment import Station, spot_at

MOST_MOVES = 60  # of a refinement at one step width
TROPIC_DEG = 23.44  # between the tropics the sun passes on either side


@dataclass(frozen=True)
class Answer:
    """What a place gives for one wish."""

    wish: ViewWish
    value: float
    short: float  # negative: under the wanted range by this much, positive: above it, 0: met


@dataclass(frozen=True)
class Filled:
    """A position's place, with what it gives for each wish."""

    station: Station
    focal_mm: float  # at which a person at the aim has the wanted size, as far as the lens reaches
    answers: tuple[Answer, ...]

    @property
    def is_met(self) -> bool:
        """Does the place give everything that the role asks for."""
        return all(answer.short == 0 for answer in self.answers)


@dataclass(frozen=True)
class Position:
    """One coded position at one ground."""

    slot: CodedPosition
    view: GroundView
    filled: Filled | None  # None: no open place shows anything like the wanted view, or none is left
    is_crowded_out: bool  # unfilled only because other positions stand too near to every place it could have
    remedies: tuple[GroundChange, ...]  # what would fix it, when it is not met


@dataclass(frozen=True)
class StandardPositions:
    """The whole standard at one ground."""

    main_side: str  # "+y" or "-y"
    main_side_reason: str  # "ground", "sun", "standard", "first": who decided
    positions: tuple[Position, ...]
    is_exact: bool  # no other choice among the places tried comes nearer to the standard


def apply_standard(match: Match, standard: Standard, *, steps: Mapping[str, float]) -> StandardPositions:
    """Give every position of a standard its place at one ground.

    The places are chosen together: the least sum of squared shortfalls, no two closer than the standard's separation,
    a missing position worse than any shortfall. Among places that meet everything the one nearest to the middle of
    the wanted ranges is taken. Both long sides are tried as the main side, unless the ground or the sun decides.

    Parameters
    ----------
    steps : how much one step of falling short is, by wish; see `standard.STEPS`
    """
    wanted = coded_positions(standard, match.sport.key)
    areas = open_areas(match)
    sides, reason = _sides(match.venue, standard)
    tried = [_Laid(match, standard, wanted, areas, side, dict(steps)) for side in sides]
    costs = [laid.cost for laid in tried]
    best = 0
    if len(tried) == 2:
        is_equal = abs(costs[0] - costs[1]) <= 1e-6
        best, reason = (0, reason) if is_equal else (int(np.argmin(costs)), "standard")
    laid = tried[best]
    return StandardPositions(sides[best], reason, laid.positions(), laid.is_exact)


def sun_side(venue: Venue) -> str | None:
    """Long side with the midday sun behind it, "+y" or "-y"; None if the place is unknown, tropical, or indoors."""
    latitude = venue.latitude_deg
    if latitude is None or abs(latitude) <= TROPIC_DEG or venue.is_indoor:
        return None
    sun_bearing = 180.0 if latitude > 0 else 0.0
    plus_y_bearing = venue.bearing_deg - 90.0  # +y lies to the left of +x
    off_deg = abs((plus_y_bearing - sun_bearing + 180.0) % 360.0 - 180.0)
    return None if abs(off_deg - 90.0) < 1e-6 else "+y" if off_deg < 90.0 else "-y"


def _sides(venue: Venue, standard: Standard) -> tuple[tuple[str, ...], str]:
    """Sides to try, the one that wins a tie first, and who decided."""
    if venue.main_side is not None:
        return (venue.main_side,), "ground"
    sun = sun_side(venue)
    if standard.main_side == "sun" and sun is not None:
        return (sun,), "sun"
    first = sun or "-y"
    return (first, "+y" if first == "-y" else "-y"), "first" if sun is None else "sun"


class _Laid:
    """A standard laid on a ground with its main side settled."""

    def __init__(
        self,
        match: Match,
        standard: Standard,
        wanted: Sequence[CodedPosition],
        areas: tuple[OpenArea, ...],
        side: str,
        steps: dict[str, float],
    ) -> None:
        self.match, self.standard, self.areas = match, standard, areas
        views = tuple(lay_view(slot, match.sport.area, main_side=side) for slot in wanted)
        kits = tuple(role_kits(match, standard, slot.role) for slot in wanted)
        self.sight = sight_of(views, fixed_occluders(match))
        every = Wanted(views, kits, steps)
        self.places = places_in(views, every.table, areas)
        self.options = options(every, self.places, areas, self.sight)
        self._choose()
        step_m = SPACING_M / 2
        while step_m >= FINEST_M - 1e-9:
            self._refine(step_m)
            step_m /= 2

    @property
    def cost(self) -> float:
        """What the choice costs, without tie-breaks."""
        pairs = zip(self.options, self.rows, strict=True)
        return sum(o.without[0] if row is None else float(o.strain[row]) for o, row in pairs)

    def _choose(self) -> None:
        """Choose for all positions together, looking past fixed things only from places that win."""
        while True:
            self.rows, self.is_exact = [o.best for o in self.options], True
            chosen = self._chosen()
            if not self._stand_apart(chosen):
                joint = choose_jointly([o.choices for o in self.options], separation_m=self.standard.separation_m)
                pairs = zip(self.options, joint.rows, strict=True)
                self.rows = [None if row is None else int(o.order[row]) for o, row in pairs]
                self.is_exact = joint.is_exact
                chosen = self._chosen()
            unknown = {i: row for i, row in chosen.items() if not self.options[i].is_known[row]}
            if not unknown:
                return
            self._replace(unknown, looked_from([self.options[i] for i in unknown], [*unknown.values()], self.sight))

    def _stand_apart(self, chosen: Mapping[int, int]) -> bool:
        """Do all positions stand far enough from each other."""
        xy_m = np.array([self.options[i].xyz_m[row, :2] for i, row in chosen.items()]).reshape(-1, 2)
        first, second = np.triu_indices(len(xy_m), 1)
        return bool(stand_apart(xy_m[first], xy_m[second], self.standard.separation_m).all())

    def _refine(self, step_m: float) -> None:
        """Add the neighbours of every chosen place and choose again, until no place moves."""
        seen: set[tuple[float, ...]] = set()
        for _ in range(MOST_MOVES):
            places = {i: self._place(i, row) for i, row in self._chosen().items()}
            fresh = [i for i, place in places.items() if place not in seen]
            if not fresh:
                break
            seen |= set(places.values())
            known, rows = [self.options[i] for i in fresh], [self._chosen()[i] for i in fresh]
            self._replace(fresh, widened(known, rows, self.areas, self.sight, step_m=step_m))
            self._choose()

    def _chosen(self) -> dict[int, int]:
        """Rows of the positions that have one."""
        return {i: row for i, row in enumerate(self.rows) if row is not None}

    def _replace(self, at: Iterable[int], better: Sequence[Options]) -> None:
        for i, known in zip(at, better, strict=True):
            self.options[i] = known

    def _place(self, index: int, row: int) -> tuple[float, ...]:
        known = self.options[index]
        return (index, *known.xyz_m[row].tolist(), int(known.kit[row]))

    def positions(self) -> tuple[Position, ...]:
        """Say what every position got and what would fix it."""
        filled = self._filled()
        short = [i for i in range(len(self.options)) if i not in filled or not filled[i].is_met]
        known, rows = [self.options[i] for i in short], [self.rows[i] for i in short]
        fixes = dict(zip(short, remedies(self.match, known, rows, self.areas, self.places, self.sight), strict=True))
        return tuple(
            Position(
                o.view.slot, o.view, filled.get(i), i not in filled and len(o.strain) > 0, fixes.get(i, ())
            )
            for i, o in enumerate(self.options)
        )  # fmt: skip

    def _filled(self) -> dict[int, Filled]:
        chosen = self._chosen()
        if not chosen:
            return {}
        found = answered([self.options[i] for i in chosen], [*chosen.values()])
        columns = zip(
            chosen.items(), found.value.T.tolist(), found.short.T.tolist(), found.focal_mm.tolist(), strict=True
        )
        return {i: self._answer(self.options[i], row, *answer) for (i, row), *answer in columns}

    def _answer(self, known: Options, row: int, value: list[float], short: list[float], focal_mm: float) -> Filled:
        kit = known.wanted.kits[known.index][int(known.kit[row])]
        spot = spot_at(self.areas[int(known.area[row])].area.key, *known.xyz_m[row].tolist())
        by_wish = dict(zip(WISHES, zip(value, short, strict=True), strict=True))
        answers = tuple(Answer(wish, *by_wish[wish.key]) for wish in wishes(known.view))
        return Filled(Station(kit.camera, kit.outfit, spot), focal_mm, answers)
