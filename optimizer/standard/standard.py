"""What a league wants at every ground: roles, each with the view it asks for.

Directions are measured from the main side, so that one standard fits every ground: 0 degrees looks square on from
the main side, 90 from the role's own end, 180 from the other side. Left and right are those of someone at the main
position who looks at the playing area. A role that exists at each end is described for the right end and mirrored
for the left.
"""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.optics.camera import Lens, RecordingMode

Band = tuple[float, float]  # lowest and highest value that meets a wish

# What one step of falling short means for each wish: a place that is two steps off in one wish is as far from the
# standard as one that is off by two roots of two in two wishes. Common practice, no source; a league may change them.
STEPS = {
    "direction": 5.0,  # deg
    "offset": 3.0,  # m
    "lens_height": 1.0,  # m
    "look_down": 2.0,  # deg
    "over_target": 1.0,  # m of lens height
    "size": 0.25,  # octaves: a quarter of a doubling
    "clear": 0.1,  # share
}
PERSON_M = 1.8  # standing person that sizes in frame are measured by


@dataclass(frozen=True)
class Role:
    """One view of the standard."""

    code: str  # one to three capital letters, unique in the standard
    name: str
    purpose: str
    each_end: bool  # True: one position at the left and one at the right end
    aim_at_end: bool  # False: looks at the middle of the playing area
    aim_in_m: float | None  # with aim_at_end: metres in front of the end line ...
    aim_in_share: float | None  # ... or as a share of the length
    from_deg: Band
    max_turn_deg: float = 30.0  # further off than this the view is another one: the role stays unfilled
    offset_m: Band | None = None  # outside the outline
    lens_height_m: Band | None = None
    look_down_deg: Band | None = None  # from the lens down to the ground at the aim
    over_target: bool = False  # from behind the end, sees the ground at the aim over the crossbar
    size_share: Band | None = None  # of the frame height, for a standing person at the aim
    clear_share: float | None = None  # least share of a person at the aim seen past fixed things
    needed: bool = True  # False: a ground without it is not listed as short
    sports: tuple[str, ...] | None = None  # None: every sport
    mode: RecordingMode | None = None  # None: the standard's, else the ground's own cameras
    lenses: tuple[Lens, ...] | None = None


@dataclass(frozen=True)
class Standard:
    """A league's standard positions, written once."""

    name: str
    edition: str
    roles: tuple[Role, ...]
    main_side: str = "best"  # "best": the side that meets the standard best; "sun": the one with the sun behind
    separation_m: float = 2.0
    mode: RecordingMode | None = None
    lenses: tuple[Lens, ...] | None = None


@dataclass(frozen=True)
class CodedPosition:
    """A role at one end of a ground, or at its middle: what one code stands for."""

    code: str  # role code, and L or R for a role at each end
    role: Role
    end: str  # "left", "right" or ""


def coded_positions(standard: Standard, sport_key: str) -> tuple[CodedPosition, ...]:
    """List the positions that a standard asks for at every ground of a sport, in the order of its roles."""
    wanted = (role for role in standard.roles if role.sports is None or sport_key in role.sports)
    return tuple(
        CodedPosition(code, role, end)
        for role in wanted
        for code, end in zip(role_codes(role), _ends(role), strict=True)
    )


def role_codes(role: Role) -> tuple[str, ...]:
    """Codes of a role at one ground: one, or one for the left and one for the right end."""
    return (f"{role.code}L", f"{role.code}R") if role.each_end else (role.code,)


def _ends(role: Role) -> tuple[str, ...]:
    return ("left", "right") if role.each_end else ("",)
