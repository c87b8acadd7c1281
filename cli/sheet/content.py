"""What the sheets say, in words; paper and page put the same words in their own order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from standmark.cli.drawing.frame import frame_marks
from standmark.cli.drawing.marks import Mark
from standmark.cli.drawing.scene import Scene, match_scene
from standmark.cli.sheet.answers import CameraAnswer, camera_answers
from standmark.cli.words.advice_sections import decision_section
from standmark.cli.words.advice_words import camera_advice, fallback_words, limit_words
from standmark.cli.words.hold_words import hold_words
from standmark.cli.words.naming import lens_words, percent, place_words, why_words
from standmark.cli.words.plan_sections import day_of, plan_sections, planned_cards_in
from standmark.cli.words.section import Section
from standmark.cli.words.shares import about
from standmark.cli.words.spots import shift_words
from standmark.cli.words.summary import proof_words
from standmark.cli.words.units import Units, distance_words, shown, symbol
from standmark.cli.words.usual import Usual, usual_place
from standmark.cli.words.where.place import where
from standmark.optimizer.advice import CameraAdvice
from standmark.optimizer.day.day import Day
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.key_frames import KeyFrame, key_frames
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import Assignment
from standmark.optimizer.work.duty import Duty
from standmark.optimizer.work.hold import hold_at

MISSED_BELOW = 0.5  # a moment captured less often is missed mostly
SHOT_MM, TALLEST_SHOT_MM = 58.0, 55.0
CROSSES = "†"
SECOND_FROM = 0.05  # share of a moment captured by two in different views, from which it is told


@dataclass(frozen=True, eq=False)
class Shot:
    """One picture of what a camera sees: its marks lie in a box at the origin."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    caption: str


@dataclass(frozen=True, eq=False)
class Post:
    """One camera in one stretch of periods."""

    when: str
    where: str
    coordinates: str
    lens: str
    pan: str
    covers: str
    why: str
    drift: str  # how exactly the spot must be kept; empty: not known
    refused: str  # where to go if it is refused; empty: not known
    shots: tuple[Shot, ...]
    assignment: Assignment
    stretch: Stretch


@dataclass(frozen=True, eq=False)
class SheetContent:
    """Everything that the sheets of a plan say, worked out once for paper and page."""

    plan: Plan
    stretches: tuple[Stretch, ...]
    units: Units
    scene: Scene
    sections: Mapping[str, Section]  # settings, day and decisions by key; only those that say something
    posts: tuple[tuple[Post, ...], ...]  # for each camera, for each stretch
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
        if gone.coverage is None:
            yield gone.camera, "the rules leave no plan without it: ask before anybody moves."
            continue
        kept = about(gone.coverage / plan.coverage)
        moved = {post.camera: post for post in gone.posts if post.is_moved}
        stay = [camera.name for camera in plan.match.cameras if camera.name not in moved and camera.name != gone.camera]
        words = [
            f"{name} goes to the {where(post.spot, plan.match, units=units).words}" for name, post in moved.items()
        ]
        words += [f"{' and '.join(stay)} stay{'s' if len(stay) == 1 else ''}"] if stay else []
        yield gone.camera, f"{'; '.join(words)}. You keep {kept}."


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


def match_facts(plan: Plan, units: Units) -> list[tuple[str, str]]:
    """What is filmed, where, when and what for."""
    match, area = plan.match, plan.match.sport.area
    length, width = (f"{shown(side, units):.4g}" for side in (area.length_m, area.width_m))
    preset = f", {match.sport.preset}" if match.sport.preset else ""
    facts = [
        ("sport", f"{match.sport.name}{preset}"),
        ("ground", f"{match.venue.name}, playing area {length} x {width} {symbol(units)}"),
        ("start", start_words(match)),
        ("ends", ends_words(match)),
        ("film", match.deliverable.name),
        ("plan", f"covers {percent(plan.coverage)} of what matters; {proof_words(plan)}"),
    ]
    if match.venue.latitude_deg is not None and match.venue.longitude_deg is not None:
        place = f"{match.venue.latitude_deg:.5f}, {match.venue.longitude_deg:.5f} (latitude, longitude)"
        facts.insert(
            2, ("place", f"{place}; +x lies at {match.venue.bearing_deg:.0f} degrees, clockwise from true north")
        )
    return facts


