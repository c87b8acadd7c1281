"""Letters that paper cannot show: which, and where they stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from standmark.cli.drawing.text_size import missing_letters
from standmark.optimizer.match.match import Match
from standmark.optimizer.standard.standard import Standard

MOST_PLACES = 5
MOST_LETTERS = 12


def match_texts(match: Match) -> Iterator[tuple[str, str]]:
    """Give every text of a match that its user chose: where it stands, and the text."""
    venue = match.venue
    yield "the title", match.title
    yield "the name of the venue", venue.name
    yield "the sport", "".join([match.sport.name, *(moment.name for moment in match.sport.moments)])
    yield "the names of the sides", "".join(venue.side_names.values())
    things = {
        "allowed area": [area.name for area in venue.allowed],
        "forbidden area": [area.name for area in venue.forbidden],
        "obstacle": [obstacle.name for obstacle in venue.obstacles],
    }
    for kind, names in things.items():
        for index, name in enumerate(names, start=1):
            yield f"{kind} {index}", name
    for index, camera in enumerate(match.cameras, start=1):
        yield f"camera {index}", "".join([camera.name, *(lens.name for lens in camera.lenses)])


def record_texts(record: Mapping[str, Any]) -> str:
    """Everything on the sheet of a ground's record that its user chose, in one text."""
    said = [fix["words"] for position in record["positions"] for fix in position["fixes"]]
    return "".join([record["name"], record["sport_name"], *record["side_names"].values(), *said])


def standard_text(standard: Standard) -> str:
    """Everything that a league's standard puts on paper, in one text."""
    return "".join([standard.name, standard.edition, *(role.name + role.purpose for role in standard.roles)])


def letters_warning(texts: Iterable[tuple[str, str]]) -> str | None:
    """Say which letters the paper font lacks, and where; None if it has all.

    Parameters
    ----------
    texts : where a text stands, and the text

    >>> letters_warning([("the title", "Łódź–Ñandú"), ("camera 1", "A")])
    >>> letters_warning([("the title", "Cup 🏆"), ("the name of the venue", "球場")])
    'the paper font has no 🏆 (the title), 球場 (the name of the venue); boxes stand there on paper and in pictures'
    """
    missing = [(where, missing_letters(text)[:MOST_LETTERS]) for where, text in texts]
    missing = [(where, letters) for where, letters in missing if letters]
    if not missing:
        return None
    said = ", ".join(f"{letters} ({where})" for where, letters in missing[:MOST_PLACES])
    n_more = len(missing) - MOST_PLACES
    more = f" and in {n_more} more place{'' if n_more == 1 else 's'}" if n_more > 0 else ""
    return f"the paper font has no {said}{more}; boxes stand there on paper and in pictures"
