"""A walk with play in words: the card a person remembers, what each way to work gets, and how far one walks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standmark.cli.words.lines import capital
from standmark.cli.words.naming import percent, walk_words
from standmark.cli.words.section import WIDTH, Section, section_lines
from standmark.cli.words.units import FOOT_M, YARD_M, Units, native_units
from standmark.cli.words.where.painted import lines_across
from standmark.cli.words.where.way import at_words
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.presets import lens_label
from standmark.optimizer.planning import Plan
from standmark.optimizer.roam.card import CardLine
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow
from standmark.optimizer.work.assignment import Spot

NEAR_LINE_M = 2.0  # a painted line so near gives a place its name
WORTH_WALKING = 0.005  # coverage under which a walk is said to add next to nothing
LEAST_WALK_M = 50.0  # in a match: less is said to be none
STEP_M = 5.0  # places are rounded to this, along the playing area
METHODS = {
    "stand": "Standing still",
    "habit": "The usual habit",
    "card": "This card",
    "policy": "Best possible walk",
}
WALK_CAUTION = (
    "Walk only between plays, never across the playing area, and stop where the officials say. Stand up, both eyes "
    "open: players come off the field at full speed."
)


YOURS = "Your end is that of the side with the ball."


@dataclass(frozen=True)
class CardWords:
    """A card in words."""

    title: str
    kit: str
    when: str  # periods it holds in; "" for the whole match
    lines: tuple[tuple[str, str, str], ...]  # number of the station ("" for none), when, where
    notes: tuple[str, ...]


def follow_card(follow: FollowPlan, scene: SceneFollow, match: Match, *, units: Units = Units.METRIC) -> CardWords:
    """Put the card of one scene into words."""
    lines = [
        (str(number), words.when(line, scene), words.where(line, scene))
        for number, line in enumerate(scene.card.lines, start=1)
        for words in [_Words(match, units, follow, *_owners(line, scene))]
    ]
    if scene.card.is_mirrored:
        lines.append(("", follow.plays.flow.turn_name, "the same, the other way round"))
    is_whole = follow.has_one_card
    return CardWords(
        title="Walk with the ball",
        kit=" and ".join(map(lens_label, scene.stations.lenses)),
        when="" if is_whole else ", ".join(p.name for p in scene.periods),
        lines=tuple(lines),
        notes=tuple(
            filter(
                None,
                (
                    YOURS if _speaks_of_you(lines) else "",
                    beside_words(follow, match, units=units),
                    WALK_CAUTION,
                    gain_words(follow),
                ),
            )
        ),
    )


def _speaks_of_you(lines: Sequence[tuple[str, str, str]]) -> bool:
    return any(" your " in f" {when} {where} " or " their " in f" {when} {where} " for _, when, where in lines) and any(
        not number for number, _, _ in lines
    )


def beside_words(follow: FollowPlan, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where the other cameras stand beside the walk, where that is not where the plan has them."""
    told = dict.fromkeys(
        f"camera {b.camera} stands {at_words(walk_words(b.spot, match, units=units))}, with the {b.lens}"
        for b in follow.beside
    )
    return f"While camera {follow.camera.name} walks, {'; '.join(told)}." if told else ""


def _owners(line: CardLine, scene: SceneFollow) -> tuple[str, str]:
    """Whose end lies behind an attack, and whose ahead of it."""
    if not scene.ours_x or line.attack_x == 0:
        return "your", "their"
    return ("our", "their") if line.attack_x == scene.ours_x else ("their", "our")


def gain_words(follow: FollowPlan) -> str:
    """Say what the card is worth, against standing still, and how far one walks."""
    by_name = {m.name: m for m in follow.methods}
    card, stand = by_name["card"], by_name["stand"]
    if card.coverage < stand.coverage + WORTH_WALKING:
        return "Walking adds next to nothing here: stay where the plan has you."
    if card.walked_m < LEAST_WALK_M:
        gain = percent(card.coverage - stand.coverage)
        return f"No need to walk: standing by this card is worth {gain} more than the places of the plan."
    return (
        f"Walking by this card is worth {percent(card.coverage - stand.coverage)} more than standing still. "
        f"You walk about {card.walked_m / 1000:.1f} km, at most {card.longest_m:.0f} m in one go."
    )


