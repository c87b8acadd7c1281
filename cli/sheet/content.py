"""What the sheets say, in words; paper and page put the same words in their own order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from standmark.cli.drawing.frame import frame_marks
from standmark.cli.drawing.marks import Mark
from standmark.cli.drawing.scene import Scene, match_scene
from standmark.cli.sheet.answers import CameraAnswer, camera_answers
from standmark.cli.words.advice_sections import decision_section
from standmark.cli.words.naming import percent
from standmark.cli.words.plan_sections import day_of, plan_sections, planned_cards_in
from standmark.cli.words.section import Section
from standmark.cli.words.shares import about
from standmark.cli.words.units import Units, distance_words
from standmark.cli.words.usual import Usual, usual_place
from standmark.cli.words.where.place import where
from standmark.optimizer.advice.lost import Post as LostPost
from standmark.optimizer.day.day import Day
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.key_frames import KeyFrame, key_frames
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.duty import Duty

MISSED_BELOW = 0.5  # a moment captured less often is missed mostly
SHOT_MM, TALLEST_SHOT_MM = 58.0, 55.0
CROSSES = "†"


@dataclass(frozen=True, eq=False)
class FrameShot:
    """One picture of what a camera sees: its marks lie in a box at the origin."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    caption: str


@dataclass(frozen=True, eq=False)
class CameraPost:
    """One camera in one stretch of periods."""

    when: str
    shots: tuple[FrameShot, ...]
    stretch: Stretch


@dataclass(frozen=True, eq=False)
class SheetContent:
    """Everything that the sheets of a plan say, worked out once for paper and page."""

    plan: Plan
    stretches: tuple[Stretch, ...]
    units: Units
    scene: Scene
    sections: Mapping[str, Section]  # settings, day and decisions by key; only those that say something
    posts: tuple[tuple[CameraPost, ...], ...]  # for each camera, for each stretch
    answers: tuple[CameraAnswer, ...]  # for each camera
    day: Day
    usual: Usual | None  # what people usually get
    if_lost: tuple[tuple[str, str], ...]  # camera that drops out, and what is left

    @property
    def seen(self) -> float:
        """Share of the match that is captured usably."""
        return self.plan.seen

    @property
    def has_breaks(self) -> bool:
        """Could anybody move during the match."""
        return any(period.may_move_after for period in self.plan.match.sport.periods[:-1])


def sheet_content(plan: Plan, stretches: Sequence[Stretch], *, units: Units = Units.METRIC) -> SheetContent:
    """Work out what the sheets of a plan say."""
    scene = match_scene(plan.match)
    told = (*plan_sections(plan, units=units), decision_section(plan, units=units))
    cards = planned_cards_in(plan, units=units)
    day = day_of(plan, cards, units=units)
    return SheetContent(
        plan=plan,
        stretches=tuple(stretches),
        units=units,
        scene=scene,
        sections={s.key: s for s in told if s.rows or s.notes or s.warnings},
        posts=tuple(
            tuple(_post(plan, stretch, scene, camera, units) for stretch in stretches)
            for camera in range(len(plan.match.cameras))
        ),
        answers=camera_answers(plan, cards, day, units=units),
        day=day,
        usual=usual_place(plan),
        if_lost=tuple(_lost_words(plan, units)),
    )


def _lost_words(plan: Plan, units: Units) -> Iterator[tuple[str, str]]:
    """Say where the others stand, and what is left, when one of several cameras drops out."""
    for gone in () if plan.advice is None else plan.advice.lost:
        if gone.seen is None:
            yield gone.camera, "the rules allow no plan without it: ask before anybody moves."
            continue
        kept = about(gone.seen / plan.seen)
        moved = {post.camera: post for post in gone.posts if post.is_moved}
        stay = [camera.name for camera in plan.match.cameras if camera.name not in moved and camera.name != gone.camera]
        words = [f"{name} goes {_short_place(post, plan.match, units)}" for name, post in moved.items()]
        if not moved and len(stay) > 1:
            words = ["the others stay"]
        elif stay:
            words.append(f"{' and '.join(stay)} stay{'s' if len(stay) == 1 else ''}")
        yield gone.camera, f"{'; '.join(words)}. You keep {kept}."


def _short_place(post: LostPost, match: Match, units: Units) -> str:
    """Say where to go, with the first landmark, as much as a lead has room for."""
    place = where(post.spot, match, units=units)
    return f"{place.to}, {place.detail.split(', ')[0]}" if place.detail else place.to


def match_line(plan: Plan) -> str:
    """What is filmed, when and for whom, in one line."""
    match = plan.match
    date = "" if match.start is None else f" {match.start:%a} {match.start.day} {match.start:%B %Y}."
    whose = ", you film our side" if match.cover == "ours" else ""
    title = f"{match.title}." if match.title not in (match.venue.name, match.sport.name) else ""
    return f"{title}{date} {match.sport.name}{whose}.".strip()


