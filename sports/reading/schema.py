"""What a definition file of a sport may say: one model a table, the same for our files and the user's."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from standmark.sports.place_kind import GROUND, KINDS, RAISED_KINDS, HeldBy, Posture
from standmark.sports.reading.flow_schema import FlowTable
from standmark.sports.reading.order_schema import OrderTable, PeriodTable
from standmark.sports.reading.words import (
    Key,
    LongText,
    Name,
    NotNegative,
    Positive,
    Presets,
    Share,
    SourceKey,
    Text,
)
from standmark.sports.shapes.expression import Length
from standmark.sports.shapes.shape import AnyShape, Metres, Pair
from standmark.sports.toml.table import Table


class SourceTable(Table):
    """Where figures come from."""

    title: LongText
    section: LongText = "whole"
    address: LongText = "no address"
    kind: Text


class Size(Table):
    """A named length: what the rules allow and what is usual."""

    typical: NotNegative
    min: Positive | None = None
    max: Positive | None = None
    source: SourceKey
    note: LongText = ""


class MarkingTable(Table):
    """A painted line, arc or spot."""

    name: Text
    shape: AnyShape
    is_dashed: bool = False
    source: SourceKey
    only: Presets = ()


class OccluderTable(Table):
    """What of a target stands in the way of a view: a line of points, or the edge of a shape."""

    name: Text
    footprint: Annotated[tuple[Pair, ...], Field(min_length=2, max_length=200)] | None = None
    along: AnyShape | None = None
    base: Metres
    top: Metres
    see_through: Share = 0.0
    is_closed: bool = False


class RingTable(Table):
    """A level hoop."""

    centre: tuple[Metres, Metres, Metres]
    radius: Metres


class TargetTable(Table):
    """What a side scores at, and what is built round it."""

    name: Text
    mirror: Literal["none", "x", "y", "xy"] = "none"
    bars: tuple[Annotated[tuple[tuple[Metres, Metres, Metres], ...], Field(min_length=2, max_length=200)], ...] = ()
    rings: tuple[RingTable, ...] = ()
    occluder: tuple[OccluderTable, ...] = ()
    source: SourceKey
    only: Presets = ()


class KeepClearTable(Table):
    """Where nobody may or should stand."""

    name: Text
    shape: AnyShape
    reason: LongText
    source: SourceKey
    only: Presets = ()


class DangerTable(Table):
    """Where play can hurt the person who films."""

    name: Text
    shape: AnyShape
    up_to_m: Positive
    text: LongText
    marked: bool = True
    source: SourceKey
    only: Presets = ()


class UsualPlaceTable(Table):
    """Where people who film usually may stand; what keep-clear parts cover is taken off it."""

    key: Key
    name: Text
    shape: AnyShape
    lens_height_m: tuple[NotNegative, NotNegative]  # as far as the postures reach
    kind: Literal[tuple(KINDS)] = GROUND.key  # type: ignore[valid-type]
    posture: Annotated[tuple[Posture, ...], Field(min_length=1)] | None = None  # the kind's
    support: Annotated[tuple[HeldBy, ...], Field(min_length=1)] | None = None
    source: SourceKey
    only: Presets = ()


class RaisedTable(Table):
    """A raised place that grounds of this sport may have: to be asked for, never planned on unasked."""

    key: Key
    kind: Literal[tuple(RAISED_KINDS)]  # type: ignore[valid-type]
    name: Text
    shape: AnyShape
    lens_height_m: tuple[NotNegative, NotNegative]  # above the playing surface
    posture: Annotated[tuple[Posture, ...], Field(min_length=1)] | None = None  # the kind's
    support: Annotated[tuple[HeldBy, ...], Field(min_length=1)] | None = None
    source: SourceKey
    note: LongText = ""
    only: Presets = ()


class FurnitureTable(Table):
    """What stands or sits beside the playing area and hides what is behind it: chairs, tables, benches, judges."""

    key: Key
    name: Text
    shape: AnyShape
    base: Metres = Length(0.0)
    top: Metres  # people on it included
    see_through: Share = 0.0
    open_to_play: bool = False  # only the sides away from play hide: a dugout, a row on a bench
    usual: bool = True  # there unless a match file takes it away
    source: SourceKey
    note: LongText = ""
    only: Presets = ()


class ZoneTable(Table):
    """A part of the ground where a moment happens."""

    weight: Annotated[float, Field(gt=0, le=1)]
    shape: AnyShape


class FacingTable(Table):
    """A direction or a point that the people who matter look at, and the spread round it."""

    direction_deg: Annotated[float, Field(ge=-360, le=360)] | None = None
    toward: Pair | None = None
    spread_deg: Annotated[float, Field(ge=0, le=180)]
    source: SourceKey = "estimate"


class JumpTable(Table):
    """How play arrives at a moment."""

    share: Share
    along_m_s: NotNegative
    across_m_s: NotNegative
    long_flight: bool = False
    source: SourceKey = "estimate"


class MomentTable(Table):
    """One kind of moment worth filming."""

    key: Key
    name: Text
    picture: LongText
    is_play: bool = True
    must: bool = False
    sided: bool = True
    rate_per_match: NotNegative
    importance: Annotated[float, Field(ge=0, le=20)]
    extent_m: tuple[Positive, Positive]
    subject_height_m: Positive
    action_height_m: tuple[NotNegative, NotNegative]
    facing: FacingTable
    faces_matter: Share
    speed_m_s: NotNegative
    ball_speed_m_s: NotNegative = 0.0
    crowd_per_m2: Annotated[float, Field(ge=0, le=10)]
    crowd_radius_m: NotNegative
    crowd_lean: Annotated[float, Field(ge=-1, le=1)] = 0.0
    crowd_source: SourceKey = "estimate"
    jump: JumpTable | None = None
    event: Key | None = None  # a key of [events]; None: an event of its own
    second_view: bool = False  # shows other people of an event that another moment counts already
    follows: tuple[Key, ...] = ()  # moments that bring this one about
    zone: Annotated[tuple[ZoneTable, ...], Field(min_length=1)]
    source: SourceKey  # of the rate
    zone_source: SourceKey = "estimate"
    other_source: SourceKey = "estimate"  # of every other number here
    note: LongText = ""
    only: Presets = ()


class EventTable(Table):
    """How often something happens in a match, whatever moments it is filmed as."""

    per_match: Positive
    source: SourceKey
    note: LongText = ""


class TermTable(Table):
    """One word of the sport's own language."""

    term: Text
    meaning: LongText


