"""How much of a person at the aim of a view is seen past what stands fixed on the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.sightline import SightScene, sight_scene, visible_pairs
from standmark.optimizer.standard.fit import Wanted
from standmark.optimizer.standard.standard import PERSON_M
from standmark.optimizer.standard.view import GroundView


@dataclass(frozen=True, eq=False)
class Sight:
    """A person at every aim of a ground, and the fixed things that may hide it."""

    occluders: tuple[Occluder, ...]
    aims_m: tuple[tuple[float, float], ...]

    @cached_property
    def scene(self) -> SightScene:
        """What is looked at, ready to be asked again and again."""
        return sight_scene([(*aim, PERSON_M / 2) for aim in self.aims_m], subject_m=PERSON_M, occluders=self.occluders)

    def is_asked(self, wanted: Wanted) -> Flags:
        """Has the view past fixed things to be measured for each view, shape (n_views,)."""
        asked = [view.slot.role.clear_share is not None for view in wanted.views]
        return np.array(asked, dtype=bool) & (len(self.occluders) > 0)

    def clear_share(self, wanted: Wanted, at: Indices, xyz_m: Floats) -> Floats:
        """Share of a person at the aim that fixed things leave visible, shape (n,).

        Parameters
        ----------
        at : shape (n,), index of the view of each place
        """
        aim = np.array([self.aims_m.index(view.aim_m) for view in wanted.views])
        return visible_pairs(xyz_m, aim[at], self.scene).astype(np.float64)


def sight_of(views: Sequence[GroundView], occluders: tuple[Occluder, ...]) -> Sight:
    """Look at the aims of all views of a ground."""
    return Sight(occluders, tuple(dict.fromkeys(view.aim_m for view in views)))
