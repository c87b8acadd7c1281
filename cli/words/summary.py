"""The plan in the terminal: where to stand, with what, what it covers, what it misses, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from standmark.cli.words.advice_sections import MOST_DUTIES, curve_section, decision_section, duty_section, kit_section
from standmark.cli.words.advice_words import camera_advice, drift_words, fallback_words, limit_words
from standmark.cli.words.ask_words import first_ask_lines
from standmark.cli.words.lines import wrapped
from standmark.cli.words.naming import coordinate_words, lens_words, percent, place_words, why_words
from standmark.cli.words.place_forms import is_rectangle
from standmark.cli.words.roam_words import follow_lines
from standmark.cli.words.section import Section, section_lines
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.stretch import alike_periods
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.breach import spot_breach
from standmark.optimizer.work.assignment import Assignment, PeriodPlan, Spot

WIDTH = 96
MISSED_BELOW = 0.5  # a key moment covered less than this is listed as missed


def plan_summary(plan: Plan, *, units: Units = Units.METRIC) -> str:
    """Write a plan as plain text."""
    return "\n".join(_lines(plan, units)) + "\n"


def _lines(plan: Plan, units: Units) -> Iterator[str]:
    match = plan.match
    yield heading(match)
    for line in first_ask_lines(plan, units=units):
        yield from wrapped(line, WIDTH)
    yield from wrapped(f"Coverage {percent(plan.coverage)} of what matters; {proof_words(plan)}", WIDTH)
    told: dict[object, str] = {}
    for together in alike_periods(plan):
        period, names = together[0], ", ".join(p.period.name for p in together)
        yield ""
        yield f"{names}: covers {percent(period.coverage)}"
        places = _places(period)
        if places in told:
            yield f"  places and lenses as in {told[places]}"
        else:
            told[places] = names
            for assignment in period.assignments:
                yield from _camera_lines(assignment, period, plan, units)
        yield from _missed_lines(period, plan)
        if len(match.cameras) > 1:
            yield ""
            yield from _without_last(section_lines(duty_section(period, match, most=MOST_DUTIES)))
    yield ""
    yield from follow_lines(plan, units=units)
    for section in advice_sections(plan, units=units):
        yield from section_lines(section)
    yield from wrapped(f"{HANDS} {caution_words(match)}", WIDTH)


def heading(match: Match) -> str:
    """Title, sport and ground, none of them twice."""
    sport = match.sport.name
    title = match.title if sport.lower() in match.title.lower() else f"{match.title} - {sport}"
    return f"{title} at {match.venue.name}, for {match.deliverable.name.lower()}"


def _without_last(lines: Iterable[str]) -> list[str]:
    """Lines of a section without the empty one at its end."""
    return list(lines)[:-1]


HANDS = "Left and right are those of someone who stands there and faces the playing area."
SUN = "never point a long lens at the sun, "
CAUTION = (
    "Before the match: ask the venue and the competition where you may stand; their word, local codes and the "
    "officials' instructions come before this plan. Stay clear of the run-off, keep an eye on the ball, "
    f"{SUN}and film minors only with consent."
)


def caution_words(match: Match) -> str:
    """Usual cautions under every plan; the sun only where it shines."""
    return CAUTION.replace(SUN, "") if match.venue.is_indoor else CAUTION


def proof_words(plan: Plan) -> str:
    """Say how good the plan is proven to be."""
    gap = 100 * (plan.upper_bound - plan.coverage)
    if not plan.proven:
        return f"not proven: another choice could gain up to {gap:.2f} points ({plan.message})"
    among = f"of {plan.n_candidates} places tried (no choice exceeds {100 * plan.upper_bound:.2f} %)"
    given = [
        f"{100 * share:.1f} points {reason}"
        for share, reason in (
            (plan.given_up.second_angle, "given up for more second angles"),
            (plan.given_up.moves, "not worth walking for"),
        )
        if share >= 0.0005
    ]
    caveat = f"; {plan.caveat}" if plan.caveat else ""
    if not given:
        return f"proven best {among}{caveat}"
    return f"{gap:.1f} points from the proven best {among}: {', '.join(given)}{caveat}"


def _places(period: PeriodPlan) -> tuple[str, ...]:
    return tuple(a.spot.id + a.lens.name for a in period.assignments)


def _camera_lines(assignment: Assignment, period: PeriodPlan, plan: Plan, units: Units) -> Iterator[str]:
    spot = assignment.spot
    yield f"  Camera {assignment.camera}: {lens_words(assignment)}"
    warning = _fixed_warning(assignment, period, plan)
    if warning:
        yield from wrapped(warning, WIDTH, first="    ! ", rest="      ")
    area = "" if warning else _area_words(spot, plan.match)
    yield from wrapped(
        f"stand {place_words(spot, plan.match, units=units)} ({coordinate_words(spot, units)}{area})",
        WIDTH, first="    ", rest="      ",
    )  # fmt: skip
    alone = f"alone it covers {percent(assignment.coverage)}"
    if len(plan.match.cameras) > 1:
        alone += f"; it is the best camera for {percent(assignment.carried)} of what matters"
    low, high = assignment.pan_deg
    yield f"    pan over {high - low:.0f} degrees; {alone}"
    told = camera_advice(plan.advice, period.period.key, assignment.camera)
    limit = None if told is None else limit_words(told.limits, units=units)
    texts = [f"why: {why_words(assignment, plan.match, limit=limit)}"]
    if told is not None and told.tolerance:
        texts.append(f"how exactly: {drift_words(told.tolerance, units=units)}")
    if told is not None and told.fallback is not None:
        texts.append(f"if refused: {fallback_words(told.fallback, plan.match, units=units)}")
    for text in texts:
        yield from wrapped(text, WIDTH, first="    ", rest="      ")


def _area_words(spot: Spot, match: Match) -> str:
    """Name of the area, unless it only repeats what the words for a rectangle's usual place say."""
    is_usual = spot.area in {place.key for place in match.sport.area.places}
    if is_usual and is_rectangle(match.sport.area):
        return ""
    return f"; {next(a.name for a in match.venue.allowed if a.key == spot.area)}"


