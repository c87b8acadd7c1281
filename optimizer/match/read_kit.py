"""Cameras of a match file, with modes, lenses, supports and operators looked up or built."""

from __future__ import annotations

from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support
from standmark.optimizer.match.kit_schema import CameraTable, LensTable, ModeTable, OperatorTable, RoamTable
from standmark.optimizer.match.match import Camera, FixedSpot, Roam
from standmark.optimizer.match.presets import MODES, OPERATORS, SUPPORTS, lens_from_words
from standmark.optimizer.match.read_filming import body


def camera_of(table: CameraTable, area_keys: dict[str, str]) -> Camera:
    """Camera of a file; `area_keys` gives the key of each allowed area by the name or key that the file uses."""
    support = SUPPORTS[table.support] if isinstance(table.support, str) else Support(**table.support.model_dump())
    fixed = None if table.at_m is None else FixedSpot(table.at_m[0], table.at_m[1], (*table.at_m, 1.6)[2])
    return Camera(
        name=table.name,
        mode=mode_of(table.mode),
        more_modes=tuple(mode_of(mode) for mode in table.more_modes),
        lenses=tuple(lens_of(lens) for lens in table.lenses),
        support=support,
        operator=operator_of(table.operator),
        lens_height_m=table.lens_height_m or (0.0, 200.0),
        areas=None if table.areas is None else tuple(area_keys[a] for a in table.areas),
        fixed=fixed,
        body=body(table.body),
        roam=roam_of(table.roam, area_keys),
        role=table.role,
    )


def roam_of(table: bool | RoamTable, area_keys: dict[str, str]) -> Roam | None:
    """How a camera walks with play; None: it does not."""
    if isinstance(table, bool):
        return Roam() if table else None
    areas = None if table.areas is None else tuple(area_keys[a] for a in table.areas)
    return Roam(table.speed_m_s, table.most_m, areas, table.bodies)


def operator_of(table: str | OperatorTable) -> Operator:
    """Operator that a file names or gives by the delay."""
    if isinstance(table, str):
        return OPERATORS[table]
    return Operator(f"{table.delay_s:g} s behind", table.delay_s)


def mode_of(table: str | ModeTable) -> RecordingMode:
    """Recording mode that a file names or gives in full."""
    return MODES[table] if isinstance(table, str) else RecordingMode(**table.model_dump())


def lens_of(table: str | LensTable) -> Lens:
    """Lens that a file gives in words or in full."""
    if isinstance(table, str):
        lens = lens_from_words(table)
        assert lens is not None, "the schema has read it already"
        return lens
    low, high = table.focal_ends
    name = table.name or (f"{low:g}-{high:g}" if low != high else f"{low:g}")
    return Lens(name, table.focal_ends, table.f_ends, table.close_focus_m)
