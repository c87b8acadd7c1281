"""Advice as titled tables: duties, changes in the intervals, the toss, refused areas, kit and further cameras."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from standmark.cli.words.advice_words import stage_advice
from standmark.cli.words.ask_words import ask_notes
from standmark.cli.words.bag_words import bag_words
from standmark.cli.words.lines import capital
from standmark.cli.words.match_warnings import replaced_words
from standmark.cli.words.moments import moment_words
from standmark.cli.words.naming import percent
from standmark.cli.words.rules_words import rules_lines
from standmark.cli.words.section import Section
from standmark.cli.words.shares import NOTHING as FREE
from standmark.cli.words.shares import about, cost_words, whole_percent
from standmark.cli.words.spots import short_when, walk_words
from standmark.cli.words.units import Units, height_words
from standmark.cli.words.where.place import where
from standmark.optimizer.advice import Advice
from standmark.optimizer.advice.doubt import Doubt
from standmark.optimizer.advice.lost import Post
from standmark.optimizer.advice.stay_or_move import Interval, Move
from standmark.optimizer.advice.toss import TossOutcome
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.stretch import alike_periods
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.optimizer.work.duty import Duty

MOST_DUTIES = 10  # moments told on the terminal, by what they are worth; all are in plan.json
MOST_CROSSING = 4  # moments named for which two cameras cross the line of action
NEARLY_ALL = 0.75  # of the match: more are not named one by one
STILL_M = 0.5  # a camera that walks less has stayed
NOTHING = 0.0005  # coverage that does not show in tenths of a point
FEW_AREAS = 2  # so many are named one by one
HARDLY = 0.01  # a gain under this is not worth a walk


def duty_section(period: PeriodPlan, match: Match, *, most: int | None = None, when: str = "") -> Section:
    """Who takes which moment in a period, dearest first, both ends in one row; no rows for one camera.

    Parameters
    ----------
    when : the periods that it holds for, where there are others: "1st half"
    """
    moments: dict[str, list[Duty]] = {}
    for duty in period.duties:
        moments.setdefault(duty.moment, []).append(duty)
    ranked = sorted(moments.values(), key=lambda duties: -sum(d.weight for d in duties))
    missed = sorted(ranked, key=lambda duties: -sum(d.missed for d in duties))[:3]
    notes = [f"You get {about(period.second_angle)} of the match from two clearly different sides."]
    notes.append(f"What you lose most by: {', '.join(plural_of(d[0], match) for d in missed)}.")
    rows = tuple(_duty_row(duties, match) for duties in ranked[:most]) if len(match.cameras) > 1 else ()
    if any(" / " in cell for row in rows for cell in row):
        ends = match.venue.side_names
        notes.insert(0, f"Two entries: attack toward the {ends['+x']} / toward the {ends['-x']}.")
    notes += _crossing_notes(ranked, match)
    columns = ("moment", "you get", "first", "other angle", "wide, tight")
    title = f"Who takes what, {when}" if when else "Who takes what"
    return Section("duties", title, columns, rows, tuple(notes) if rows else ())


def plural_of(duty: Duty, match: Match) -> str:
    """Name of the moments of a duty, as people say them."""
    return moment_words(match.sport, next(m for m in match.sport.moments if m.key == duty.moment)).plural


def _crossing_notes(ranked: Sequence[Sequence[Duty]], match: Match) -> Iterator[str]:
    """Name the moments that two cameras see from both sides of their line of action."""
    crossing = [[d for d in duties if d.crosses_line] for duties in ranked]
    weight = sum(d.weight for duties in crossing for d in duties)
    if weight >= NEARLY_ALL:
        what = "at nearly every moment"
    else:
        names = [_crossing_name(some, duties, match) for some, duties in zip(crossing, ranked, strict=True) if some]
        more = len(names) - MOST_CROSSING
        what = "; ".join(names[:MOST_CROSSING]) + (f"; and {more} more" if more > 0 else "")
    if what:
        yield f"Left and right swap when you cut between the two cameras: {what}."


def _crossing_name(crossing: Sequence[Duty], duties: Sequence[Duty], match: Match) -> str:
    name, end = plural_of(crossing[0], match), crossing[0].attack
    return name if end is None or len(crossing) == len(duties) else f"{name} ({match.venue.side_names[end]})"


def advice_sections(plan: Plan, *, units: Units = Units.METRIC) -> Iterator[Section]:
    """Sections that tell the advice of a plan, as far as it was asked for, and who takes what."""
    told: set[tuple[tuple[str, ...], ...]] = set()
    for together in alike_periods(plan) if len(plan.match.cameras) > 1 else ():
        when = short_when([p.period.name for p in together], len(plan.periods))
        section = duty_section(together[0], plan.match, most=MOST_DUTIES, when=when)
        if section.rows not in told:
            told.add(section.rows)
            yield section
    if plan.advice is not None:
        section = decision_section(plan, units=units)
        yield from [section] if section.notes else []
        yield from (s for s in (kit_section(plan.advice), curve_section(plan.advice)) if s is not None)


def decision_section(plan: Plan, *, units: Units = Units.METRIC) -> Section:
    """What the crew lead has to decide, one line each."""
    advice, match = plan.advice, plan.match
    notes: list[str] = []
    if advice is not None:
        notes += _interval_notes(advice, match, units)
        notes += _toss_notes(advice, match, units)
        notes += _line_notes(plan, advice)
        notes += _refusal_notes(advice, match)
        notes += _lost_notes(advice, match, units)
        notes += _further_notes(plan, advice, units)
        notes += _taste_notes(plan, advice, units)
        if advice.doubt is not None:
            notes.append(doubt_words(advice.doubt, len(match.cameras)))
        notes += filter(None, (bag_words(plan),))
        notes += ask_notes(plan, units=units)
    notes += rules_lines(plan)
    if words := replaced_words(match):
        notes.append(f"{capital(words)}.")
    return Section("decisions", "To decide", notes=tuple(notes))


def kit_section(advice: Advice) -> Section | None:
    """What each further lens adds; None when it was not asked for."""
    if advice.kit is None:
        return None
    rows = tuple(
        (k.lens.name, k.camera, percent(k.seen), whole_percent(k.gain) if k.gain >= NOTHING else "nothing")
        for k in advice.kit
    )
    return Section("kit", "What one more lens would get you", ("lens", "for camera", "you get", "worth more"), rows)


def curve_section(advice: Advice) -> Section | None:
    """What 1 to 4 cameras get; None when it was not asked for."""
    if advice.curve is None:
        return None
    rows = tuple(
        (str(p.n_cameras), percent(p.seen), whole_percent(p.gain), "proven" if p.proven else "not proven")
        for p in advice.curve
    )  # fmt: skip
    return Section("curve", "What more cameras would get you", ("cameras", "you get", "worth more", ""), rows)


def _duty_row(duties: Sequence[Duty], match: Match) -> tuple[str, ...]:
    weight = sum(d.weight for d in duties)
    seen = sum(d.weight * d.seen for d in duties) / weight
    return (
        plural_of(duties[0], match), percent(seen), _both([d.primary for d in duties]),
        _second_words(duties, weight), _both([f"{d.wide}, {d.tight}" for d in duties]),
    )  # fmt: skip


def _second_words(duties: Sequence[Duty], weight: float) -> str:
    """Second camera toward each end, share that both get in clearly different views, mean angle between them."""
    share = sum(d.weight * d.second_angle for d in duties) / weight
    angle_deg = sum(d.weight * (d.angle_deg or 0.0) for d in duties) / weight
    return f"{_both([d.second or '' for d in duties])} {percent(share)}, {angle_deg:.0f} degrees"


def _both(values: Sequence[str]) -> str:
    """Write what holds toward the two ends, once where it is the same."""
    return " / ".join(values if len(set(values)) > 1 else values[:1])


def _interval_notes(advice: Advice, match: Match, units: Units) -> Iterator[str]:
    names = {p.key: p.name for p in match.sport.periods}
    told: set[str] = set()
    for interval in advice.intervals:
        text = _interval_words(interval, match, units)
        if text not in told:
            told.add(text)
            yield f"After {_the(names[interval.before].lower())}: {text}."


def _the(period: str) -> str:
    """Period with its article, where it takes one: "the first half", "innings one to three"."""
    return period if period.startswith(("innings", "overs")) else f"the {period}"


def _interval_words(interval: Interval, match: Match, units: Units) -> str:
    walkers = [m for m in interval.moves if m.walk.length_m >= STILL_M]
    if not walkers:
        return "nobody needs to move"
    moves = [f"{m.camera}: {walk_words(m.walk, match, units=units)}{_gain_words(m)}" for m in walkers]
    gain = "" if interval.gain is None or len(walkers) == 1 else f"; together {_more(interval.gain)}"
    return "; ".join(moves) + gain


def _gain_words(move: Move) -> str:
    if move.gain is None:
        return "; staying isn't possible"
    return f"; {_more(move.gain)}" if move.gain >= HARDLY else "; hardly worth the walk"


def _more(gain: float) -> str:
    return f"worth {whole_percent(gain)} more of what follows"


def _toss_notes(advice: Advice, match: Match, units: Units) -> Iterator[str]:
    for outcome in advice.toss:
        end = match.venue.side_names[outcome.first_attack]
        gain = outcome.best - outcome.stay
        text = f"If we attack the {end} first"
        if gain < NOTHING:
            yield f"{text}: keep to this plan."
        else:
            switch = _switch_words(outcome, match, units)
            yield f"{text}: {switch} is worth {whole_percent(gain)} more than this plan."


def _switch_words(outcome: TossOutcome, match: Match, units: Units) -> str:
    first = outcome.switches[0].period
    moves = [s for s in outcome.switches if s.period == first and s.walk.length_m >= STILL_M]
    words = " and ".join(
        f"{s.camera} {where(s.spot, match, units=units).at}, lens {height_words(s.spot.z_m, units)} up" for s in moves
    )
    walks = _walks(outcome)
    later = f"walking in {walks} break{'s' if walks > 1 else ''}" if walks else ""
    started = f"starting with {words}" if words else ""
    return " and ".join(filter(None, (started, later))) or "another lens"


def _walks(outcome: TossOutcome) -> int:
    """Breaks in which somebody walks when the best places for an outcome of the toss are taken."""
    places: dict[str, list[tuple[str, float, float]]] = {}
    for switch in outcome.switches:
        places.setdefault(switch.period, []).append((switch.camera, switch.spot.x_m, switch.spot.y_m))
    return sum(before != after for before, after in pairwise(places.values()))


def _line_notes(plan: Plan, advice: Advice) -> Iterator[str]:
    pairs = list(dict.fromkeys(" and ".join(sorted((c.right, c.left))) for c in plan.crossings))
    cost = "no plan keeps to one side" if advice.one_side_loss is None else (
        f"keeping to one side: {cost_words(advice.one_side_loss)}"
    )  # fmt: skip
    if "one_side_loss" in advice.left_out:
        cost = "what keeping to one side costs was left out"
    if len(pairs) == 1:
        yield f"{pairs[0]} stand on opposite sides of play, so teams swap direction when you cut; {cost}."
    elif pairs:
        listed = "; ".join(sorted(pairs))
        yield f"These stand on opposite sides of play, so teams swap direction when you cut: {listed}. {capital(cost)}."


def _and(names: tuple[str, ...]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def _refusal_notes(advice: Advice, match: Match) -> Iterator[str]:
    """What each kind of place is worth, as grounds refuse them."""
    dear = [r for r in advice.kind_refusals if r.loss is None or r.loss >= FREE]
    free = [r for r in advice.kind_refusals if r.loss is not None and r.loss < FREE]
    for refusal in dear:
        cost = "no plan works" if refusal.loss is None else cost_words(refusal.loss)
        yield f"If nobody may stand {kind_words(refusal.kind, match)}: {cost}."
    if free and dear:
        *most, last = (kind_words(r.kind, match) for r in free)
        said = f"{', '.join(most)} or {last}" if most else last
        yield f"{capital(said)} they can say no: nothing lost."


def kind_words(kind: str, match: Match) -> str:
    """Say what kind of place a ground refuses, as the end of "nobody may stand ..."."""
    if kind == "raised":
        return "at a raised place"
    if kind == "ends":
        goal = match.sport.area.target_name
        return f"behind the {goal}s" if goal in ("goal", "basket", "hoop") else "behind the ends"
    return f"on the {match.venue.side_names[kind]}"


def _lost_notes(advice: Advice, match: Match, units: Units) -> Iterator[str]:
    """What the others do when a camera drops out."""
    names = {p.key: p.name.lower() for p in match.sport.periods}
    for gone in advice.lost:
        if gone.loss is None:
            yield f"If camera {gone.camera} drops out, no plan works."
            continue
        moved = [post for post in gone.posts if post.is_moved]
        told = list(dict.fromkeys(_post_words(post, match, units) for post in moved))
        if len(told) != len({post.camera for post in moved}):
            told = [f"{_post_words(p, match, units)} ({', '.join(names[k] for k in p.periods)})" for p in moved]
        cost = cost_words(gone.loss)
        rest = "; ".join(told) or "the others stay where they are"
        yield f"If camera {gone.camera} drops out: {rest}. {capital(cost)}."


def _post_words(post: Post, match: Match, units: Units) -> str:
    place = where(post.spot, match, units=units)
    return f"{post.camera} goes {place.to}, {place.detail}, with the {post.lens.name}"


def _further_notes(plan: Plan, advice: Advice, units: Units) -> Iterator[str]:
    stage = stage_advice(advice, plan.periods[0].period.key)
    if stage is not None and stage.next_camera is not None and stage.next_camera.gain >= FREE:
        more = stage.next_camera
        place = where(more.spot, plan.match, units=units)
        best = f"Best place: {place.name}, {place.detail}."
        yield f"One more camera would be worth {whole_percent(more.gain)} more. {best}"


def _taste_notes(plan: Plan, advice: Advice, units: Units) -> Iterator[str]:
    """Where other wishes for faces would put the cameras in the first period."""
    first = plan.periods[0].period.key
    for taste in advice.faces:
        wanted = "If faces don't matter to you" if taste.wish == 0 else "If faces are all you want"
        places = [
            f"{spot.camera} {where(spot.spot, plan.match, units=units).at}"
            for spot in taste.spots
            if spot.period == first
        ]
        got = f"{percent(taste.seen)} of the match, {percent(taste.faces)} of that with faces"
        yield f"{wanted}: {' and '.join(places)} {'get' if len(places) > 1 else 'gets'} you {got}."


def doubt_words(doubt: Doubt, n_cameras: int) -> str:
    """Say how much hangs on our guesses."""
    as_good, worst = round(100 * doubt.as_good), doubt.worst_regret
    what = "this spot is" if n_cameras == 1 else "these places are"
    rest = "" if as_good == 100 else f"; at worst another is worth {whole_percent(worst)} more"
    return f"If our guesses are off, {what} still as good as the best in {as_good} of 100 cases{rest}."
