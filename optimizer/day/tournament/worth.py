"""What each match is worth with which cameras: from its own plan, made once for every distinct match and kit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import combinations_with_replacement

from standmark.optimizer.day.tournament.tournament import Fixture, Tournament
from standmark.optimizer.match.match import CAMERA_NAMES
from standmark.optimizer.planning import Plan, plan

Mix = tuple[int, ...]  # kits at one match, rising
Plans = Mapping[tuple[str, Mix], Plan]
Progress = Callable[[str], None]


def mixes_of(tournament: Tournament, fixture: Fixture, *, extra: Mapping[int, int] | None = None) -> tuple[Mix, ...]:
    """Every choice of kits that could film a match, the smallest first.

    Parameters
    ----------
    extra : people of each kit who could come in addition
    """
    has = Counter(member.kit for member in tournament.members) + Counter(extra or {})
    return tuple(
        mix
        for size in range(1, fixture.most_cameras + 1)
        for mix in combinations_with_replacement(sorted(has), size)
        if all(count <= has[kit] for kit, count in Counter(mix).items())
    )


def match_plans(tournament: Tournament, *, progress: Progress | None = None) -> dict[tuple[str, Mix], Plan]:
    """Plan every distinct match with every choice of kits, one more person of each kit included.

    The sun is left aside, so that a match has the same worth in every slot.
    """
    plans: dict[tuple[str, Mix], Plan] = {}
    extra = {member.kit: 1 for member in tournament.members}
    for fixture in tournament.fixtures:
        for mix in mixes_of(tournament, fixture, extra=extra):
            if (fixture.source, mix) in plans:
                continue
            if progress is not None:
                progress(f"planning {fixture.source} with {' and '.join(tournament.kits[kit].name for kit in mix)}")
            cameras = tuple(
                replace(tournament.kits[kit].camera, name=name) for kit, name in zip(mix, CAMERA_NAMES, strict=False)
            )
            plans[fixture.source, mix] = plan(replace(fixture.match, cameras=cameras, start=None, crew=()))
    return plans


def worth_table(plans: Plans) -> dict[tuple[str, Mix], float]:
    """Share of what a match has to offer that each choice of kits captures, 0..1.

    A larger choice is never worth less than a part of it, whatever rounding says.
    """
    table: dict[tuple[str, Mix], float] = {}
    for source, mix in sorted(plans, key=lambda key: len(key[1])):
        parts = (mix[:i] + mix[i + 1 :] for i in range(len(mix)))
        smaller = [table.get((source, part), 0.0) for part in parts]
        table[source, mix] = max(plans[source, mix].coverage, *smaller)
    return table