def start_words(match: Match) -> str:
    """Date, time and zone of the start."""
    if match.start is None:
        return "not known yet"
    offset = f"{match.start:%z}"
    return f"{match.start:%A} {match.start.day} {match.start:%B %Y, %H:%M} (UTC{offset[:3]}:{offset[3:5]})"


def ends_words(match: Match) -> str:
    """Which way the side that matters attacks in each period."""
    periods, names = match.sport.periods, match.venue.side_names
    if all(period.attack == "same" for period in periods):
        return "one way throughout"
    if match.first_attack == "unknown":
        return "not known before the toss; planned for both"
    other = {"+x": "-x", "-x": "+x"}[match.first_attack]
    side = "our side" if match.cover == "ours" else "side A"
    toward = {
        "first": names[match.first_attack],
        "swapped": names[other],
        "same": names["+x"],
        "both": "both ends in turn",
    }
    if len({toward[p.attack] for p in periods}) == 1:
        return f"{side} attacks {toward[periods[0].attack]}"
    return f"{side} attacks " + ", ".join(f"{toward[p.attack]} in {p.name.lower()}" for p in periods)


def _post(plan: Plan, stretch: Stretch, scene: Scene, camera: int, units: Units) -> Post:
    assignment = stretch.first.assignments[camera]
    spot = assignment.spot
    x, y = (f"{round(shown(value, units), 1) + 0.0:.1f}" for value in (spot.x_m, spot.y_m))  # no -0.0
    (low, high), tilts = assignment.pan_deg, assignment.tilt_deg
    kit = next(c for c in plan.match.cameras if c.name == assignment.camera)
    held = hold_words(hold_at(plan.match, kit, spot))
    told = camera_advice(plan.advice, stretch.first.period.key, assignment.camera)
    alone = f"alone {percent(assignment.coverage)} of what matters"
    if len(plan.match.cameras) > 1:
        alone += f", best camera for {percent(assignment.carried)}"
    return Post(
        when=stretch.name,
        where=". ".join(filter(None, (place_words(spot, plan.match, units=units), held.removesuffix(".")))),
        coordinates=f"x {x}, y {y} {symbol(units)} from the middle",
        lens=lens_words(assignment),
        pan=f"over {high - low:.0f} degrees, tilt {round(tilts[0])} to {round(tilts[1])}",
        covers=alone,
        why=why_words(assignment, plan.match, limit="" if told is None else limit_words(told.limits, units=units)),
        drift=shift_words(told, plan.match, units=units),
        refused=_refused_words(told, plan.match, units),
        shots=tuple(_shot(shot, scene, units) for shot in key_frames(plan.match, stretch, camera)),
        assignment=assignment,
        stretch=stretch,
    )


def _shot(shot: KeyFrame, scene: Scene, units: Units) -> Shot:
    mode = shot.frame.view.mode
    height = min(SHOT_MM * mode.height_px / mode.width_px, TALLEST_SHOT_MM)
    width = height * mode.width_px / mode.height_px
    marks = tuple(frame_marks(shot.frame.view, scene, shot.people, (0.0, 0.0, width, height)))
    return Shot(width, height, marks, _caption(shot, units))


def _caption(shot: KeyFrame, units: Units) -> str:
    """Say what a picture shows: moment, focal length, distance, size."""
    frame = shot.frame
    role = {"widest": "Widest: ", "often": "Most often: ", "key moment": "Key moment: "}[shot.role]
    return (
        f"{role}{frame.moment.name.lower()}, {distance_words(frame.distance_m, units)} at "
        f"{frame.view.focal_mm:.0f} mm. "
        f"A person fills {100 * frame.subject_share:.0f} % of the height, {frame.px_per_m:.0f} px/m."
    )


