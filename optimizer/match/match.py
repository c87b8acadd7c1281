"""The match to be filmed: venue, kit and rules, already checked; plain data that the planner reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal

from shapely.geometry.base import BaseGeometry

from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.crew import Person
from standmark.optimizer.match.filming import USUAL_BODY, USUAL_FILMING, Body, Filming
from standmark.sports.competition import Profile
from standmark.sports.place_kind import POSTURES, SUPPORTS, HeldBy, Posture
from standmark.sports.sport import PLAIN_SIDES, Furniture, Sport

CameraRole = Literal["wide", "tight", "faces"]
FirstAttack = Literal["+x", "-x", "unknown"]  # which way side A attacks first

PRACTISED = Operator("practised", 0.25)  # s; see presets.OPERATORS


@dataclass(frozen=True)
class AllowedArea:
    """A part of the ground where a camera may stand."""

    key: str  # unique, lower case with hyphens
    name: str
    shape: BaseGeometry  # Polygon or LineString, pitch metres
    lens_height_m: tuple[float, float]
    periods: tuple[str, ...] | None = None  # keys of the periods in which it is open; None: all
    max_cameras: int | None = None
    kind: str = "ground"  # key of place_kind.KINDS: what one stands on
    floor_m: float = 0.0  # height of what one stands on; people and furniture have room under a high one
    postures: tuple[Posture, ...] = POSTURES  # that one may take there
    supports: tuple[HeldBy, ...] = SUPPORTS  # that one may use there


@dataclass(frozen=True)
class RemovedPlace:
    """A place that the rules of the competition take away, and why."""

    name: str
    reason: str


@dataclass(frozen=True)
class ForbiddenArea:
    """A part of the ground where no camera may stand, whatever else allows it."""

    name: str
    shape: BaseGeometry
    reason: str = ""


@dataclass(frozen=True)
class Venue:
    """The actual ground."""

    name: str
    allowed: tuple[AllowedArea, ...]
    asked: tuple[AllowedArea, ...] = ()  # places that the ground has not answered for: weighed, never planned on
    replaced: tuple[AllowedArea, ...] = ()  # usual places left out because the match file has areas of its own
    removed: tuple[RemovedPlace, ...] = ()  # by the rules of the competition
    forbidden: tuple[ForbiddenArea, ...] = ()
    obstacles: tuple[Occluder, ...] = ()
    furniture: tuple[Furniture, ...] = ()  # of the sport: hides like obstacles, and nobody stands on it
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    bearing_deg: float = 0.0  # compass direction of +x
    has_bearing: bool = True  # False: nobody said how the ground lies
    is_indoor: bool = False
    is_floodlit: bool = False
    lux: float | None = None
    mains_hz: float = 50.0
    side_names: dict[str, str] = field(default_factory=lambda: dict(PLAIN_SIDES), hash=False)
    respect_keep_clear: bool = True  # False: the ground has released the sport's usual keep-clear areas
    stand_height_m: dict[str, float] = field(default_factory=dict, hash=False)  # side -> height of a stand that shades
    main_side: str | None = None  # "+y" or "-y": the long side that a league's main position stands on
    code: str | None = None  # the league's own short code for the ground


@dataclass(frozen=True)
class FixedSpot:
    """A position that the user has chosen for a camera."""

    x_m: float
    y_m: float
    z_m: float


WALK_M_S = 1.4  # usual walking speed of grown-ups on the flat, from memory


@dataclass(frozen=True)
class Roam:
    """How a camera may walk while play goes on."""

    speed_m_s: float = WALK_M_S
    most_m: float | None = None  # metres a match; None: as far as each kilometre earns its keep
    areas: tuple[str, ...] | None = None  # keys of allowed areas to film from; None: all that the camera may use
    bodies: int = 1  # 1: one lens is carried; 2: every lens on a body of its own


@dataclass(frozen=True)
class Camera:
    """One camera with its own kit."""

    name: str
    mode: RecordingMode
    lenses: tuple[Lens, ...]
    support: Support
    operator: Operator = PRACTISED
    lens_height_m: tuple[float, float] = (0.5, 30.0)  # what the support can reach
    areas: tuple[str, ...] | None = None  # keys of allowed areas; None: all
    fixed: FixedSpot | None = None
    body: Body = USUAL_BODY
    roam: Roam | None = None  # None: stands still between breaks of the match
    more_modes: tuple[RecordingMode, ...] = ()  # that the body has besides; see value.outfit.working_mode
    role: CameraRole | None = None  # None: serves the film as all do
    kit_of: str | None = None  # nobody gave its kit: that of the camera of this name was assumed, "" for the usual kit


def heights_within_reach_m(area: AllowedArea, camera: Camera) -> tuple[float, float] | None:
    """Lowest and highest lens that an area allows and a camera's support reaches; None if there is none."""
    low = max(area.lens_height_m[0], camera.lens_height_m[0])
    high = min(area.lens_height_m[1], camera.lens_height_m[1])
    return (low, high) if low <= high else None