def follow_section(follow: FollowPlan) -> Section:
    """Numbers of all ways to work, beside each other."""
    rows = [
        (METHODS[m.name], percent(m.coverage), f"{m.walked_m / 1000:.1f} km", f"{m.longest_m:.0f} m")
        for m in follow.methods
    ]
    rows.append(("If you could be everywhere at once", percent(follow.free), "", ""))
    further = [f"{m.walked_m / 1000:.1f} km {100 * m.coverage:.1f} %" for m in reversed(follow.curve)]
    return Section(
        key=f"follow-{follow.camera.name}",
        title=f"Camera {follow.camera.name}, walking with play",
        columns=("", "worth", "you walk", "longest walk"),
        rows=tuple(rows),
        notes=(
            f"No way to walk is worth more than {100 * follow.upper_bound:.1f} %. More walking, more pictures: "
            f"{', '.join(dict.fromkeys(further))}.",
        ),
    )


def follow_lines(plan: Plan, *, units: Units = Units.METRIC, width: int = WIDTH) -> Iterator[str]:
    """Write the cards of all cameras that walk, for the terminal."""
    for follow in plan.follow:
        for scene in told_scenes(follow):
            yield from section_lines(card_section(follow, scene, plan.match, units=units), width=width)


def follow_sections(plan: Plan) -> Iterator[Section]:
    """Numbers of all ways to work, of each camera that walks."""
    for follow in plan.follow:
        yield follow_section(follow)


def told_scenes(follow: FollowPlan) -> tuple[SceneFollow, ...]:
    """Scenes whose cards are shown: only the first where one card holds all through the match."""
    return follow.scenes[:1] if follow.has_one_card else follow.scenes


def card_section(follow: FollowPlan, scene: SceneFollow, match: Match, *, units: Units = Units.METRIC) -> Section:
    """Write the card of one scene as a table."""
    card = follow_card(follow, scene, match, units=units)
    when = f", {card.when}" if card.when else ""
    return Section(
        key=f"card-{follow.camera.name}-{scene.periods[0].key}",
        title=f"Camera {follow.camera.name}: {card.title[:1].lower()}{card.title[1:]}, {card.kit}{when}",
        columns=("", "", ""),
        rows=card.lines,
        notes=card.notes,
    )