class MomentWordsTable(Table):
    """One kind of moment in few words."""

    plural: Text
    how_to_frame: Text
    meanwhile: Text


class BagTable(Table):
    """Focal lengths that the sport asks for."""

    focal_mm: tuple[Positive, Positive]
    source: SourceKey
    note: LongText = ""


class BriefTable(Table):
    """What someone new needs to know."""

    scoring: LongText
    rhythm: LongText
    where_to_look: LongText
    faces: LongText
    stand: LongText
    keep_away: LongText
    dangers: Annotated[tuple[LongText, ...], Field(min_length=1)]
    missed: LongText
    vocabulary: Annotated[tuple[TermTable, ...], Field(min_length=1)]
    watch: tuple[LongText, ...] = ()
    signals: tuple[TermTable, ...] = ()
    heard: tuple[TermTable, ...] = ()
    moments: dict[Key, MomentWordsTable] = Field(default_factory=dict)


class RateTable(Table):
    """What a preset changes in one moment."""

    rate_per_match: NotNegative | None = None
    importance: Annotated[float, Field(ge=0, le=20)] | None = None
    subject_height_m: Positive | None = None
    speed_m_s: NotNegative | None = None
    source: SourceKey = "estimate"


class PresetTable(Table):
    """One way the sport is played: what differs from the rest of the definition."""

    key: Key
    aliases: tuple[Text, ...] = ()
    name: Text
    length_m: Size | None = None
    width_m: Size | None = None
    players_per_side: Annotated[int, Field(ge=1, le=50)] | None = None
    players_source: SourceKey = "from-memory"
    setting: Literal["outdoor", "indoor", "either"] | None = None
    sizes: dict[Name, Size] = Field(default_factory=dict)
    period: tuple[PeriodTable, ...] = ()
    order: OrderTable | None = None
    events: dict[Key, EventTable] = Field(default_factory=dict)
    moments: dict[Key, RateTable] = Field(default_factory=dict)


class AreaTable(Table):
    """The playing area: its outline, what its edges are called, the clear strip round it."""

    outline: AnyShape
    end_line: Text
    side_line: Text
    outer_line: Text | None = None
    target_name: Text
    origin: LongText = "centre of the playing area"
    side_names: dict[Literal["+x", "-x", "+y", "-y"], Text] = Field(default_factory=dict)
    unit: Literal["m", "yd", "ft"] = "m"
    run_off: AnyShape
    run_off_source: SourceKey


class SportFile(Table):
    """A whole definition."""

    schema_version: Literal[1]
    key: Key
    aliases: tuple[Text, ...] = ()  # what else people call it
    name: Text
    summary: LongText
    setting: Literal["outdoor", "indoor", "either"]
    players_per_side: Annotated[int, Field(ge=1, le=50)]
    players_source: SourceKey = "from-memory"
    on_area: Annotated[float, Field(gt=0, le=100)] | None = None  # both sides at once, where it is not twice a side
    length_m: Size
    width_m: Size
    sizes: dict[Name, Size] = Field(default_factory=dict)
    area: AreaTable
    preset: Annotated[tuple[PresetTable, ...], Field(min_length=1)]
    marking: tuple[MarkingTable, ...] = ()
    target: tuple[TargetTable, ...] = ()
    keep_clear: tuple[KeepClearTable, ...] = ()
    danger: tuple[DangerTable, ...] = ()
    place: Annotated[tuple[UsualPlaceTable, ...], Field(min_length=1)]
    raised: tuple[RaisedTable, ...] = ()
    furniture: tuple[FurnitureTable, ...] = ()
    period: Annotated[tuple[PeriodTable, ...], Field(min_length=1)]
    order: OrderTable | None = None
    events: dict[Key, EventTable] = Field(default_factory=dict)
    moment: Annotated[tuple[MomentTable, ...], Field(min_length=1)]
    play_flow: FlowTable | None = None
    bag: BagTable | None = None
    brief: BriefTable
    sources: dict[SourceKey, SourceTable] = Field(default_factory=dict)
