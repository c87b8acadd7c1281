"""Everything that belongs to the day of one match."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standmark.optimizer.day.call_times import call_times
from standmark.optimizer.day.cautions import DEFER, Caution, camera_cautions, cautions
from standmark.optimizer.day.checklist import access, preparation, welfare
from standmark.optimizer.day.deadlines import deadlines, setting_off
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.day.kit_list import Item, kit_list
from standmark.optimizer.day.mishaps import Mishap, camera_mishaps
from standmark.optimizer.day.outing import Outing
from standmark.optimizer.day.two_cameras import Check, Setting, joint_checks
from standmark.optimizer.day.visit import ground_list, training_list


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
    deadlines: tuple[KeyTime, ...] = ()  # before the day
    training: tuple[str, ...] = ()  # what to look at there
    visit: tuple[str, ...] = ()  # what to look at on the ground beforehand
    mishaps: tuple[tuple[str, tuple[Mishap, ...]], ...] = ()  # what each camera does then, by its name


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
        arrive = next((time.at for time in times if time.key == "arrive"), times[0].at)
        off = setting_off(outing, arrive)
        times = times if off is None else (off, *times)
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
        deadlines=deadlines(outing),
        training=training_list(outing),
        visit=ground_list(outing),
        mishaps=tuple((camera.name, camera_mishaps(outing, camera)) for camera in outing.cameras),
    )
