"""A verdict on chosen positions as a JSON document; docs/scores.md lists every key."""

from __future__ import annotations

from typing import Any

from standmark.cli.exports.plan_json import period_document
from standmark.cli.words.naming import place_words
from standmark.optimizer.match.match import Match
from standmark.optimizer.scoring.change import Change
from standmark.optimizer.scoring.event_sums import EventScore
from standmark.optimizer.scoring.habit import Habit
from standmark.optimizer.scoring.verdict import Verdict
from standmark.optimizer.work.assignment import Station

SCHEMA = "standmark.score/1"


def verdict_document(verdict: Verdict, events: dict[str, EventScore] | None = None) -> dict[str, Any]:
    """Lay a verdict out as plain data; coverage to twelve places, other shares to six."""
    match, best = verdict.score.match, verdict.optimum
    return {
        "schema": SCHEMA,
        "sport": match.sport.key,
        "preset": match.sport.preset,
        "title": match.title,
        "venue": match.venue.name,
        "deliverable": match.deliverable.key,
        "coverage": round(verdict.score.coverage, 12),
        "seen": round(verdict.score.seen, 6),
        "faces": round(verdict.score.faces, 6),
        "loss": None if verdict.loss is None else round(verdict.loss, 12),
        "optimum": None if best is None else {
            "coverage": round(best.coverage, 12),
            "upper_bound": round(best.upper_bound, 12),
            "seen": round(best.seen, 6),
            "faces": round(best.faces, 6),
            "proven": best.proven,
            "periods": [period_document(period, match) for period in best.periods],
        },
        "periods": [period_document(period, match) for period in verdict.score.periods],
        "not_allowed": [{"camera": b.camera, "period": b.period, "text": b.text} for b in verdict.breaches],
        "changes": [_change(change, match) for change in verdict.changes],
        "habits": [_habit(habit, match) for habit in verdict.habits],
        "events": None if events is None else {key: event_document(score) for key, score in events.items()},
    }  # fmt: skip


def event_document(score: EventScore) -> dict[str, Any]:
    """Lay the score on real events out as plain data."""
    return {
        "events": score.n_events,
        "matches": score.n_matches,
        "captured": round(score.captured, 6),
        "promised": round(score.promised, 6),
        "interval_95": None if score.interval is None else [round(x, 6) for x in score.interval],
        "outside_zones": round(score.outside, 6),
        "by_moment": {
            key: {
                "weight": round(score.weight_by_moment[key], 6),
                "captured": round(captured, 6),
                "promised": round(score.promised_by_moment[key], 6),
            }
            for key, captured in score.captured_by_moment.items()
        },
    }


def _change(change: Change, match: Match) -> dict[str, Any]:
    return {
        "kind": change.kind,
        "gain": round(change.gain, 6),
        "periods": [period.key for period in change.periods],
        "to": _station(change.station, match),
        "from": _station(change.before, match),
    }


def _habit(habit: Habit, match: Match) -> dict[str, Any]:
    return {
        "key": habit.key,
        "name": habit.name,
        "coverage": round(habit.coverage, 6),
        "seen": round(habit.seen, 6),
        "faces": round(habit.faces, 6),
        "refused": habit.refused,
        "periods": [
            {"key": period.key, "cameras": [_station(station, match) for station in stations]}
            for period, stations in zip(match.sport.periods, habit.choice, strict=True)
        ],
    }


def _station(station: Station, match: Match) -> dict[str, Any]:
    spot = station.spot
    place = {"x_m": spot.x_m, "y_m": spot.y_m, "z_m": spot.z_m, "area": spot.area, "words": place_words(spot, match)}
    return {"camera": station.camera.name, "lens": station.outfit.lens.name, "position": place}
