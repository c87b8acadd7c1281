"""Everything that belongs to the day of one match."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standmark.optimizer.day.call_times import call_times
from standmark.optimizer.day.cautions import DEFER, Caution, camera_cautions, cautions
from standmark.optimizer.day.checklist import access, preparation, welfare
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.day.kit_list import Item, kit_list
from standmark.optimizer.day.outing import Outing
from standmark.optimizer.day.two_cameras import Check, Setting, joint_checks


@dataclass(frozen=True)
class Day:
    """Times, lists and cautions of one match day."""

    times: tuple[KeyTime, ...]  # () while the start is not known
    kit: tuple[Item, ...]
    preparation: tuple[str, ...]
    access: tuple[str, ...]
    welfare: tuple[str, ...]
    cautions: tuple[Caution, ...]
    camera_cautions: tuple[tuple[str, tuple[Caution, ...]], ...]  # those of each camera, by its name
    defer: str
    joint_checks: tuple[Check, ...]


def plan_day(outing: Outing, *, settings: tuple[Setting, ...] = (), leads: Mapping[str, float] | None = None) -> Day:
    """Work out the day of a match.

    Parameters
    ----------
    settings : what each camera is set to, for the checks of cameras that record together
    leads : minutes before the start or after the finish that replace the usual ones, by key
    """
    times: tuple[KeyTime, ...] = ()
    if outing.start is not None:
        moves = dict(outing.move_after)
        times = call_times(outing.start, outing.periods, leads=leads, move_after=moves, order=outing.order)
    return Day(
        times=times,
        kit=kit_list(outing),
        preparation=preparation(outing),
        access=access(outing),
        welfare=welfare(outing),
        cautions=cautions(outing),
        camera_cautions=tuple((camera.name, camera_cautions(outing, camera)) for camera in outing.cameras),
        defer=DEFER,
        joint_checks=joint_checks(settings),
    )
