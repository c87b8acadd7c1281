"""What the ground adds to the view: sight past fixed things, and the light of the sun."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.kept import kept
from standmark.geometry.light.grandstand import Stand
from standmark.geometry.light.sun_light import light_share
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.sightline import SightScene, sight_scene, visible_past
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals
from standmark.optimizer.value.targets import Targets


@dataclass(frozen=True)
class FixedSight:
    """Sight past everything fixed on the ground."""

    occluders: tuple[Occluder, ...]

    def __call__(self, positions_m: Floats, targets: Targets) -> Singles:
        """Visible share of every target from every position, shape (p, t)."""
        scene = _sight_scene(self.occluders, targets)
        return visible_past(positions_m, scene, n_threads=1)


@dataclass(frozen=True)
class SunLight:
    """Light of the sun at a few times of a period; directions toward it, in the pitch frame."""

    toward_sun: tuple[tuple[float, float, float], ...]
    stands: tuple[Stand, ...] = ()

    def __call__(self, sight: LinesOfSight) -> Reals:
        """Light factor of every look, the mean over the times, shape (p, t)."""
        return light_share(sight, toward_sun=np.array(self.toward_sun), stands=self.stands)


@kept(16)  # the same targets are looked at again and again from other places
def _sight_scene(occluders: tuple[Occluder, ...], targets: Targets) -> SightScene:
    subject_m = targets.subject_m
    middle_m = np.column_stack([targets.xyz_m[:, :2], targets.feet_m + 0.5 * subject_m])
    return sight_scene(middle_m, subject_m=subject_m, occluders=occluders)
