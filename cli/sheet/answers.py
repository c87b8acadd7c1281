"""What an operator's page, pocket card and phone say: where, set, get, if refused, care, times."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.cli.words.advice_words import camera_advice
from standmark.cli.words.dial import Dial, camera_dials
from standmark.cli.words.hold_words import hold_words, kit_words
from standmark.cli.words.lines import capital
from standmark.cli.words.moments import Taken, end_words, moment_title, moment_words, taken_moments
from standmark.cli.words.shares import PARTLY_FROM, grade, loss_words
from standmark.cli.words.spots import (
    fallbacks_of,
    instead_words,
    move_after,
    shift_words,
    short_when,
    walk_words,
    whole_loss,
)
from standmark.cli.words.summary import fixed_warning
from standmark.cli.words.units import Units
from standmark.cli.words.where.place import where
from standmark.cli.words.where.way import Where
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.day.day import Day
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.planned import PlannedCard
from standmark.optimizer.work.assignment import Assignment, PeriodPlan
from standmark.optimizer.work.hold import hold_at
from standmark.optimizer.work.walk import Walk

MOST_GET = 6
BESIDE = 0.35  # worth of what a camera films beside another one, next to what it has first


@dataclass(frozen=True)
class Standing:
    """One camera at one place, for some periods."""

    when: str  # "1st half"; "" for the whole match
    periods: tuple[PeriodPlan, ...]
    assignment: Assignment
    where: Where
    kit: str  # focal lengths, support, height of the lens
    held: str  # sit or kneel, what carries a high lens, what may not be used; "" where there is nothing to say
    shift: str  # how far one may shift; "" where it isn't known
    walk: Walk | None  # to the next place
    walk_words: str
    refused: tuple[str, ...]  # what to do, and when the whole area is closed
    spare: Fallback | None  # where to go if the place is refused
    missing: str  # a warning where the camera is fixed on ground that isn't allowed


@dataclass(frozen=True)
class Get:
    """One kind of moment to film from a place."""

    key: str
    name: str
    plural: str  # a shorter name
    how: str  # a sentence
    short: str  # a few words
    hint: str  # what this place changes
    grades: tuple[str, ...]  # "well", "partly", "hardly" for each stay; "" where it isn't this camera's


@dataclass(frozen=True)
class CameraAnswer:
    """Everything that one operator needs."""

    name: str
    index: int
    stays: tuple[Standing, ...]
    dial: Dial
    gets: tuple[Get, ...]
    missed: str
    times: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]


def camera_answers(
    plan: Plan, cards: tuple[PlannedCard, ...], day: Day, *, units: Units = Units.METRIC
) -> tuple[CameraAnswer, ...]:
    """Return what every operator of a plan needs."""
    dials = camera_dials(plan, cards)
    return tuple(_answer(plan, index, dials[c.name], day, units) for index, c in enumerate(plan.match.cameras))


def _answer(plan: Plan, index: int, dial: Dial, day: Day, units: Units) -> CameraAnswer:
    name = plan.match.cameras[index].name
    stays = camera_stays(plan, index, units=units)
    gets = _gets(plan, name, stays)
    return CameraAnswer(
        name=name,
        index=index,
        stays=stays,
        dial=dial,
        gets=gets,
        missed=_missed(plan, name, gets),
        times=tuple((f"{time.at:%H:%M}", _time_words(time, stays)) for time in told_times(day)),
        cautions=(*(caution.text for caution in dict(day.camera_cautions)[f"Camera {name}"]), day.defer),
    )


def camera_stays(plan: Plan, index: int, *, units: Units = Units.METRIC) -> tuple[Standing, ...]:
    """Places of one camera in the order in which it takes them, each with the periods that it keeps it for."""
    groups: dict[str, list[PeriodPlan]] = {}
    for period in plan.periods:
        groups.setdefault(period.assignments[index].spot.id, []).append(period)
    return tuple(_stay(plan, index, tuple(periods), units) for periods in groups.values())


def _stay(plan: Plan, index: int, periods: tuple[PeriodPlan, ...], units: Units) -> Standing:
    match, camera = plan.match, plan.match.cameras[index]
    assignment, key = periods[0].assignments[index], periods[0].period.key
    move = move_after(plan, periods[-1].period.key, camera.name)
    near, far = fallbacks_of(plan, key, camera.name)
    refused = []
    for lead, fallback in (("", near), ("If that side is closed too: ", far)):
        if fallback is not None:
            words = instead_words(assignment.spot, fallback.spot, match, units=units)
            loss = loss_words(whole_loss(plan, key, fallback))
            said = f"{lead}{words}: {loss}."
            refused.append(capital(said))
    return Standing(
        when=short_when([p.period.name for p in periods], len(plan.periods)),
        periods=periods,
        assignment=assignment,
        where=where(assignment.spot, match, units=units, in_paces=True),
        kit=kit_words(assignment, match, units),
        held=hold_words(hold_at(match, camera, assignment.spot)),
        shift=shift_words(camera_advice(plan.advice, key, camera.name), match, units=units),
        walk=None if move is None else move.walk,
        walk_words="" if move is None else walk_words(move.walk, match, units=units),
        refused=tuple(refused),
        spare=near,
        missing=fixed_warning(assignment, periods[0], plan),
    )


def _gets(plan: Plan, name: str, stays: tuple[Standing, ...]) -> tuple[Get, ...]:
    """Six kinds of moments that are worth most to a camera: those that it has first, then what it gets beside them."""
    kinds = {m.key: m for m in plan.match.sport.moments}
    ranked = {
        key: BESIDE * kinds[key].rate_per_match * kinds[key].importance * share / _worth(plan)
        for key, share in stays[0].assignment.seen_by_moment.items()
    }
    by_stay = [taken_moments(plan, [p.period.key for p in stay.periods], camera=name) for stay in stays]
    for taken in taken_moments(plan, camera=name):
        ranked[taken.moment.key] = ranked.get(taken.moment.key, 0.0) + taken.rank * max(taken.captured, 0.1)
    chosen = sorted(ranked, key=lambda key: -ranked[key])[:MOST_GET]
    gets = []
    for key in chosen:
        moment, grades = kinds[key], []
        for stay, taken_here in zip(stays, by_stay, strict=True):
            own = [t for t in taken_here if t.moment.key == key]
            here = stay.assignment.seen_by_moment.get(key, 0.0)
            grades.append(grade(_served(own).captured if own else here))
        gets.append(
            Get(
                key=key,
                name=moment_title(plan.match.sport, moment),
                plural=moment_words(plan.match.sport, moment).plural,
                how=moment.picture,
                short=moment_words(plan.match.sport, moment).how_to_frame,
                hint=_hint(plan, name, key, stays),
                grades=tuple(grades),
            )
        )
    return tuple(gets)


def _worth(plan: Plan) -> float:
    return sum(m.rate_per_match * m.importance for m in plan.match.sport.moments)


def _served(own: list[Taken]) -> Taken:
    """Take the end that a place serves: where our side attacks, else where most is captured."""
    return max(own, key=lambda t: (t.end == "attack", t.weight * t.captured))


def _hint(plan: Plan, name: str, key: str, stays: tuple[Standing, ...]) -> str:
    """Say what a place changes for a kind of moment: whose back it sees, what hides it, how near it is."""
    factors: dict[str, list[float]] = {}
    for stay in stays:
        for factor, value in stay.assignment.factors_by_moment.get(key, {}).items():
            factors.setdefault(factor, []).append(value)
    means = {factor: sum(values) / len(values) for factor, values in factors.items()}
    moment = next(m for m in plan.match.sport.moments if m.key == key)
    faces = [stay.assignment.faces_by_moment.get(key, 1.0) for stay in stays]
    if moment.faces_matter >= 0.3 and sum(faces) / len(faces) < 0.45:
        return "You'll often see the back: wait for the face."
    if means.get("clear", 1.0) < 0.6:
        return "Bodies hide part of it: aim at the open side."
    if means.get("held", 1.0) < 0.6:
        return "It comes fast: stay wide, then tighten."
    return ""


def _missed(plan: Plan, name: str, gets: tuple[Get, ...]) -> str:
    """Say what can't be filmed from here, so that nobody chases it."""
    lost = [t for t in taken_moments(plan, camera=name) if t.captured < PARTLY_FROM and t.moment.is_play]
    lost = sorted(lost, key=lambda t: -t.rank * (1 - t.captured))[:2]
    if not lost:
        return ""
    sport = plan.match.sport
    names = [moment_words(sport, t.moment).plural for t in lost]
    ends = [f" {end_words(t.end, plan.match)}" if t.end else "" for t in lost]
    ends = ["" if end == after else end for end, after in zip(ends, [*ends[1:], None], strict=True)]
    said = " and ".join(f"{name}{end}" for name, end in zip(names, ends, strict=True))
    return f"You'll miss most {said}. Don't chase them."


