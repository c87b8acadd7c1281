"""The sharp zone of a shot at each aperture, and the aperture that the action asks for."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.optics.camera import Lens
from standmark.geometry.optics.focus import (
    blur_circle_mm,
    circle_of_confusion_mm,
    diffraction_f_number,
    hyperfocal_m,
    sharp_zone,
)
from standmark.geometry.optics.marked import F_NUMBERS, marked_at_least, marked_at_most
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot


@dataclass(frozen=True)
class Aperture:
    """One aperture for one shot, focused on the middle of the action."""

    f_number: float
    circle_mm: float  # largest blur that counts as sharp
    near_m: float
    far_m: float  # inf: sharp to the horizon
    hyperfocal_m: float
    print_near_m: float  # the same by the looser rule for a picture seen whole
    print_far_m: float

    @property
    def depth_m(self) -> float:
        """Length of the sharp zone, inf without a far end."""
        return self.far_m - self.near_m


def widest_f_number(lens: Lens, focal_mm: float) -> float:
    """Widest aperture of a lens at a focal length; in between it is taken to change evenly in stops.

    >>> widest_f_number(Lens("zoom", (100.0, 400.0), (4.0, 5.6)), 400.0)
    5.6
    """
    (short_mm, long_mm), (at_short, at_long) = lens.focal_mm, lens.f_number
    if long_mm <= short_mm:
        return at_short
    share = min(max((focal_mm - short_mm) / (long_mm - short_mm), 0.0), 1.0)
    return float(at_short * (at_long / at_short) ** share)


def aperture(f_number: float, *, shot: Shot, controls: Controls, wish: FilmWish) -> Aperture:
    """Sharp zone of a shot at one aperture."""
    circle_mm = circle_of_confusion_mm(controls.mode, rule=wish.circle_rule)
    loose_mm = circle_of_confusion_mm(controls.mode, rule="crop")
    zone = sharp_zone(shot.distance_m, shot.focal_mm, f_number=f_number, circle_mm=circle_mm)
    loose = sharp_zone(shot.distance_m, shot.focal_mm, f_number=f_number, circle_mm=loose_mm)
    return Aperture(
        f_number=f_number,
        circle_mm=circle_mm,
        near_m=zone.near_m,
        far_m=zone.far_m,
        hyperfocal_m=hyperfocal_m(shot.focal_mm, f_number, circle_mm=circle_mm),
        print_near_m=loose.near_m,
        print_far_m=loose.far_m,
    )


def wanted_f_number(*, shot: Shot, controls: Controls, wish: FilmWish) -> float:
    """Widest marked aperture that holds the depth of the action, within what the lens and diffraction allow.

    The focus lies on the middle of the action, so the near end decides: it blurs more than the far one.
    """
    if wish.f_number is not None:
        return max(wish.f_number, shot.widest_f_number)
    circle_mm = circle_of_confusion_mm(controls.mode, rule=wish.circle_rule)
    near_m = max(shot.distance_m - shot.depth_m / 2.0, shot.distance_m / 4.0)
    wide_open_mm = blur_circle_mm(near_m, shot.distance_m, shot.focal_mm, f_number=1.0)
    needed = marked_at_least(F_NUMBERS, wide_open_mm / circle_mm)
    return max(min(needed, smallest_useful_aperture(controls, wish)), shot.widest_f_number)


def smallest_useful_aperture(controls: Controls, wish: FilmWish) -> float:
    """Last marked aperture before diffraction blurs more than the circle of confusion."""
    circle_mm = circle_of_confusion_mm(controls.mode, rule=wish.circle_rule)
    return marked_at_most(F_NUMBERS, diffraction_f_number(circle_mm))
