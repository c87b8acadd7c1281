"""Kinds of moments as people say them, what a camera gets of them, and which matter most."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from standmark.cli.words.lines import capital
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.duty import Duty, faces_share
from standmark.sports.sport import KeyMoment, MomentWords, Period, Sport
from standmark.sports.timeline import length_shares

MUST_COUNTS = 2.0  # a moment that must not be missed counts so many times when the most important ones are listed
OTHER = {"+x": "-x", "-x": "+x"}


@dataclass(frozen=True)
class Taken:
    """One kind of moment at one end, over some periods, and how much of it is captured."""

    moment: KeyMoment
    end: str  # "attack": where our side attacks; "other": where it defends; "+x", "-x": an end; "": no matter
    weight: float  # of all that is worth filming in these periods
    captured: float  # share that is captured usably
    faces: float  # share of what is captured that shows faces
    takers: tuple[str, ...]  # cameras that have it first

    @property
    def rank(self) -> float:
        """What it is worth, twice for what must not be missed."""
        return self.weight * (MUST_COUNTS if self.moment.must else 1.0)


def moment_words(sport: Sport, moment: KeyMoment) -> MomentWords:
    """Return the sport's own words for a kind of moment; where it has none, words made of its name and picture."""
    known = sport.brief.moments.get(moment.key)
    if known is not None:
        return known
    first = moment.picture.split(";")[0].split(":")[0].split(",")[0].rstrip(".")
    return MomentWords(moment.name.lower(), first[:1].lower() + first[1:], "faces and the bench")


def moment_title(sport: Sport, moment: KeyMoment) -> str:
    """Short name of a kind of moment that no other of its sport has: "Corner kick", or "Corner deliveries"."""
    name = moment_name(moment)
    is_shared = sum(moment_name(other) == name for other in sport.moments) > 1
    plural = moment_words(sport, moment).plural
    return capital(plural) if is_shared else name


def moment_name(moment: KeyMoment) -> str:
    """Short name of a kind of moment.

    "Corner kick, contest in the area" -> "Corner kick"; "Tackle or header in midfield" -> "Tackle or header".
    """
    name = moment.name.split(",")[0].split(":")[0].removesuffix(" and ruck")
    for word in (
        " in midfield",
        " from the wing",
        " through midfield",
        " before kick-off",
        " from the baseline",
        " inside 50",
    ):
        name = name.removesuffix(word)
    return name


def attacked_end(match: Match, period: Period) -> str | None:
    """End that our side attacks in a period, "+x" or "-x"; None where both sides matter alike, or it isn't known."""
    if match.cover != "ours" or match.first_attack == "unknown" or period.attack in ("both", "same"):
        return None
    return OTHER[match.first_attack] if period.attack == "swapped" else match.first_attack


def taken_moments(plan: Plan, periods: Iterable[str] | None = None, *, camera: str | None = None) -> list[Taken]:
    """Gather what is captured of each kind of moment at each end, most important first.

    Parameters
    ----------
    periods : keys of the periods; None: all
    camera : only what this camera has first; None: all
    """
    keys = {p.period.key for p in plan.periods} if periods is None else set(periods)
    shares = length_shares(p.period for p in plan.periods)
    groups: dict[tuple[str, str], list[tuple[float, Duty]]] = {}
    for share, period in zip(shares, plan.periods, strict=True):
        if period.period.key not in keys:
            continue
        ours = attacked_end(plan.match, period.period)
        for duty in period.duties:
            if camera is None or duty.primary == camera:
                end = _end(duty, ours)
                groups.setdefault((duty.moment, end), []).append((float(share), duty))
    moments = {m.key: m for m in plan.match.sport.moments}
    taken_by_worth = [_taken(moments[key], end, parts) for (key, end), parts in groups.items()]
    return sorted(taken_by_worth, key=lambda taken: (-taken.rank, taken.moment.key, taken.end))


def _end(duty: Duty, ours: str | None) -> str:
    if duty.attack is None:
        return ""
    return duty.attack if ours is None else "attack" if duty.attack == ours else "other"


def _taken(moment: KeyMoment, end: str, parts: list[tuple[float, Duty]]) -> Taken:
    weight = sum(share * duty.weight for share, duty in parts)
    captured = sum(share * duty.weight * duty.seen for share, duty in parts)
    shown = sum(share * duty.weight * duty.seen * duty.faces for share, duty in parts)
    takers = tuple(dict.fromkeys(duty.primary for _, duty in parts))
    return Taken(moment, end, weight, captured / weight if weight else 0.0, faces_share(captured, shown), takers)


def both_ends(first: Taken, second: Taken) -> Taken:
    """Put together what is captured of one kind of moment at two ends."""
    weight = first.weight + second.weight
    captured = first.weight * first.captured + second.weight * second.captured
    shown = sum(t.weight * t.captured * t.faces for t in (first, second))
    takers = tuple(dict.fromkeys(first.takers + second.takers))
    return Taken(first.moment, "", weight, captured / weight, faces_share(captured, shown), takers)


def end_words(end: str, match: Match) -> str:
    """Say at which end: "at the end you attack", "at the far end", "at the mill end"; "" where it doesn't matter."""
    known = {"": "", "attack": "at the end you attack", "other": "at the end you defend"}
    return known[end] if end in known else f"at the {match.venue.side_names[end]}"
