"""What a sport is to someone who films it, at one actual size of playing area.

Pitch frame: origin at the centre of the playing area (a definition with one home corner says
otherwise), x along its length, y to the left when looking along +x, z up; metres. Key moments
describe the side that attacks toward +x.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.sightlines.occluder import Occluder
from standmark.sports.order import NO_ORDER, Order
from standmark.sports.place_kind import POSTURES, SUPPORTS, HeldBy, Posture
from standmark.sports.play_flow import PlayFlow

Point3 = tuple[float, float, float]
CORNER_M = 0.3  # an outline that passes the origin this near has its home corner there
# Where nobody names them: benches lie on the side of +y, ends are called as they are seen from there.
PLAIN_SIDES = {"+x": "left end", "-x": "right end", "+y": "bench side", "-y": "far side"}


@dataclass(frozen=True)
class Source:
    """Where a figure comes from; `kind` says how far to trust it."""

    key: str
    title: str
    section: str
    address: str
    kind: str  # "laws of the game", "governing body", "guide", "statistics", "from memory", "common practice" ...


@dataclass(frozen=True)
class Marking:
    """A painted line, arc or spot: true shape in the plane z = 0."""

    name: str
    shape: BaseGeometry  # LineString, MultiLineString, Polygon outline as LineString, or Point
    source: str  # key into Sport.sources
    is_dashed: bool = False


@dataclass(frozen=True)
class Target:
    """What a side scores at: bars and posts as 3D polylines, and what of it blocks a view."""

    name: str
    bars: tuple[tuple[Point3, ...], ...]
    occluders: tuple[Occluder, ...]
    source: str


@dataclass(frozen=True)
class KeepClear:
    """A part of the surroundings where nobody may or should stand, and why."""

    name: str
    shape: BaseGeometry
    reason: str
    source: str


@dataclass(frozen=True)
class Danger:
    """A part of the ground where play can hurt the person who films, and what to do about it."""

    name: str
    shape: BaseGeometry
    up_to_m: float  # height of a lens up to which it can reach the person
    text: str
    is_marked: bool  # shown on the plan; False where it holds all round the ground
    source: str


@dataclass(frozen=True)
class Place:
    """Where people who film usually may stand, before a venue says otherwise."""

    key: str
    name: str
    shape: BaseGeometry  # Polygon or LineString
    lens_height_m: tuple[float, float]  # above the playing surface
    source: str
    kind: str = "ground"  # key of place_kind.KINDS
    postures: tuple[Posture, ...] = POSTURES  # that one may take there
    supports: tuple[HeldBy, ...] = SUPPORTS  # that one may use there


@dataclass(frozen=True)
class Furniture:
    """What stands or sits beside the playing area: it hides what is behind it, and nobody stands on it."""

    key: str
    name: str
    shape: BaseGeometry  # Polygon or MultiPolygon
    base_m: float
    top_m: float  # people on it included
    see_through: float
    is_open_to_play: bool  # only the sides away from play hide
    is_usual: bool  # there unless a ground says otherwise
    source: str


@dataclass(frozen=True)
class PlayingArea:
    """The playing area at its actual size, with everything drawn on it and standing round it."""

    length_m: float
    width_m: float
    outline: BaseGeometry  # Polygon of true shape
    end_line: str  # what the sport calls the line at x = +-length/2
    side_line: str  # what the sport calls the line at y = +-width/2
    target_name: str  # "goal", "posts", "hoop" ...: the thing places are described by
    markings: tuple[Marking, ...]
    targets: tuple[Target, ...]
    run_off: BaseGeometry  # playing area plus the clear strip round it
    keep_clear: tuple[KeepClear, ...]
    dangers: tuple[Danger, ...]
    places: tuple[Place, ...]
    side_names: dict[str, str] = field(default_factory=dict, hash=False)  # "+x": what the sport calls that side
    raised: tuple[Place, ...] = ()  # places above the ground that one has to ask for
    furniture: tuple[Furniture, ...] = ()
    unit: Literal["m", "yd", "ft"] = "m"  # in which the sport measures its field
    outer_line: str = ""  # the outline's own edge at the ends, where it lies beyond the end line (dead-ball line)

    @property
    def has_home_corner(self) -> bool:
        """Does the ground open from one corner, home, where its frame begins, so that it has no halfway and one end."""
        return bool(self.outline.boundary.distance(shapely.Point(0.0, 0.0)) < CORNER_M)


@dataclass(frozen=True)
class Zone:
    """A part of the ground where a moment happens, equally likely all over; weights of a moment sum to 1."""

    shape: BaseGeometry  # Polygon or MultiPolygon, for the side that attacks toward +x
    weight: float


@dataclass(frozen=True)
class Facing:
    """Which way the people who matter look: one direction or toward one point, with a spread."""

    direction_deg: float | None  # 0 = along +x, 90 = along +y; None when `toward_m` is given
    toward_m: tuple[float, float] | None
    spread_deg: float  # standard deviation; 180 or more: any direction
    source: str = "estimate"


@dataclass(frozen=True)
class Jump:
    """How play arrives at a moment: what an operator who follows the ball has to cope with.

    Play has just jumped where the ball was more than 3 m from the subject 0.8 s before. The speeds are the root mean
    square of the ball's speed in the last 0.4 s before the moments to which it has, along and across the attack.
    """

    share: float  # of the moments: those to which play has just jumped, 0..1
    along_m_s: float
    across_m_s: float
    is_long_flight: bool = False  # the ball is in the air for more than about 1.2 s: an operator has caught up by then
    source: str = "estimate"


# Where a definition says nothing: open play of football, midfield, the largest sample measured (542 kicks).
JUMP_WHERE_UNSAID = Jump(share=0.26, along_m_s=10.4, across_m_s=7.3)


@dataclass(frozen=True)
class KeyMoment:
    """One kind of moment worth filming."""

    key: str
    name: str
    picture: str  # what the picture needs, one sentence
    is_play: bool  # False: warm-up, team talk, line-up, celebration, bench
    must: bool  # a person who films must not miss it
    sided: bool  # True: belongs to the side that attacks; False: the same for both
    zones: tuple[Zone, ...]
    rate_per_match: float  # both sides together
    importance: float  # worth of one such moment to the finished film, a goal where goals are few being 10
    extent_m: tuple[float, float]  # width and height of the action to hold in the frame
    subject_height_m: float
    action_height_m: tuple[float, float]  # lowest and highest point of the action
    facing: Facing
    faces_matter: float  # 0 no matter, 1 useless from behind
    speed_m_s: float  # of the people the lens follows
    ball_speed_m_s: float
    crowd_per_m2: float  # other people round the action
    crowd_radius_m: float
    source: str  # of the rate
    source_note: str = ""
    zone_source: str = "estimate"  # of where it happens
    other_source: str = "estimate"  # of every other number here
    crowd_lean: float = 0.0  # -1..1: + people stand on the side that the subject faces, - behind it
    crowd_source: str = "estimate"  # of density, radius and lean of the crowd
    jump: Jump = JUMP_WHERE_UNSAID
    beyond_per_m2: float = 0.0  # players further away than crowd_radius_m, spread evenly over the playing area


@dataclass(frozen=True)
class Period:
    """A stretch between two changes of ends."""

    key: str
    name: str
    minutes: float
    parts: int  # clock periods inside it (two quarters to a half: 2)
    attack: Literal["first", "swapped", "both", "same"]  # as at the start; swapped; changed inside; all toward +x
    break_after_min: float
    may_move_after: bool  # may a camera change its place in the break that follows
    source: str = "estimate"


@dataclass(frozen=True)
class MomentWords:
    """One kind of moment in few words."""

    plural: str  # "shots", as people say it
    how_to_frame: str  # what has to be in the picture, a few words
    meanwhile: str  # what another camera films at that time


@dataclass(frozen=True)
class Brief:
    """What someone new to the sport needs to know before filming it; plain sentences."""

    scoring: str
    rhythm: str
    where_to_look: str
    faces: str
    stand: str
    keep_away: str
    dangers: tuple[str, ...]
    missed: str  # what is missed most often
    vocabulary: tuple[tuple[str, str], ...]  # term, meaning
    watch: tuple[str, ...] = ()  # what to look for at a training session
    signals: tuple[tuple[str, str], ...] = ()  # what the referee shows, and what it means
    heard: tuple[tuple[str, str], ...] = ()  # what is shouted on the field, and what it means
    moments: dict[str, MomentWords] = field(default_factory=dict, hash=False)  # by key of the moment


@dataclass(frozen=True)
class Bag:
    """Focal lengths that a sport asks for on the usual grounds."""

    focal_mm: tuple[float, float]  # shortest and longest, on a recorded area 36 mm wide
    source: str
    note: str = ""


@dataclass(frozen=True)
class Sport:
    """A sport at one actual size, ready to plan with."""

    key: str
    name: str
    summary: str
    preset: str
    presets: tuple[str, ...]
    setting: Literal["outdoor", "indoor", "either"]
    players_per_side: int
    area: PlayingArea
    length_range_m: tuple[float, float]  # what the laws allow
    width_range_m: tuple[float, float]
    moments: tuple[KeyMoment, ...]
    periods: tuple[Period, ...]
    brief: Brief
    bag: Bag | None  # None: the definition does not say
    sources: dict[str, Source] = field(hash=False)
    origin: str = "centre of the playing area"
    sizes_m: dict[str, float] = field(default_factory=dict, hash=False)  # what the definition's lengths stand for
    ball_m: float | None = None  # diameter of what is played with, across; None: the definition does not say
    play_flow: PlayFlow | None = None  # None: the definition does not say how play moves
    order: Order = NO_ORDER

    def __repr__(self) -> str:
        size = f"{self.area.length_m:g} x {self.area.width_m:g} m"
        return (
            f"<Sport {self.key}, {self.preset}, {size}: {len(self.moments)} key moments, {len(self.periods)} periods>"
        )