def start_pair(match: Match) -> tuple[str, str]:
    """Time of the start and what it is called; blank where nobody said."""
    return ("", "") if match.start is None else (f"{match.start:%H:%M}", "start")


def start_words(match: Match) -> str:
    """Date, time and zone of the start."""
    if match.start is None:
        return "not known yet"
    offset = f"{match.start:%z}"
    return f"{match.start:%A} {match.start.day} {match.start:%B %Y, %H:%M} (UTC{offset[:3]}:{offset[3:5]})"


def _post(plan: Plan, stretch: Stretch, scene: Scene, camera: int, units: Units) -> CameraPost:
    shots = tuple(_shot(shot, scene, units) for shot in key_frames(plan.match, stretch, camera))
    return CameraPost(stretch.name, shots, stretch)


def _shot(shot: KeyFrame, scene: Scene, units: Units) -> FrameShot:
    mode = shot.frame.view.mode
    height = min(SHOT_MM * mode.height_px / mode.width_px, TALLEST_SHOT_MM)
    width = height * mode.width_px / mode.height_px
    marks = tuple(frame_marks(shot.frame.view, scene, shot.people, (0.0, 0.0, width, height)))
    return FrameShot(width, height, marks, _caption(shot, units))


def _caption(shot: KeyFrame, units: Units) -> str:
    """Say what a picture shows: moment, focal length, distance, size."""
    frame = shot.frame
    role = {"widest": "Widest: ", "often": "Most often: ", "key moment": "Key moment: "}[shot.role]
    return (
        f"{role}{frame.moment.name.lower()}, {distance_words(frame.distance_m, units)} at "
        f"{frame.view.focal_mm:.0f} mm. "
        f"A person fills {100 * frame.subject_share:.0f} % of the height, {frame.px_per_m:.0f} px/m."
    )


def duty_rows(plan: Plan, stretch: Stretch) -> list[tuple[str, ...]]:
    """Who does what, a row for each kind of moment, weightiest first: first camera, second angle, wide and tight.

    Where the two ends differ a cell holds both, the +x end first.
    """
    groups: dict[str, list[Duty]] = {}
    for duty in stretch.first.duties:
        groups.setdefault(duty.moment, []).append(duty)
    ranked = sorted(groups.values(), key=lambda duties: -sum(d.weight for d in duties))
    return [_duty_row(plan.match, duties) for duties in ranked]


def duty_columns(match: Match) -> tuple[str, ...]:
    """Columns of `duty_rows`."""
    if len(match.cameras) == 1:
        return ("moment", "worth", "you get")
    return ("moment", "camera", "second angle", "wide", "tight", "worth", "you get")


def duty_notes(match: Match, rows: Sequence[Sequence[str]]) -> list[str]:
    """What two entries in a cell of `duty_rows` and the sign beside an angle mean, where they occur."""
    names, cells = match.venue.side_names, [cell for row in rows for cell in row[1:]]
    notes = []
    if any(" / " in cell for cell in cells):
        notes.append(f"Two entries: attack toward the {names['+x']} / toward the {names['-x']}.")
    if any(CROSSES in cell for cell in cells):
        notes.append(f"{CROSSES} The two cameras stand on opposite sides of the line of action: cut with care.")
    return notes


def _duty_row(match: Match, duties: Sequence[Duty]) -> tuple[str, ...]:
    moment = next(m for m in match.sport.moments if m.key == duties[0].moment)
    weight = sum(duty.weight for duty in duties)
    captured = sum(duty.weight * duty.seen for duty in duties) / weight
    name = moment.name
    if len(match.cameras) == 1:
        return (name, percent(weight), percent(captured))
    return (
        name,
        _both([duty.primary for duty in duties]),
        _both([_second(duty) for duty in duties]),
        _both([duty.wide or "" for duty in duties]),
        _both([duty.tight or "" for duty in duties]),
        percent(weight),
        percent(captured),
    )


def _second(duty: Duty) -> str:
    if duty.second is None or duty.angle_deg is None:
        return ""
    return f"{duty.second} {duty.angle_deg:.0f}°{CROSSES if duty.crosses_line else ''}"


def _both(values: Sequence[str]) -> str:
    return " / ".join(values if len(set(values)) > 1 else values[:1])


def missed_words(plan: Plan, stretch: Stretch, camera: str | None = None) -> list[str]:
    """Moments that a camera, or all cameras together, mostly miss: worst first."""
    names = {m.key: m.name for m in plan.match.sport.moments}
    shares = stretch.first.seen_by_moment
    if camera is not None:
        shares = next(a.seen_by_moment for a in stretch.first.assignments if a.camera == camera)
    ranked = sorted(shares.items(), key=lambda pair: pair[1])
    return [f"{names[key]} {percent(value)}" for key, value in ranked if value < MISSED_BELOW]
