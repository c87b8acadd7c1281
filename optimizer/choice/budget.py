"""How many places a plan may try: what it holds at its peak is counted before work begins.

A value is one float32, what a row is worth for a target. Grids of values grow while the old ones still stand; a search
copies the rows that are left open, once these are less than half.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.geometry.errors import InputError
from standmark.optimizer.choice.candidates import MOST_IN_ALL
from standmark.optimizer.choice.grid import StageTask, distinct_pictures
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import camera_outfits

MOST_VALUES = 1.2e8  # of all rows and targets, each period for itself: about as many as are worth their time
PEAK_VALUES = 3.0e8  # held at once: 1.2 GB, which leaves 0.3 GB for all else
PEAK_PAIRS = 3.6e7  # of places that a line of action may keep apart, each with its bits
FEWEST_PLACES = 100  # a plan that tries fewer says too little
LEAST_PLACES = 1000  # where memory allows, however many lenses and targets there are
LEAST_IN_TIME = 400  # the same where time is limited
VALUES_PER_S = 1e7  # that a slow machine fills; with a time limit there are no more places than can be valued in it
CLIMBED = 24  # places that climbs add for each camera
CLIMBED_IN_ROLES = 4  # the same where all cameras are chosen together: one climb in each round
BESIDE = 1.25  # what a search of all cameras and periods together holds beside, as measured
COPIED = 0.5  # share of a search problem's rows that it copies at most


@dataclass(frozen=True)
class Asked:
    """What the film or a role asks: its cameras by index, and its tasks."""

    cameras: Sequence[int]
    tasks: Sequence[StageTask]

    @property
    def n_targets(self) -> int:
        """Targets of all periods."""
        return sum(len(targets.weight) for task in self.tasks for targets in task.targets)

    @property
    def n_pictured(self) -> int:
        """The same, counted once where periods ask for the same pictures."""
        return sum(len(targets.weight) for targets, _ in distinct_pictures(self.tasks))


def places_within(match: Match, film: Asked, time_limit_s: float | None, *, roles: Sequence[Asked] = ()) -> int:
    """Most places whose values, for all outfits and targets, fit the memory that a plan may take and the time given.

    Parameters
    ----------
    roles : what roles ask beside the film, searched with it as one problem

    Raises
    ------
    InputError : too few places would be left; says how many lenses, or targets, would do
    """
    asked = [film, *roles]
    n_outfits = [_n_outfits(match, own.cameras) for own in asked]
    most_values = MOST_VALUES
    if time_limit_s is not None:  # a least coverage is bounded like a value of its own
        n_bounded = 1 + len(match.rules.must_cover)
        most_values = min(MOST_VALUES, max(time_limit_s, 1.0) * VALUES_PER_S / n_bounded)
    least = LEAST_PLACES if time_limit_s is None else LEAST_IN_TIME
    n_targets = sum(own.n_targets for own in asked)
    wanted = max(least // len(asked), int(most_values / (sum(n_outfits) * n_targets)))
    grids, problems = held_values(match, film, roles)
    if roles:  # grids grow while no problem stands
        peak = BESIDE * max(2 * grids, grids + problems + COPIED * problems / len(film.tasks))
    else:  # those of the search before stand until the next is done
        peak = 2 * grids + 2 * problems + COPIED * n_outfits[0] * film.n_targets / len(film.tasks)
    fitting = int(PEAK_VALUES / peak) - len(match.cameras) * (CLIMBED_IN_ROLES if roles else CLIMBED)
    if match.rules.same_side == "forbid" and len(match.cameras) > 1:
        fitting = min(fitting, int(PEAK_PAIRS**0.5))
    if fitting < FEWEST_PLACES:
        share = max(fitting, 1) / FEWEST_PLACES
        most = max(1, int(share * n_outfits[0]))
        raise InputError(
            f"{n_outfits[0]} different lenses and {film.n_targets} spots of key moments are more than a plan "
            f"has memory for; take at most {most} lens{'es' if most > 1 else ''} in all, or a sport with at most "
            f"{int(share * film.n_targets)} spots: fewer moments, zones or periods"
        )
    return min(MOST_IN_ALL, wanted, fitting)


def held_values(match: Match, film: Asked, roles: Sequence[Asked] = ()) -> tuple[int, int]:
    """Count the values that each place takes: in grids, and in search problems that are not a grid itself."""
    asked = [film, *roles]
    grids = sum(_n_outfits(match, own.cameras) * own.n_pictured for own in asked)
    if not roles:
        side_by_side = [task for task in film.tasks if len(task.targets) > 1]
        return grids, _n_outfits(match, film.cameras) * Asked(film.cameras, side_by_side).n_targets
    with_role = {i for own in roles for i in own.cameras}
    sharing = [[i for i in film.cameras if i not in with_role], *(own.cameras for own in roles)]
    return grids, sum(_n_outfits(match, own) for own in sharing) * sum(own.n_targets for own in asked)


def _n_outfits(match: Match, cameras: Sequence[int]) -> int:
    return len({outfit for i in cameras for outfit in camera_outfits(match, match.cameras[i])})