@dataclass(frozen=True)
class Deliverable:
    """What is made of the pictures: it sets the sizes that count as usable and as wanted."""

    key: str
    name: str
    smallest_share: float  # share of frame height under which a moment is lost
    wanted_share: float  # share of frame height at which size is no longer a concern
    wanted_px_per_m: float  # pixel density at which it is no longer a concern
    extent_scale: float  # multiplies the extent of every moment
    aspect: tuple[int, int]  # delivered frame
    min_fps: float
    least_width_m: float = 0.0  # the frame holds at least this much ground across the action
    faces: float = (
        0.7  # wish for them, 0..1: a moment whose faces matter wholly keeps 1 - faces of its worth from behind
    )
    off_play_scale: float = 1.0  # multiplies the worth of moments that are not play
    evenness: float = 0.0  # 0: moments weigh by their importance; 1: every moment of play weighs the same
    look_down_deg: float = 0.0  # angle down to the action at which the shape of play reads; 0: no wish
    look_down_most_deg: float = 90.0  # steeper than this the picture loses, all of it at LOST_DOWN_DEG more


@dataclass(frozen=True)
class Rules:
    """What a plan must respect."""

    separation_m: float = 2.0
    must_cover: dict[str, float] = field(default_factory=dict, hash=False)  # moment key -> least coverage, 0..1
    same_side: Literal["off", "warn", "forbid"] = "warn"
    moves: Literal["free", "never"] = "free"
    move_cost: float = 0.005  # coverage of the whole match that each move of a camera must earn, as a share of 1
    second_angle_give: float = 0.005  # coverage that may be given up for more second angles, as a share of 1
    eye_height_give: float = 0.005  # coverage that may be given up for a lens at a person's eye, as a share of 1
    fallback_m: float = 8.0  # a fallback is at least this far from the spot it stands in for


@dataclass(frozen=True)
class Match:
    """Everything the planner needs."""

    sport: Sport
    title: str
    venue: Venue
    cameras: tuple[Camera, ...]
    deliverable: Deliverable
    rules: Rules = Rules()
    start: datetime | None = None  # aware
    cover: Literal["ours", "both"] = "both"  # "ours": side A matters most
    first_attack: FirstAttack = "+x"  # which way side A attacks first
    other_side_weight: float = 0.2  # with cover = "ours": weight of the other side's attacks
    hire: tuple[Lens, ...] = ()  # lenses that could be hired or borrowed: advice says what each would add
    filming: Filming = USUAL_FILMING
    crew: tuple[Person, ...] = ()
    profile: Profile | None = None  # rules of the competition that the match keeps to

    def __repr__(self) -> str:
        kit = ", ".join(camera.name for camera in self.cameras)
        return f"<Match {self.title!r} at {self.venue.name!r}: {self.sport.key}, cameras {kit}, {self.deliverable.key}>"


CAMERA_NAMES = "ABCDEFGHJK"
MOST_CAMERAS = 8


def camera_copies(cameras: Sequence[Camera], n: int) -> tuple[Camera, ...]:
    """Take the first n cameras; where there are fewer, the first one's kit again under the next free letter."""
    kept = list(cameras[:n])
    free = [letter for letter in CAMERA_NAMES if letter not in {c.name for c in cameras}]
    while len(kept) < n:
        usual = cameras[0].kit_of == ""
        made_up = replace(cameras[0], name=free.pop(0), fixed=None, role=None)
        kept.append(replace(made_up, kit_of="" if usual else cameras[0].name))
    return tuple(kept)


def asked_by(match: Match, *rules: str) -> Match:
    """Return the match without its names, with some of its rules and the others as they are by default."""
    kept = {name: getattr(match.rules, name) for name in rules}
    return replace(match, title="", hire=(), crew=(), rules=Rules(**kept))
