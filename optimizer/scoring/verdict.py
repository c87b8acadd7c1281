"""Everything there is to say about chosen positions: `judge(match, choice)` is the function to read first here."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan, plan
from standmark.optimizer.scoring.breach import Breach, breaches
from standmark.optimizer.scoring.change import Change, best_changes
from standmark.optimizer.scoring.choice import PeriodTask, Score, Stations, choice_score, period_tasks, plan_choice
from standmark.optimizer.scoring.event_sums import EventScore, add, event_score, no_events
from standmark.optimizer.scoring.events import Events, capture, event_kinds
from standmark.optimizer.scoring.habit import Habit, plain_habits


@dataclass(frozen=True)
class Verdict:
    """A choice against the rules, the proven optimum, single changes and plain habits."""

    choice: tuple[Stations, ...]  # by period
    score: Score
    breaches: tuple[Breach, ...]
    optimum: Plan | None  # under the same rules, with the same kit; None when it was not asked for
    changes: tuple[Change, ...]  # best first
    habits: tuple[Habit, ...]

    @property
    def loss(self) -> float | None:
        """Coverage that the choice lacks to the optimum; below 0 only when it breaks rules or leaves the areas."""
        return None if self.optimum is None else self.optimum.coverage - self.score.coverage


def judge(
    match: Match,
    choice: Sequence[Stations],
    *,
    tasks: Sequence[PeriodTask] | None = None,
    with_optimum: bool = True,
    time_limit_s: float | None = None,
    progress: Callable[[str], None] | None = None,
) -> Verdict:
    """Judge chosen positions.

    Parameters
    ----------
    match : with one camera for each that has a place in the choice
    choice : for each period one station for each camera
    time_limit_s : for the search of the optimum, each stage
    """
    say = progress or (lambda line: None)
    tasks = tasks or period_tasks(match)
    scored = choice_score(match, choice, tasks=tasks)
    optimum = plan(match, time_limit_s=time_limit_s, progress=progress) if with_optimum else None
    say("looking for the change that gains most")
    changes = best_changes(match, choice, tasks)
    say("trying plain habits")
    return Verdict(
        choice=tuple(choice),
        score=scored,
        breaches=breaches(match, choice, scored.periods),
        optimum=optimum,
        changes=changes,
        habits=plain_habits(match, tasks),
    )


def judge_by_events(
    verdict: Verdict,
    parts: Iterable[Events],
    *,
    tasks: Sequence[PeriodTask],
    seed: int = 1,
    progress: Callable[[str], None] | None = None,
) -> dict[str, EventScore]:
    """Score a choice, the optimum and every habit on the same real events, in one pass over them.

    Returns
    -------
    by "choice", "optimum" (when there is one) and the keys of the habits

    Raises
    ------
    ValueError : the events have no weight
    """
    match = verdict.score.match
    scores = {"choice": (verdict.choice, verdict.score)}
    if verdict.optimum is not None:
        best = plan_choice(verdict.optimum)
        scores["optimum"] = best, choice_score(match, best, tasks=tasks)
    for habit in verdict.habits:
        cameras = tuple(station.camera for station in habit.choice[0])
        scores[habit.key] = habit.choice, choice_score(replace(match, cameras=cameras), habit.choice, tasks=tasks)
    sums = {key: no_events(len(match.sport.moments)) for key in scores}
    say = progress or (lambda line: None)
    n_events = 0
    for events in parts:
        n_events += len(events.weight)
        say(f"scoring events: {n_events:,}")
        kinds = event_kinds(match, events)
        for key, (choice, scored) in scores.items():
            captured = capture(match, choice, scored.periods, tasks, events, kinds=kinds)
            sums[key] = add(sums[key], events, kinds, captured)
    moment_keys = tuple(moment.key for moment in match.sport.moments)
    return {key: event_score(own, moment_keys, seed=seed) for key, own in sums.items()}
