"""What the sheets say, in words; paper and page put the same words in their own order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.cli.plan_sections import plan_sections
from standmark.cli.section import Section
from standmark.cli.summary import MISSED_BELOW, proof_words
from standmark.cli.units import Units, shown, symbol
from standmark.cli.words import lens_words, percent, place_words, why_words
from standmark.optimizer.assignment import Assignment
from standmark.optimizer.duty import Duty
from standmark.optimizer.match import Match
from standmark.optimizer.plan import Plan
from standmark.optimizer.stretch import Stretch

CONTACTS = (
    "Crew lead, telephone",
    "Venue contact, telephone",
    "Steward",
    "Home side",
    "Away side",
    "Consent refused by",
)
SHORT_CAUTIONS = 6


@dataclass(frozen=True)
class Post:
    """One camera in one stretch of periods."""

    when: str
    where: str
    coordinates: str
    lens: str
    pan: str
    covers: str
    why: str
    assignment: Assignment
    stretch: Stretch


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
    return f"{side} attacks " + ", ".join(f"{toward[p.attack]} in {p.name.lower()}" for p in periods)


def camera_posts(plan: Plan, stretches: Sequence[Stretch], camera: int, units: Units) -> list[Post]:
    """Say where a camera stands and what it does there, stretch by stretch."""
    return [_post(plan, stretch, stretch.first.assignments[camera], units) for stretch in stretches]


def _post(plan: Plan, stretch: Stretch, assignment: Assignment, units: Units) -> Post:
    spot = assignment.spot
    x, y = (f"{shown(value, units):.1f}" for value in (spot.x_m, spot.y_m))
    low, high = assignment.pan_deg
    alone = f"alone {percent(assignment.coverage)} of what matters"
    if len(plan.match.cameras) > 1:
        alone += f", best camera for {percent(assignment.carried)}"
    return Post(
        when=stretch.name,
        where=place_words(spot, plan.match, units=units),
        coordinates=f"x {x}, y {y} {symbol(units)} from the middle",
        lens=lens_words(assignment),
        pan=f"over {high - low:.0f} degrees, tilt {assignment.tilt_deg[0]:.0f} to {assignment.tilt_deg[1]:.0f}",
        covers=alone,
        why=why_words(assignment, plan.match),
        assignment=assignment,
        stretch=stretch,
    )


def duty_rows(plan: Plan, stretch: Stretch) -> list[tuple[str, ...]]:
    """Who does what: moment, first camera, second angle, wide and tight, share captured; weightiest first."""
    duties = sorted(stretch.first.duties, key=lambda duty: -duty.weight)
    return [_duty_row(plan.match, duty) for duty in duties]


def duty_columns(match: Match) -> tuple[str, ...]:
    """Columns of `duty_rows`."""
    return ("moment", "camera", "second angle", "wide / tight", "weight", "captured") if len(match.cameras) > 1 else (
        "moment", "weight", "captured"
    )  # fmt: skip


def _duty_row(match: Match, duty: Duty) -> tuple[str, ...]:
    name = duty_name(match, duty)
    shares = (percent(duty.weight), percent(duty.coverage))
    if len(match.cameras) == 1:
        return (name, *shares)
    angle = "" if duty.angle_deg is None or duty.second is None else f"{duty.second}, {duty.angle_deg:.0f}°"
    roles = "" if duty.wide is None else f"{duty.wide} / {duty.tight}"
    crosses = ", crosses the line" if duty.crosses_line else ""
    return (name, duty.primary, f"{angle}{crosses}", roles, *shares)


def duty_name(match: Match, duty: Duty) -> str:
    """Name of a moment, with the end it happens toward and a mark where it must not be missed."""
    moment = next(m for m in match.sport.moments if m.key == duty.moment)
    toward = f", toward {match.venue.side_names[duty.attack]}" if duty.attack else ""
    return f"{moment.name}{toward}{' (must)' if moment.must else ''}"


def own_duties(plan: Plan, stretch: Stretch, camera: str) -> list[tuple[str, str, str]]:
    """Moments that a camera has first or as the second angle: name, role, share captured."""
    rows = []
    for duty in sorted(stretch.first.duties, key=lambda d: -d.weight):
        if duty.primary == camera:
            role = "yours" if duty.second is None else f"yours, {'tight' if duty.tight == camera else 'wide'}"
        elif duty.second == camera and duty.second_angle >= 0.05:
            role = f"second angle to {duty.primary}"
        else:
            continue
        rows.append((duty_name(plan.match, duty), role, percent(duty.coverage)))
    return rows


def missed_words(plan: Plan, stretch: Stretch, camera: str | None = None) -> list[str]:
    """Moments that a camera, or all cameras together, mostly miss: worst first."""
    names = {m.key: f"{m.name}{' (must)' if m.must else ''}" for m in plan.match.sport.moments}
    shares = stretch.first.by_moment
    if camera is not None:
        shares = next(a.by_moment for a in stretch.first.assignments if a.camera == camera)
    ranked = sorted(shares.items(), key=lambda pair: pair[1])
    return [f"{names[key]} {percent(value)}" for key, value in ranked if value < MISSED_BELOW]


def sheet_sections(plan: Plan) -> dict[str, Section]:
    """Settings and day of a plan by key."""
    return {section.key: section for section in plan_sections(plan)}
