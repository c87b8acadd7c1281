"""The form of `[crew]`: one line a person, by name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Annotated

from pydantic import AfterValidator, Field, model_validator

from standmark.geometry.errors import shown
from standmark.optimizer.match.crew import CAMERA, GROUND, LEAD, ROLES, Person, operator_of, person_with
from standmark.sports.toml.file import Problem, did_you_mean
from standmark.sports.toml.table import Name, Table, known_word

PHONE = re.compile(r"\+?[0-9(][0-9 ()./-]{2,28}(?: ?(?:x|ext\.?) ?[0-9]{1,6})?")
MOST_PEOPLE = 24


def _phone(words: str) -> str:
    clean = " ".join(words.split())
    if not PHONE.fullmatch(clean):
        raise ValueError('not a telephone number; write digits, such as "01632 960001" or "+44 1632 960001"')
    return clean


Phone = Annotated[str, AfterValidator(_phone)]


class PersonTable(Table):
    """One person: `"Name" = { role = "lead", phone = "01632 960001", camera = "A" }`."""

    role: Annotated[str, known_word(ROLES)] | None = None  # camera, if one is given
    phone: Phone | None = None
    camera: Name | None = None

    @model_validator(mode="after")
    def _does_something(self) -> PersonTable:
        if self.role is None and self.camera is None:
            raise ValueError(f'says nothing of what this person does; add camera = "A", or a role: {", ".join(ROLES)}')
        if self.role == CAMERA and self.camera is None:
            raise ValueError('has the role "camera" but no camera; add camera = "A"')
        return self


CrewTable = Annotated[dict[Name, PersonTable], Field(max_length=MOST_PEOPLE)]


def read_crew(
    table: CrewTable, *, contact: str | None, cameras: Sequence[str]
) -> tuple[tuple[Person, ...], list[Problem]]:
    """List the people of a match in the order of the file, and what is wrong between them.

    Parameters
    ----------
    contact : `contact` of `[day]`, which stands for a person at the ground
    cameras : names that a camera of this match can have
    """
    crew = tuple(Person(name, who.role or CAMERA, who.phone or "", who.camera) for name, who in table.items())
    problems = []
    for index, person in enumerate(crew):
        path, before = ("crew", person.name), crew[:index]
        if person.camera is not None and person.camera not in cameras:
            hint = did_you_mean(person.camera, list(cameras))
            message = f'no such camera (got "{shown(person.camera)}"); allowed: {", ".join(cameras)}{hint}'
            problems.append(Problem((*path, "camera"), message))
        elif person.camera is not None and (other := operator_of(before, person.camera)):
            message = f'{shown(other.name)} has camera "{person.camera}" already; allowed: one person a camera'
            problems.append(Problem((*path, "camera"), message))
        if person.role == LEAD and (other := person_with(before, LEAD)):
            problems.append(Problem((*path, "role"), f"{shown(other.name)} leads already; allowed: one lead"))
    if contact is not None and person_with(crew, GROUND):
        problems.append(Problem(("day", "contact"), "[crew] names somebody at the ground already; leave one out"))
    at_ground = (Person(contact, GROUND),) if contact is not None else ()
    return (*crew, *at_ground), problems