SKIPPED = ("set-up", "rest", "team-talk")
WORDS = {
    "arrive": "arrive, sign in",
    "test": "test, play back",
    "warm-up": "film the warm-up",
    "line-up": "teams walk out",
    "roll": "in place, record",
    "finish": "film on",
    "reactions": "faces, thanks",
    "back-up": "two copies",
}


def told_times(day: Day) -> tuple[KeyTime, ...]:
    """Times that an operator's page names: nothing that happens only at some matches, and no ceremony."""
    return tuple(t for t in day.times if t.is_certain and t.key not in SKIPPED and not t.key.startswith("ceremony-"))


def _time_words(time: KeyTime, stays: tuple[Standing, ...]) -> str:
    """Say what a call time is for, in three words."""
    if time.key in WORDS:
        return WORDS[time.key]
    if time.key.startswith("break-"):
        period = time.key.removeprefix("break-")
        walks = any(stay.walk is not None and stay.periods[-1].period.key == period for stay in stays)
        if walks:
            return "walk, new battery"
        return "new battery" if "Fresh battery" in time.what else "a drink"
    if time.key.startswith("pause-"):
        return f"{time.name.lower()}, a drink"
    if time.key == "toss":
        return time.name.lower()
    if time.key.startswith("back-"):
        return "in place, record"
    return "start" if time.name == "Start" else time.name.removesuffix(" starts").lower()
