"""`standmark score --walk`: the cards and policies of cameras that roam, also on real sequences."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from standmark.cli.words.section import Section


def walk_verdict(match_file: Path | None, plan_file: Path | None, events_file: Path | None) -> list[dict[str, Any]]:
    """Judge the walk of each camera that roams in a match file.

    Parameters
    ----------
    plan_file : a plan.json whose cards are judged in place of this match's own
    events_file : sequences of real moments to go through

    Raises
    ------
    InputError : no camera roams, or a file is not sound
    """
    from standmark.cli.commands.options import load_match
    from standmark.cli.input.card_file import read_card
    from standmark.cli.input.sequences_file import read_sequences
    from standmark.geometry.errors import InputError
    from standmark.optimizer.choice.solve import solve_stages
    from standmark.optimizer.roam.plan import plan_follow
    from standmark.optimizer.roam.plays import match_plays
    from standmark.optimizer.scoring.walk import judged_card, line_goals, played_ways

    match = load_match(match_file, sport=None, preset=None, cameras=None)
    if not any(camera.roam for camera in match.cameras):
        raise InputError(f"{match_file}: no camera has roam; --walk judges cameras that walk with play")
    flow, walkers = match.sport.play_flow, [camera.name for camera in match.cameras if camera.roam]
    cards = {} if plan_file is None else {name: read_card(plan_file, name) for name in walkers}
    events = None
    if events_file is not None and flow is not None:
        events = read_sequences(events_file, match.sport, match_plays(flow))
    rows = []
    for follow in plan_follow(match, solve_stages(match)):
        ways = [{"name": m.name, "coverage": m.coverage, "walked_m": m.walked_m} for m in follow.methods]
        goal = None
        if plan_file is not None:
            lines = cards[follow.camera.name]
            goal = line_goals(follow.plays, follow.scenes[0].stations.xyz_m[:, :2], lines)
            coverage, walked_m = judged_card(follow, goal)
            ways.append({"name": "given", "coverage": coverage, "walked_m": walked_m})
        verdict: dict[str, Any] = {
            "camera": follow.camera.name,
            "ways": ways,
            "upper_bound": follow.upper_bound,
            "free": follow.free,
            "sequences": None,
        }
        if events is not None:
            verdict["sequences"] = {
                "events": len(events.moment),
                "ways": [
                    {"name": w.name, "coverage": w.coverage, "walked_m": None if w.name == "free" else w.walked_m}
                    for w in played_ways(match, follow, events, card=goal)
                ],
            }
        rows.append(verdict)
    return rows


NAMES = {
    "stand": "Standing still",
    "habit": "The usual habit",
    "card": "The card",
    "given": "The card given",
    "policy": "Best possible walk",
    "free": "If you could be everywhere at once",
}


def walk_sections(verdicts: list[dict[str, Any]]) -> list[Section]:
    """Put verdicts into words."""
    sections = []
    for verdict in verdicts:
        name = verdict["camera"]
        rows = _rows([*verdict["ways"], {"name": "free", "coverage": verdict["free"], "walked_m": None}])
        bound = f"No way to walk gets more than {100 * verdict['upper_bound']:.1f} %."
        columns = ("", "gets", "walks")
        sections.append(Section(f"walk-{name}", f"Camera {name}, walking with play", columns, rows, (bound,)))
        if verdict["sequences"] is not None:
            played = verdict["sequences"]
            title = f"Camera {name} on {played['events']} real moments"
            sections.append(Section(f"played-{name}", title, columns, _rows(played["ways"])))
    return sections


def _rows(ways: list[dict[str, Any]]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (NAMES[w["name"]], f"{100 * w['coverage']:.1f} %", "" if w["walked_m"] is None else f"{w['walked_m']:.0f} m")
        for w in ways
    )
