"""The people of a match: read strictly, every mistake in one line."""

import pytest

from standmark.geometry.errors import InputError
from standmark.optimizer.match.crew import operator_of, person_with, reach_words
from standmark.optimizer.match.read_match import read_match

CREW = """
"Wren Tarn" = { role = "lead", camera = "A", phone = "+44 1632 960001" }
"Ash Moss" = { camera = "B" }
"Hut" = { role = "ground", phone = "01632 960003 ext. 12" }
"""


def match_with(tmp_path, crew, *, cameras="AB", day=""):
    text = '[match]\nsport = "netball"\n' + "".join(f'[[camera]]\nname = "{name}"\n' for name in cameras)
    path = tmp_path / "match.toml"
    path.write_text(f"{text}[crew]\n{crew.strip()}\n{day}", encoding="utf-8")
    return read_match(path)


def test_everybody_is_found_by_role_and_camera(tmp_path):
    match = match_with(tmp_path, CREW)
    assert [(p.name, p.role, p.camera) for p in match.crew] == [
        ("Wren Tarn", "lead", "A"), ("Ash Moss", "camera", "B"), ("Hut", "ground", None),
    ]  # fmt: skip
    assert operator_of(match.crew, "B").name == "Ash Moss"
    assert reach_words(person_with(match.crew, "lead")) == "Wren Tarn, +44 1632 960001"
    assert reach_words(person_with(match.crew, "ground")) == "Hut, 01632 960003 ext. 12"
    assert reach_words(person_with(match.crew, "steward")) == ""


def test_contact_of_the_day_is_the_person_at_the_ground(tmp_path):
    match = match_with(tmp_path, '"Ash Moss" = { camera = "A" }', day='[day]\ncontact = "hut by the gate"\n')
    assert reach_words(person_with(match.crew, "ground")) == "hut by the gate"


@pytest.mark.parametrize(
    ("crew", "line", "words"),
    [
        ('"A B" = { camera = "C2" }', 8, 'no such camera (got "C2"); allowed: A, B, C, D'),
        ('"P" = { camera = "A" }\n"Q" = { camera = "A" }', 9, 'P has camera "A" already; allowed: one person a camera'),
        ('"P" = { role = "lead" }\n"Q" = { role = "lead" }', 9, "P leads already; allowed: one lead"),
        ('"P" = { phone = "01632 960001" }', 8, 'add camera = "A", or a role: lead, camera'),
        ('"P" = { role = "camera" }', 8, 'has the role "camera" but no camera; add camera = "A"'),
        ('"P" = { role = "leed" }', 8, 'did you mean "lead"?'),
        ('"P" = { role = "lead", phone = "ring Bob" }', 8, 'not a telephone number (got "ring Bob"); write digits'),
        ('"P" = { role = "lead", phone = 1632960001 }', 8, "must be text in quotes"),
        ('"P" = { role = "lead", mail = "x" }', 8, "unknown key; allowed: camera, phone, role"),
        ('"P\\u0007" = { role = "lead" }', None, "must not contain control"),
    ],
)
def test_a_mistake_is_one_line_with_its_place(tmp_path, crew, line, words):
    with pytest.raises(InputError) as caught:
        match_with(tmp_path, crew)
    told = str(caught.value)
    assert words in told
    assert told.count("\n") == 0
    assert line is None or f"match.toml:{line}: crew." in told


def test_two_words_for_the_ground_are_refused(tmp_path):
    with pytest.raises(InputError, match=r"match.toml:10: day.contact: \[crew\] names somebody at the ground already"):
        match_with(tmp_path, '"Hut" = { role = "ground" }', day='[day]\ncontact = "gate"\n')