def _fixed_warning(assignment: Assignment, period: PeriodPlan, plan: Plan) -> str:
    """Warn of a camera that the match file fixes where the ground lets nobody stand."""
    camera = next(c for c in plan.match.cameras if c.name == assignment.camera)
    breach = "" if camera.fixed is None else spot_breach(plan.match, assignment.spot, period.period)
    return breach and f"the match file fixes it here (at_m), but it {breach}: ask before anybody goes there"


def advice_sections(plan: Plan, *, units: Units = Units.METRIC) -> Iterator[Section]:
    """Sections that tell the advice of a plan, as far as it was asked for."""
    if plan.advice is None:
        return
    yield decision_section(plan, units=units)
    yield from (s for s in (kit_section(plan.advice), curve_section(plan.advice)) if s is not None)


def _missed_lines(period: PeriodPlan, plan: Plan) -> Iterator[str]:
    names = {m.key: m.name for m in plan.match.sport.moments}
    must = {m.key for m in plan.match.sport.moments if m.must}
    ranked = sorted(period.by_moment.items(), key=lambda pair: -pair[1])
    covered = [f"{names[k]} {percent(v)}" for k, v in ranked if v >= MISSED_BELOW]
    lost = [(k, v) for k, v in reversed(ranked) if v < MISSED_BELOW]
    missed = [f"{names[k]}{' (must)' if k in must else ''} {percent(v)}" for k, v in lost]
    for label, words in (("covers", covered), ("misses", missed)):
        text = f"{label}: {', '.join(words) if words else 'nothing much'}"
        yield from wrapped(text, WIDTH, first="  ", rest="    ")
