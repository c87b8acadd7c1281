"""A verdict on chosen positions in the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standmark.cli.words.lines import wrapped
from standmark.cli.words.naming import lens_words, percent, place_words
from standmark.cli.words.spots import short_when
from standmark.cli.words.strengths import WIDTH
from standmark.cli.words.summary import caution_words, heading
from standmark.cli.words.units import Units, height_words
from standmark.cli.words.where.place import where
from standmark.optimizer.match.match import Match
from standmark.optimizer.scoring.change import Change
from standmark.optimizer.scoring.event_sums import EventScore
from standmark.optimizer.scoring.verdict import Verdict
from standmark.optimizer.value.quality import FACTORS
from standmark.optimizer.value.targets import moment_weights
from standmark.optimizer.work.assignment import PeriodPlan

MOST_CHANGES = 4
SAID = {"size": "large", "clear": "not hidden", "held": "in frame", "light": "light", "faces": "faces"}
EVEN = 5e-4  # differences under this are none
WORTH = "Worth: of everything in the match that is worth filming; less where only backs show."


def verdict_text(verdict: Verdict, events: dict[str, EventScore] | None = None, *, units: Units = Units.METRIC) -> str:
    """Write a verdict as plain text."""
    return "\n".join(_lines(verdict, events, units)) + "\n"


def signed(difference: float) -> str:
    """Difference of two shares in per cent: "+1.2 %", "-0.4 %", "0".

    >>> signed(0.0123), signed(-0.004), signed(0.0004)
    ('+1.2 %', '-0.4 %', '0')
    """
    return "0" if abs(difference) < EVEN else f"{100 * difference:+.1f} %"


def got_words(seen: float, faces: float, of: str = "the match") -> str:
    """What one gets of the match, and how much of that shows faces: "66 % of the match, 45 % of that with faces"."""
    return f"{percent(seen)} of {of}, {percent(faces)} of that with faces"


def _lines(verdict: Verdict, events: dict[str, EventScore] | None, units: Units) -> Iterator[str]:
    match = verdict.score.match
    yield heading(match)
    yield from wrapped(headline(verdict), WIDTH)
    yield from wrapped(WORTH, WIDTH)
    for breach in dict.fromkeys((b.camera, b.text) for b in verdict.breaches):
        when = short_when(
            (b.period for b in verdict.breaches if (b.camera, b.text) == breach), len(match.sport.periods)
        )
        who = f"camera {breach[0]} " if breach[0] else ""
        yield from _wrapped(f"! Not allowed{f' ({when})' if when else ''}: {who}{breach[1]}", "  ")
    for together in alike(verdict.score.periods):
        yield ""
        yield from _period_lines(verdict, together, units)
    yield ""
    yield from _change_lines(verdict, units)
    yield ""
    yield from _habit_lines(verdict)
    if events:
        yield ""
        yield from event_lines(verdict, events)
    yield ""
    yield from wrapped(caution_words(verdict.score.match), WIDTH)


def headline(verdict: Verdict) -> str:
    """What these positions get, and what they are worth beside the best plan."""
    mine = f"These positions get {got_words(verdict.score.seen, verdict.score.faces)}."
    best = verdict.optimum
    if best is None or verdict.loss is None:
        return f"{mine} They weren't compared with the best plan."
    how = "best plan under the same rules" + ("" if best.proven else " found so far (not proven)")
    if abs(verdict.loss) < EVEN:
        return f"{mine} That's as good as the {how}."
    theirs = f"The {how} gets {percent(best.seen)}, {percent(best.faces)} of that with faces: worth"
    if verdict.loss < 0:
        why = "these stand where no camera may" if verdict.breaches else "these stand between the places it tried"
        return f"{mine} {theirs} {-100 * verdict.loss:.1f} % less: {why}."
    return f"{mine} {theirs} {100 * verdict.loss:.1f} % more."


def alike(periods: Sequence[PeriodPlan]) -> list[list[int]]:
    """Indices of periods with the very same places and coverage."""
    groups: dict[object, list[int]] = {}
    for index, period in enumerate(periods):
        key = round(period.coverage, 9), tuple((a.spot, a.lens) for a in period.assignments)
        groups.setdefault(key, []).append(index)
    return list(groups.values())


def _period_lines(verdict: Verdict, together: list[int], units: Units) -> Iterator[str]:
    match, period = verdict.score.match, verdict.score.periods[together[0]]
    periods = verdict.score.periods
    when = short_when((periods[i].period.name for i in together), len(periods)) or "All match"
    yield from wrapped(f"{when}: you get {got_words(period.seen, period.faces, 'it')}", WIDTH, rest="  ")
    for assignment in period.assignments:
        spot = assignment.spot
        place = place_words(spot, match, units=units)
        yield from _wrapped(f"Camera {assignment.camera}: {lens_words(assignment)}, {place}", "  ")
    yield ""
    yield from table(
        ["what it gets, on average", *(SAID[f] for f in FACTORS), "weakest"],
        [[f"camera {a.camera}", *(percent(a.factors[f]) for f in FACTORS), SAID[a.limit]] for a in period.assignments],
    )
    yield ""
    best = None if verdict.optimum is None else verdict.optimum.periods[together[0]].seen_by_moment
    yield from table(*_moment_table(match, period, best))


def _moment_table(match: Match, period: PeriodPlan, best: dict[str, float] | None) -> tuple[list[str], list[list[str]]]:
    """Key moments in the order of what they are worth; a best that is lower there is higher elsewhere."""
    weight = moment_weights(match)
    moments = sorted(match.sport.moments, key=lambda m: -weight[m.key])
    head = ["key moment", "you get"] + ([] if best is None else ["best plan gets", "apart"])
    rows = []
    for moment in moments:
        if moment.key in period.seen_by_moment:
            share = period.seen_by_moment[moment.key]
            more = [] if best is None else [percent(best[moment.key]), signed(share - best[moment.key])]
            rows.append([moment.name, percent(share), *more])
    return head, rows


def change_words(change: Change, match: Match, *, several_periods: bool, units: Units = Units.METRIC) -> str:
    """Say a change so that someone can make it."""
    camera = f"camera {change.station.camera.name}"
    spot = change.station.spot
    when = f" ({short_when((p.name for p in change.periods), -1)})" if several_periods else ""
    if change.kind == "lens":
        what = f"take {change.station.outfit.lens.name} instead of {change.before.outfit.lens.name}"
    elif change.kind == "height":
        lower, upper = (height_words(s.spot.z_m, units) for s in (change.before, change.station))
        what = f"lens {upper} up instead of {lower}"
    else:
        place = where(spot, match, units=units)
        what = f"stand {place.at}: {place.detail}, lens {height_words(spot.z_m, units)} up"
    return f"{camera}{when}: {what}"


def _change_lines(verdict: Verdict, units: Units) -> Iterator[str]:
    if not verdict.changes:
        yield "No single change of place, height or lens is worth anything."
        return
    match = verdict.score.match
    yield "What to change first (each by itself, the rest as it is), and what it's worth"
    for change in verdict.changes[:MOST_CHANGES]:
        several = len(change.periods) < len(match.sport.periods)
        words = change_words(change, match, several_periods=several, units=units)
        yield from _wrapped(f"{signed(change.gain):>8}  {words}", "  ", "            ")


def _habit_lines(verdict: Verdict) -> Iterator[str]:
    n = len(verdict.score.match.cameras)
    kit = "" if n == 1 else f" (one camera, the kit of {verdict.score.match.cameras[0].name})"
    rows = []
    for habit in verdict.habits:
        is_alike = len(habit.choice[0]) == n
        ahead = signed(verdict.score.coverage - habit.coverage) if is_alike else ""
        gain = signed(verdict.optimum.coverage - habit.coverage) if is_alike and verdict.optimum else ""
        mark = " *" if habit.refused else ""
        rows.append([habit.name + mark, percent(habit.seen), percent(habit.faces), ahead, gain])
    head = [f"what people usually do{kit}", "you get", "faces", "yours adds", "best adds"]
    yield from table(head, rows)
    for habit in verdict.habits:
        if habit.refused:
            yield from _wrapped(f"* not allowed here: {habit.name} ({habit.refused})", "  ")


def event_lines(verdict: Verdict, events: dict[str, EventScore]) -> Iterator[str]:
    """Table of real events: who captures how many usably, and what the zones promise for them."""
    mine = events["choice"]
    of_matches = f" of {mine.n_matches} matches" if mine.n_matches else ""
    outside = percent(mine.outside)
    yield f"Real events: {mine.n_events:,}{of_matches}; {outside} of them outside the zones of their moment"
    names = {"choice": "these positions", "optimum": "the best plan"} | {h.key: h.name for h in verdict.habits}
    rows = []
    for key, score in events.items():
        interval = "" if score.interval is None else "{:.1f} to {:.1f}".format(*(100 * x for x in score.interval))
        rows.append([names[key], f"{100 * score.captured:.1f} %", interval, f"{100 * score.promised:.1f} %"])
    yield from table(["filmed well enough to use", "share", "95 % interval by match", "promised by the zones"], rows)
    if mine.n_matches < 2:
        yield "  (no interval: it needs a column match_id with two matches or more)"


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Lay a small table out as text: first column left, numbers right, a last column of words left."""
    widths = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head))]
    for row in (head, *rows):
        cells = [row[0].ljust(widths[0])]
        for i in range(1, len(row)):
            is_words = not any(c.isdigit() for r in rows for c in r[i])
            cells.append(row[i].ljust(widths[i]) if is_words else row[i].rjust(widths[i]))
        yield "  " + "  ".join(cells).rstrip()


def _wrapped(text: str, first: str, rest: str | None = None) -> list[str]:
    return wrapped(text, WIDTH, first=first, rest=first + "  " if rest is None else rest)
