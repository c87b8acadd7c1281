"""What the words for a place need to know: the ground, its names, and how a distance is said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import shapely

from standmark.cli.words.units import Units, distance_words, paces_words
from standmark.sports.sport import PlayingArea

NEAR_M = 0.3  # nearer than this to a line or its prolongation counts as level with it
NO_DISTANCE_M = 0.125  # shows as nothing when rounded
IN_LINE_M = 0.5  # off the middle by less than this is in line with it
WIDE_TARGET_M = 2.5  # a target wider than this has a middle and posts worth naming
PREPOSITIONS = ("behind ", "beyond ", "on ")
HANDS, SAYS_HAND = ("left of", "right of"), (" left of ", " right of ", "-hand post")
WORTH_PACING_M = 3.0  # a shorter way is looked at, not paced


@dataclass(frozen=True)
class Where:
    """A place in words: what people call it, and how to find it."""

    name: str  # "mill end, right of the goal"
    detail: str  # "5 m behind the goal line, 16 m right of the goal's middle"

    @property
    def words(self) -> str:
        """Both in one phrase, for the middle of a sentence."""
        return f"{self.name}: {self.detail}" if self.detail else self.name

    @property
    def to(self) -> str:
        """The name after a verb of motion: "to the far side, at halfway", "behind home plate"."""
        return self.name if self.name.startswith(PREPOSITIONS) else f"to the {self.name}"

    @property
    def at(self) -> str:
        """The name where somebody stands: "on the far side, at halfway", "at the mill end", "behind home plate"."""
        return at_words(self.name)

    @property
    def short(self) -> str:
        """Both, but the hand once: "mill end: 5 m behind the goal line, 16 m right of the goal's middle"."""
        first, _, hand = self.name.partition(", ")
        is_said_twice = hand.startswith(HANDS) and any(word in self.detail for word in SAYS_HAND)
        return f"{first}: {self.detail}" if is_said_twice else self.words


def at_words(place: str) -> str:
    """Say where somebody stands, from the words for a place.

    >>> at_words("far side, at halfway: 3 m outside the touchline"), at_words("mill end"), at_words("behind home plate")
    ('on the far side, at halfway: 3 m outside the touchline', 'at the mill end', 'behind home plate')
    """
    if place.startswith(PREPOSITIONS):
        return place
    return f"{'on' if place.partition(':')[0].partition(', ')[0].endswith('side') else 'at'} the {place}"


@dataclass(frozen=True)
class NamedGround:
    """A playing area with what its ends and sides are called, and the reader's units."""

    area: PlayingArea
    names: Mapping[str, str]
    units: Units
    in_paces: bool  # say a distance that's walked in paces too

    def away(self, distance_m: float) -> str:
        """Distance in words."""
        return distance_words(distance_m, self.units)

    def walked(self, distance_m: float) -> str:
        """Distance that people pace out: in paces too, where they are wanted."""
        if not self.in_paces or distance_m < WORTH_PACING_M:
            return self.away(distance_m)
        return f"{self.away(distance_m)} ({paces_words(distance_m)})"

    def end(self, x_m: float) -> str:
        """Name of the end at which a place lies."""
        return self.names["+x" if x_m > 0 else "-x"]

    def side(self, y_m: float) -> str:
        """Name of the side on which a place lies."""
        return self.names["+y" if y_m > 0 else "-y"]

    def from_line_m(self, x_m: float, y_m: float) -> float:
        """Distance from the edge of the playing area."""
        return float(self.area.outline.boundary.distance(shapely.Point(x_m, y_m)))

    def holds(self, x_m: float, y_m: float) -> bool:
        """Is a place on the playing area, clearly off its edge."""
        return bool(self.area.outline.contains(shapely.Point(x_m, y_m))) and self.from_line_m(x_m, y_m) > NEAR_M


def hand_at_end(x_m: float, y_m: float) -> str:
    """Hand on which a place behind an end line lies from its middle, facing the playing area."""
    return "left" if (y_m > 0) == (x_m < 0) else "right"


def end_target(area: PlayingArea, sign: int) -> str | None:
    """What stands at an end; None where nothing does (a net stands in the middle)."""
    at_end = any(sign * x > area.length_m / 4 for target in area.targets for bar in target.bars for x, _, _ in bar)
    return area.target_name if at_end else None


def target_half_width_m(area: PlayingArea) -> float:
    """Half the distance between the outermost posts of a target at the ends; 0 where none stands there."""
    points = [y for target in area.targets for bar in target.bars for x, y, _ in bar if abs(x) > area.length_m / 4]
    return (max(points) - min(points)) / 2 if points else 0.0


def middle_of(area: PlayingArea, target: str | None) -> str:
    """Middle of what stands at an end, as people say it: "the goal's middle", "the basket"."""
    if target is None:
        return "the middle"
    if 2 * target_half_width_m(area) <= WIDE_TARGET_M:
        return f"the {target}"
    return f"the {target}'{'' if target.endswith('s') else 's'} middle"


def halfway_of(area: PlayingArea) -> str:
    """Name of the middle of the length: what stands there (a net), else halfway."""
    points = [abs(x) for target in area.targets for bar in target.bars for x, _, _ in bar]
    return f"the {area.target_name}" if points and max(points) < 1.0 else "halfway"