@dataclass(frozen=True)
class _Words:
    """Words for stretches of a ground and places beside it, as the side that attacks sees them."""

    match: Match
    units: Units
    follow: FollowPlan
    own: str  # whose end lies behind the attack
    other: str  # whose lies ahead of it

    def when(self, line: CardLine, scene: SceneFollow) -> str:
        """When a line holds."""
        flow = self.follow.plays.flow
        names = {k.key: k.name for k in flow.kinds}
        main = self.follow.plays.main_kind
        is_all = len(line.kinds) == len(flow.kinds)
        said = self._stretch(line) if main in line.kinds or is_all else _joined([names[k] for k in line.kinds])
        if line.attack_x == 0:
            return said
        return f"{self._attack(line.attack_x, scene)}: {said[:1].lower()}{said[1:]}"

    def where(self, line: CardLine, scene: SceneFollow) -> str:
        """Where a line sends one."""
        if scene.card.is_standing:
            x_m, y_m, z_m = scene.stations.xyz_m[line.place]
            spot = Spot("", float(x_m), float(y_m), float(z_m), "")
            return f"stay {at_words(walk_words(spot, self.match, units=self.units))}"
        x_m, y_m, _ = scene.stations.xyz_m[line.place if line.attack_x >= 0 else line.mirror]
        area, sign = self.match.sport.area, 1 if line.attack_x >= 0 else -1
        if line.ahead_m is not None:
            ahead = "level with the ball" if line.ahead_m == 0 else (
                f"{self._length(abs(line.ahead_m))} {'ahead of' if line.ahead_m > 0 else 'behind'} the ball"
            )  # fmt: skip
            return f"{ahead}, {self._side(y_m)}"
        own_x = sign * float(x_m)
        if abs(own_x) > area.outline.bounds[2] - 0.5 and abs(y_m) <= area.outline.bounds[3] + 0.5:
            whose = self.other if own_x > 0 else self.own
            return f"behind {whose} {area.outer_line or area.end_line}, {self._off_middle(float(x_m), float(y_m))}"
        return f"{self._level(own_x)}, {self._side(float(y_m))}"

    def _side(self, y_m: float) -> str:
        return f"on the {self.match.venue.side_names['+y' if y_m > 0 else '-y']}"

    def _attack(self, attack_x: int, scene: SceneFollow) -> str:
        if scene.ours_x:
            return "We attack" if attack_x == scene.ours_x else "They attack"
        end = self.match.venue.side_names["+x" if attack_x > 0 else "-x"]
        is_ends = self.follow.plays.flow.follows == "ends"
        return f"Side A plays toward the {end}" if is_ends else f"Attack toward the {end}"

    def _off_middle(self, x_m: float, y_m: float) -> str:
        if abs(y_m) < 1.0:
            return "in the middle"
        hand = "left" if (y_m > 0) == (x_m < 0) else "right"
        return f"{self._length(abs(y_m))} {hand} of the middle"

    def _stretch(self, line: CardLine) -> str:
        low, high = self._edges()
        is_first, is_last = line.low_m <= low + 0.5, line.high_m >= high - 0.5
        if is_first and is_last:
            return "Wherever the ball is"
        if is_first:
            return (
                self._within(line.high_m, is_own=True)
                if line.high_m < 0
                else f"Ball short of {self._line(line.high_m)}"
            )
        if is_last:
            return self._within(line.low_m, is_own=False) if line.low_m > 0 else f"Ball past {self._line(line.low_m)}"
        return f"Ball between {self._line(line.low_m)} and {self._line(line.high_m)}"

    def _within(self, x_m: float, *, is_own: bool) -> str:
        """A stretch at one end."""
        low, high = self._edges()
        line = self._line(x_m)
        if " from " not in line:
            return f"Ball {'behind' if is_own else 'inside'} {line}"
        away_m, whose = (x_m - low, self.own) if is_own else (high - x_m, self.other)
        return f"Ball within {self._length(away_m)} of {whose} {self._goal_line()}"

    def _level(self, x_m: float) -> str:
        line = self._line(x_m)
        return line if " m from " in line or " ft from " in line or " past " in line else f"level with {line}"

    def _edges(self) -> tuple[float, float]:
        zoned = [s for s in self.follow.plays.flow.states if s.kind == self.follow.plays.main_kind]
        return min(s.low_m for s in zoned), max(s.high_m for s in zoned)

    def _line(self, x_m: float) -> str:
        """A line across the area by its distance from the nearer end of the zones, or halfway."""
        low, high = self._edges()
        if abs(x_m - (low + high) / 2) < 2.0:
            return "halfway"
        if x_m > high + 2.0:
            return f"{self._length(x_m - high)} past {self.other} {self._goal_line()}"
        if x_m < low - 2.0:
            return f"{self._length(low - x_m)} behind {self.own} {self._goal_line()}"
        whose = self.own if x_m < (low + high) / 2 else self.other
        painted = self._painted(x_m, whose)
        if painted:
            return painted
        from_end_m = min(x_m - low, high - x_m)
        if from_end_m < 2.0:
            return f"{whose} {self._goal_line()}"
        if self._in_yards:
            return f"{whose} {round(from_end_m / YARD_M):d}"
        return f"{self._length(from_end_m)} from {whose} {self._goal_line()}"

    def _painted(self, x_m: float, whose: str) -> str:
        """Painted line at a distance along the area; "" where there is none near."""
        lines = [line for line in lines_across(self.match.sport.area) if abs(line.away_m - abs(x_m)) <= NEAR_LINE_M]
        if not lines:
            return ""
        name = min(lines, key=lambda line: abs(line.away_m - abs(x_m))).name.removeprefix("the ")
        if name.startswith("edge of the "):
            return f"the edge of {whose} {name.removeprefix('edge of the ')}"
        return f"{whose} {name.removesuffix('-yard line')}"

    def _goal_line(self) -> str:
        return "goal line" if self._in_yards else self.match.sport.area.end_line

    @property
    def _native(self) -> Units:
        return native_units(self.match.sport, self.units)

    @property
    def _in_yards(self) -> bool:
        """Is the ground marked in yards, so that its lines have numbers."""
        return self._native is Units.YARDS

    def _length(self, value_m: float) -> str:
        unit_m, said = {Units.YARDS: (YARD_M, "yards"), Units.IMPERIAL: (FOOT_M, "ft")}.get(self._native, (1.0, "m"))
        return f"{_to_step(value_m / unit_m):d} {said}"


def _to_step(value: float) -> int:
    """Fives above twenty, else whole numbers."""
    return int(round(value / STEP_M) * STEP_M) if value > 20 else max(1, round(value))


def _joined(names: list[str]) -> str:
    text = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return capital(text)
