"""Advice as titled tables: duties, changes in the intervals, the toss, refused areas, kit and further cameras."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.cli.advice_words import points, stage_advice
from standmark.cli.section import Section
from standmark.cli.units import Units, distance_words
from standmark.cli.words import percent, place_words
from standmark.optimizer.advice import Advice
from standmark.optimizer.advice.stay_or_move import Interval, Move
from standmark.optimizer.advice.toss import Outcome
from standmark.optimizer.assignment import PeriodPlan
from standmark.optimizer.duty import Duty
from standmark.optimizer.match import Match
from standmark.optimizer.plan import Plan

MOST_DUTIES = 12  # rows told on the terminal, by what they are worth; all are in plan.json
STILL_M = 0.5  # a camera that walks less has stayed
NOTHING = 0.0005  # coverage that does not show in tenths of a point


def duty_section(period: PeriodPlan, match: Match, *, most: int | None = None) -> Section:
    """Who takes which moment in a period, dearest first; a section without rows for one camera."""
    duties = sorted(period.duties, key=lambda d: -d.weight)[:most]
    lost = sorted(period.duties, key=lambda d: -d.lost)[:3]
    notes = [
        f"captured from two clearly different views: {percent(period.second_angle)} of what matters",
        "lost most: " + ", ".join(f"{duty_name(d, match)} {points(d.lost)}" for d in lost),
    ]
    crossing = [duty_name(d, match) for d in duties if d.crosses_line]
    if crossing:
        notes.append(
            "across the line of action from each other, so teams swap direction in a cut: " + ", ".join(crossing)
        )
    rows = tuple(_duty_row(d, match) for d in duties) if len(match.cameras) > 1 else ()
    columns = ("moment", "worth", "covered", "takes it", "second angle", "wide, tight")
    return Section("duties", "Who takes what", columns, rows, tuple(notes) if rows else ())


def duty_name(duty: Duty, match: Match) -> str:
    """Name a moment with the end it belongs to."""
    name = next(m.name for m in match.sport.moments if m.key == duty.moment)
    return name if duty.attack is None else f"{name}, {match.venue.side_names[duty.attack]}"


def decision_section(plan: Plan, *, units: Units = Units.METRIC) -> Section:
    """What the crew lead has to decide, one line each."""
    advice, match = plan.advice, plan.match
    notes: list[str] = []
    if advice is not None:
        notes += _interval_notes(advice, match, units)
        notes += _toss_notes(advice, match, units)
        notes += _line_notes(plan, advice)
        notes += _refusal_notes(advice, match)
        notes += _further_notes(plan, advice, units)
    return Section("decisions", "To decide", notes=tuple(notes))


def kit_section(advice: Advice) -> Section | None:
    """What each further lens adds; None when it was not asked for."""
    if advice.kit is None:
        return None
    rows = tuple(
        (k.lens.name, k.camera, percent(k.coverage), f"+{points(k.gain)}" if k.gain >= NOTHING else "nothing")
        for k in advice.kit
    )
    return Section("kit", "What one further lens would add", ("lens", "for camera", "covers", "gain"), rows)


def curve_section(advice: Advice) -> Section | None:
    """What 1 to 4 cameras cover; None when it was not asked for."""
    if advice.curve is None:
        return None
    rows = tuple(
        (str(p.n_cameras), percent(p.coverage), f"+{points(p.gain)}",
         "proven" if p.proven else f"not proven, at most {percent(p.upper_bound)}")
        for p in advice.curve
    )  # fmt: skip
    return Section("curve", "What more cameras would cover", ("cameras", "covers", "gain", ""), rows)


def _duty_row(duty: Duty, match: Match) -> tuple[str, ...]:
    angle = "" if duty.angle_deg is None else f", {duty.angle_deg:.0f} degrees"
    second = f"{duty.second} {percent(duty.second_angle)}{angle}"
    return (duty_name(duty, match), percent(duty.weight), percent(duty.coverage),
            f"{duty.primary}", second, f"{duty.wide}, {duty.tight}")  # fmt: skip


def _interval_notes(advice: Advice, match: Match, units: Units) -> Iterator[str]:
    names = {p.key: p.name for p in match.sport.periods}
    told: set[str] = set()
    for interval in advice.intervals:
        text = _interval_words(interval, units)
        if text not in told:
            told.add(text)
            yield f"after {names[interval.before].lower()}: {text}"


def _interval_words(interval: Interval, units: Units) -> str:
    walkers = [m for m in interval.moves if m.distance_m >= STILL_M]
    if not walkers:
        return "everyone stays"
    moves = [f"{m.camera} walks {distance_words(m.distance_m, units)}{_gain_words(m, interval)}" for m in walkers]
    gain = "" if interval.gain is None else f"; together that gains {points(interval.gain)}"
    return ", ".join(moves) + (gain if len(walkers) > 1 or interval.moves[0].gain is None else "")


def _gain_words(move: Move, interval: Interval) -> str:
    if move.gain is None:
        return " (cannot stay)"
    return f" and gains {points(move.gain)}" if len(interval.moves) == 1 else f" (alone worth {points(move.gain)})"


def _toss_notes(advice: Advice, match: Match, units: Units) -> Iterator[str]:
    for outcome in advice.toss:
        end = match.venue.side_names[outcome.first_attack]
        gain = outcome.best - outcome.stay
        text = f"toss, if we attack the {end} first: staying covers {percent(outcome.stay)}"
        if gain < NOTHING:
            yield f"{text}, nothing to switch"
        else:
            yield f"{text}; {_switch_words(outcome, match, units)} gains {points(gain)}"


def _switch_words(outcome: Outcome, match: Match, units: Units) -> str:
    first = outcome.switches[0].period
    moves = [s for s in outcome.switches if s.period == first and s.distance_m >= STILL_M]
    words = " and ".join(f"{s.camera} {place_words(s.spot, match, units=units)}" for s in moves)
    return f"starting with {words}" if words else "changing places later"


def _line_notes(plan: Plan, advice: Advice) -> Iterator[str]:
    told: set[tuple[tuple[str, ...], tuple[str, ...]]] = set()
    cost = "no plan keeps to one side" if advice.one_side_loss is None else (
        f"keeping to one side would cost {points(advice.one_side_loss)}"
    )  # fmt: skip
    for crossing in plan.crossings:
        if (crossing.right, crossing.left) not in told:
            told.add((crossing.right, crossing.left))
            names = f"{_and(crossing.right)} and {_and(crossing.left)}"
            yield f"{names} film across the line of action: teams swap direction when you cut; {cost}"


def _and(names: tuple[str, ...]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def _refusal_notes(advice: Advice, match: Match) -> Iterator[str]:
    names = {a.key: a.name for a in match.venue.allowed}
    dear = [r for r in advice.refusals if r.loss is None or r.loss >= NOTHING]
    free = [r for r in advice.refusals if r.loss is not None and r.loss < NOTHING]
    if dear:
        parts = [f"{names[r.area]} {'leaves no plan' if r.loss is None else points(r.loss)}" for r in dear]
        yield f"if an area is refused and all is planned anew, it costs: {', '.join(parts)}"
    if free and dear:
        yield f"{len(free)} other area{'s' if len(free) > 1 else ''} can be refused at no loss"


def _further_notes(plan: Plan, advice: Advice, units: Units) -> Iterator[str]:
    stage = stage_advice(advice, plan.periods[0].period.key)
    if stage is not None and stage.next_camera is not None and stage.next_camera.gain >= NOTHING:
        more = stage.next_camera
        place = place_words(more.spot, plan.match, units=units)
        yield f"one camera more would add {points(more.gain)}: {place}, {more.lens.name}"
