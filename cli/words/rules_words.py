"""Rules of competitions in plain sentences: what one allows, what it takes from a plan, where one contradicts it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from standmark.optimizer.match.competition_rules import objection
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.usual_areas import default_areas
from standmark.sports.competition import OWN_WORD, Profile, sport_profiles
from standmark.sports.place_kind import POSTURES, SUPPORTS
from standmark.sports.sport import Sport

if TYPE_CHECKING:
    from standmark.optimizer.planning import Plan

MOVES = {"free": "", "half-time": "Change ends only at half-time.", "never": "Stay in one place for the whole match."}
SUPPORT_WORDS = {"tripod": "a tripod", "monopod": "a monopod", "hands": "your hands"}


def profile_sentences(profile: Profile) -> Iterator[str]:
    """What a profile asks of those who film, one sentence each."""
    if not profile.ground:
        yield "Film from raised places only."
    if profile.only:
        yield f"Film only from: {'; '.join(name for name, _ in profile.only)}."
    for refused in profile.refused:
        is_distance = refused.reason.startswith("at least")
        yield f"Stay {refused.reason}." if is_distance else f"Off limits: {refused.name} ({refused.reason})."
    if not profile.raised:
        yield "No raised places."
    if profile.postures != POSTURES:
        yield f"You may {' or '.join(profile.postures)}."
    if profile.supports != SUPPORTS:
        yield f"Film from {' or '.join(SUPPORT_WORDS[s] for s in profile.supports)} only."
    if MOVES[profile.moves]:
        yield MOVES[profile.moves]
    if profile.wear:
        yield f"Wear {profile.wear}."
    yield from profile.say


def first_rules(plan: Plan) -> str:
    """Say in a sentence or two which rules a plan keeps to, and what to wear; "" without rules."""
    profile = plan.match.profile
    if profile is None:
        return ""
    wear = f" Wear {profile.wear}." if profile.wear else ""
    closed = "; what they close: add --more" if plan.match.venue.removed else ""
    return f"Kept to the rules of {profile.name}{closed}.{wear}"


def n_objecting(plan: Plan) -> int:
    """Count the published rules of competitions that contradict a plan made without rules."""
    told = () if plan.advice is None or plan.match.profile is not None else plan.advice.objections
    return len({said.profile for said in told})


def rules_lines(plan: Plan) -> Iterator[str]:
    """Sentences of a plan about the rules of competitions: those it keeps to, or those that contradict it."""
    match = plan.match
    if match.profile is not None:
        yield f"Kept to the rules of {match.profile.name}. {OWN_WORD}"
        if match.venue.removed:
            yield f"Not allowed: {removed_words(match)}."
        yield from (MOVES[match.profile.moves],) if MOVES[match.profile.moves] else ()
        yield from (f"Wear {match.profile.wear}.",) if match.profile.wear else ()
    elif plan.advice is not None and plan.advice.objections:
        first, *others = plan.advice.objections
        more = len({said.profile for said in others} - {first.profile})
        who = f"camera {first.camera}" if len(match.cameras) > 1 else "this"
        yield f"The rules of {first.name} don't allow {who}: {', '.join(first.reasons)}."
        if more:
            those = f"those of {more} other competitions" if more > 1 else "those of one other competition"
            yield f"Nor do {those}: standmark rules lists them."
        yield OWN_WORD


def removed_words(match: Match) -> str:
    """Name the places that the rules close, those with one reason together."""
    reasons: dict[str, list[str]] = {}
    for place in match.venue.removed:
        reasons.setdefault(place.reason, []).append(place.name.split(" (")[0])
    return "; ".join(f"{', '.join(dict.fromkeys(names))} ({reason})" for reason, names in reasons.items())


def brief_rules(sport: Sport) -> Iterator[tuple[str, str]]:
    """Each published profile of a sport, and the usual places that it closes."""
    for profile in sport_profiles(sport):
        closed = [area.name.split(" (")[0] for area in default_areas(sport) if objection(area, profile)]
        told = " ".join(profile_sentences(profile))
        shut = f" Closes: {', '.join(dict.fromkeys(closed))}." if closed else ""
        yield profile.name, f"{told}{shut} ({profile.key})"
