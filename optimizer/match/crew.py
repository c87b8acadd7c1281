"""The people of a match: who leads, who films with which camera, whom to ask at the ground, and their telephones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LEAD, CAMERA, GROUND = "lead", "camera", "ground"
ROLES = (LEAD, CAMERA, "helper", GROUND, "steward", "first aid", "home side", "away side")


@dataclass(frozen=True)
class Person:
    """One person of a match."""

    name: str
    role: str  # one of ROLES
    phone: str = ""
    camera: str | None = None  # name of the camera that the person operates


def reach_words(person: Person | None) -> str:
    """Return name and telephone of a person; "" where nobody said."""
    return "" if person is None else ", ".join(filter(None, (person.name, person.phone)))


def person_with(crew: Sequence[Person], role: str) -> Person | None:
    """Return the first person with a role."""
    return next((person for person in crew if person.role == role), None)


def operator_of(crew: Sequence[Person], camera: str) -> Person | None:
    """Return whoever films with a camera."""
    return next((person for person in crew if person.camera == camera), None)