def _refused_words(told: CameraAdvice | None, match: Match, units: Units) -> str:
    if told is None or told.fallback is None:
        return ""
    said = fallback_words(told.fallback, match, units=units)
    other = told.other_area
    if other is None or other.spot.area == told.fallback.spot.area:
        return said
    return (
        said
        if other.spot == told.fallback.spot
        else f"{said}; in another area: {fallback_words(other, match, units=units)}"
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
        return ("moment", "weight", "captured")
    return ("moment", "camera", "second angle", "wide", "tight", "weight", "captured")


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
    captured = sum(duty.weight * duty.coverage for duty in duties) / weight
    name = f"{moment.name}{' (must)' if moment.must else ''}"
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


def own_duties(plan: Plan, stretch: Stretch, camera: str) -> list[tuple[str, ...]]:
    """Moments that a camera has first: name, share captured, beside others how it holds them; weightiest first."""
    is_alone = len(plan.match.cameras) == 1
    return [
        (_toward(plan.match, duty), percent(duty.coverage), *(() if is_alone else (_role(duty, camera),)))
        for duty in sorted(stretch.first.duties, key=lambda duty: -duty.weight)
        if duty.primary == camera
    ]


def second_words(plan: Plan, stretch: Stretch, camera: str) -> str:
    """Moments for which a camera is the second angle, as one sentence."""
    duties = [d for d in stretch.first.duties if d.second == camera and d.second_angle >= SECOND_FROM]
    if not duties:
        return ""
    others = ", ".join(dict.fromkeys(duty.primary for duty in duties))
    names = ", ".join(_toward(plan.match, duty) for duty in sorted(duties, key=lambda duty: -duty.second_angle))
    return f"Second angle to {others}: {names}."


def _role(duty: Duty, camera: str) -> str:
    if duty.second is None:
        return ""
    return f"tight, {duty.second} wide" if duty.tight == camera else f"wide, {duty.second} tight"


def _toward(match: Match, duty: Duty) -> str:
    moment = next(m for m in match.sport.moments if m.key == duty.moment)
    toward = f", {match.venue.side_names[duty.attack]}" if duty.attack else ""
    return f"{moment.name}{toward}{' (must)' if moment.must else ''}"


def missed_words(plan: Plan, stretch: Stretch, camera: str | None = None) -> list[str]:
    """Moments that a camera, or all cameras together, mostly miss: worst first."""
    names = {m.key: f"{m.name}{' (must)' if m.must else ''}" for m in plan.match.sport.moments}
    shares = stretch.first.by_moment
    if camera is not None:
        shares = next(a.by_moment for a in stretch.first.assignments if a.camera == camera)
    ranked = sorted(shares.items(), key=lambda pair: pair[1])
    return [f"{names[key]} {percent(value)}" for key, value in ranked if value < MISSED_BELOW]


def settings_table(
    sections: Mapping[str, Section], camera: str, stretch: Stretch
) -> tuple[tuple[str, ...], list[tuple[str, ...]], tuple[str, ...]]:
    """Settings and focus of a camera in a stretch as one table.

    Returns
    -------
    columns, rows, warnings
    """
    settings, focus = sections[f"settings-{camera}"], sections[f"focus-{camera}"]
    when = settings.columns.index("when")
    names = [period.period.name for period in stretch.periods]
    rows = [
        (*(cell for i, cell in enumerate(row) if i != when), *more[1:3])
        for row, more in zip(settings.rows, focus.rows, strict=True)
        if row[when] == "always" or any(name in row[when].split(", ") for name in names)
    ]
    columns = (*(c for c in settings.columns if c != "when"), *focus.columns[1:3])
    return columns, rows, settings.warnings
