"""What a change brings along, so that what was true stays true: usual places kept, another sport's dropped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from standmark.cli.open.document import Edit
from standmark.geometry.errors import InputError
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.match_schema import MatchFile
from standmark.optimizer.match.usual_areas import default_areas, raised_areas
from standmark.sports.competition import profile_keys
from standmark.sports.library import load_sport
from standmark.sports.sport import Sport


def with_consequences(edits: Sequence[Edit], told: dict[str, Any], match: Match | None) -> tuple[Edit, ...]:
    """Return the edits of a change with those that it brings along.

    Parameters
    ----------
    told : what the file said before the change, part by part
    match : before the change; None: there was no sport
    """
    more = [*_kept_usual(edits, told, match), *_of_another_sport(edits, told)]
    return (*more, *edits)


def _kept_usual(edits: Sequence[Edit], told: dict[str, Any], match: Match | None) -> Iterator[Edit]:
    """A first area of one's own takes the place of the usual ones in a file that does not name them: name them."""
    adds = any(edit.do == "add" and edit.part == "allowed" for edit in edits)
    says = any(edit.part == "venue" and edit.field == "usual_places" for edit in edits)
    if adds and not says and match is not None and not told["allowed"] and "usual_places" not in told["venue"]:
        yield Edit("put", "venue", "usual_places", [area.key for area in default_areas(match.sport)])


def _of_another_sport(edits: Sequence[Edit], told: dict[str, Any]) -> Iterator[Edit]:
    """Another sport or preset: what only the old one knows is taken out."""
    changed = {edit.field: edit.value for edit in edits if edit.part == "match" and edit.do == "put"}
    before = {key: told["match"].get(key) for key in ("sport", "sport_file")}
    if not {"sport", "preset", "sport_file"} & set(changed) or not any(before.values()):
        return
    wanted = changed.get("sport") or before["sport"]
    put = {(edit.part, edit.field) for edit in edits}
    is_other = any(changed.get(key, named) != named for key, named in before.items())
    drops: list[tuple[str, str]] = []
    if is_other:
        drops += [("match", key) for key in ("preset", "rules", "sport", "sport_file")] + [("venue", "usual_places")]
    drops += [("venue", key) for key in ("length_m", "width_m", "length", "width", "length_ft", "width_ft")]
    for part, field in drops:
        if (part, field) not in put and field in told[part]:
            yield Edit("put", part, field, None)
    try:
        sport = load_sport(str(wanted), preset=None if is_other else changed.get("preset"))
    except (InputError, TypeError):
        return
    yield from _unknown(told, sport)


def _unknown(told: dict[str, Any], sport: Sport) -> Iterator[Edit]:
    places = {area.key for area in (*default_areas(sport), *raised_areas(sport))}
    own = {entry.get("name") for entry in told["allowed"]}
    for name in told["answers"]:
        if name not in places and name not in own and not any(key.startswith(f"{name}-") for key in places):
            yield Edit("put", "answers", name, None)
    for entry in told["allowed"]:
        if entry.get("what", None) not in (None, *places):
            yield Edit("put", entry["mark"], "what", None)
    moments = {moment.key for moment in sport.moments}
    for part in ("weights", "must_cover"):
        for key in told[part]:
            if key not in moments:
                yield Edit("put", part, key, None)
    things = {word for thing in sport.area.furniture for word in (thing.key, thing.name)}
    for entry in told["furniture"]:
        if entry.get("what") not in things:
            yield Edit("drop", entry["mark"])
    rules = told["match"].get("rules")
    if rules is not None and rules not in profile_keys(sport.key):
        yield Edit("put", "match", "rules", None)


def own_marks(tables: MatchFile | None, marks: Sequence[int]) -> dict[str, str]:
    """Mark of each area of the file, by its name."""
    if tables is None:
        return {}
    return {entry.name: f"allowed:{mark}" for entry, mark in zip(tables.venue.allowed, marks, strict=True)}
