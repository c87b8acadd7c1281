"""A match file changed piece by piece: what is not touched stays byte for byte, and everything can be undone."""

import random
import re
from difflib import ndiff
from pathlib import Path

import pytest

from standmark.cli.open.bodies import ChangeBody, WorthBody, read_body
from standmark.cli.open.document import Edit, edited
from standmark.cli.open.history import MOST_STEPS, History
from standmark.cli.open.parts import EditError, Text, marked, parsed, said
from standmark.geometry.errors import InputError

HERON = (Path(__file__).resolve().parents[3] / "examples" / "heron-lane.toml").read_text(encoding="utf-8")


def put(part, field, value):
    return Edit("put", part, field, value)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_one_number_changes_one_line(end):
    before = HERON.replace("\n", end)
    after = edited(marked(before), [put("allowed:5", "span_m", [-3.0, 2.5])])[0].text
    differ = [(a, b) for a, b in zip(before.split(end), after.split(end), strict=True) if a != b]
    assert differ == [("span_m = [-2, 2]", "span_m = [-3, 2.5]")]


def test_a_value_that_is_there_already_is_not_written_anew():
    text = HERON.replace("length_m = 101", "length_m = 101.0  # measured")
    assert edited(marked(text), [put("venue", "length_m", 101)])[0].text == text


def test_marks_stay_with_their_entries():
    text, _ = edited(marked(HERON), [Edit("drop", "allowed:2")])
    text, added = edited(text, [Edit("add", "allowed", value={"name": "hut", "side": "+y", "offset_m": [3.0, 4.5]})])
    names = {entry["mark"]: entry["name"] for entry in said(text)["allowed"]}
    assert names["allowed:1"] == "mill end, left of the goal"
    assert names["allowed:5"] == "scaffold"
    assert "allowed:2" not in names
    assert [names[mark] for mark in added] == ["hut"]
    with pytest.raises(EditError, match="no longer there"):
        edited(text, [put("allowed:2", "name", "x")])


def test_a_file_from_nothing_reads_as_a_person_would_write_it():
    text = marked("")
    for edit in (
        put("match", "sport", "football"),
        put("match", "start", "2027-04-17T15:00:00"),
        put("venue", "length_m", 101.0),
        put("side_names", "+x", "mill end"),
        put("answers", "halfway", "no"),
        Edit("add", "camera", value={"name": "A", "lenses": ["24-70"]}),
        put("must_cover", "goal", 0.5),
    ):
        text, _ = edited(text, [edit])
    assert text.text == (
        '[match]\nsport = "football"\nstart = 2027-04-17T15:00:00\n\n'
        '[venue]\nlength_m = 101\nside_names = { "+x" = "mill end" }\n\n[venue.answers]\nhalfway = "no"\n\n'
        '[[camera]]\nname = "A"\nlenses = ["24-70"]\n\n[rules]\nmust_cover = { goal = 0.5 }\n'
    )


FROM_NOTHING = (
    put("match", "sport", "football"),
    put("venue", "length_m", 101.0),
    put("answers", "halfway", "no"),
    Edit("add", "allowed", value={"name": "hut", "side": "+y", "offset_m": [3, 4]}),
    Edit("add", "obstacle", value={"name": "van", "line": [[0, 40], [5, 40]], "top_m": 3}),
    Edit("add", "camera", value={"name": "A"}),
    put("must_cover", "goal", 0.5),
    put("day", "minors", True),
)


def test_whatever_is_said_first_the_file_is_the_same():
    texts = set()
    draw = random.Random(3)
    for _ in range(12):
        text = marked("")
        for edit in draw.sample(FROM_NOTHING, len(FROM_NOTHING)):
            text, _ = edited(text, [edit])
        texts.add(text.text)
    (only,) = texts
    assert re.findall(r"^\[.*", only, re.MULTILINE) == [
        "[match]", "[venue]", "[venue.answers]", "[[venue.allowed]]", "[[venue.obstacle]]", "[[camera]]", "[rules]",
        "[day]",
    ]  # fmt: skip
    assert "\n\n\n" not in only


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_new_section_leaves_every_other_line_alone(end):
    before = HERON.replace("[[camera]]", "# Wren's\n[[camera]]").replace("\n", end)
    after = edited(marked(before), [put("answers", "church-end", "ask"), put("rules", "moves", "never")])[0].text
    differ = [line for line in ndiff(before.split(end), after.split(end)) if line[0] in "+-" and line.strip() != "+"]
    assert differ == ["+ [venue.answers]", '+ church-end = "ask"', "+ [rules]", '+ moves = "never"']
    assert after.count(end) == before.count(end) + 6
    assert after.index("[venue.answers]") < after.index("[[venue.allowed]]")


def test_a_table_goes_with_its_last_key_unless_somebody_wrote_beside_it():
    text, _ = edited(marked('[match]\nsport = "netball"\n'), [put("must_cover", "goal", 0.5)])
    assert edited(text, [put("must_cover", "goal", None)])[0].text == '[match]\nsport = "netball"\n'
    noted = '[match]\nsport = "netball"\n\n[rules] # ask Wren\nmoves = "never"\n'
    assert edited(marked(noted), [put("rules", "moves", None)])[0].text.rstrip().endswith("[rules] # ask Wren")


def test_all_edits_or_none():
    with pytest.raises(EditError):
        edited(marked(HERON), [put("venue", "length_m", 99), put("nonsense", "x", 1)])


@pytest.mark.parametrize(
    "value",
    [float("inf"), 1 << 70, "\ud800", {"a": {"b": {"c": {"d": {"e": {"f": {"g": {"h": 1}}}}}}}}, [None], {"a": None}],
)
def test_what_no_file_can_hold_is_refused(value):
    with pytest.raises(EditError):
        edited(marked(HERON), [put("day", "contact", value)])


def test_names_of_any_script_come_back_the_same():
    for name in ("نهاية الطاحونة", "קצה", 'a "b" <c> & \\ d', "🏟️ " * 9, "line\nbreak", "'''"):
        text, _ = edited(marked(HERON), [put("allowed:5", "name", name), put("side_names", "+x", name)])
        assert parsed(text.text)["venue"]["allowed"][4]["name"] == name
        assert said(text)["side_names"]["+x"] == name


def test_undo_gives_back_every_text_and_redo_every_other():
    draw = random.Random(7)
    history = History(marked(HERON))
    texts = [history.text]
    for step in range(60):
        edits = [
            put("venue", "bearing_deg", draw.randrange(360)),
            put("allowed:4", "span_m", [-draw.randrange(40), draw.randrange(40)]),
            put("answers", draw.choice(["halfway", "bank-halfway"]), draw.choice(["yes", "no", "ask", None])),
            Edit("add", "obstacle", value={"name": f"hut {step}", "line": [[step, 40], [step, 42]], "top_m": 2.5}),
        ]
        text, _ = edited(history.text, [draw.choice(edits)])
        history.step(text, what=f"step {step}", page="a")
        texts.append(text)
    for text in reversed(texts[:-1]):
        history.undo()
        assert history.text == text
    assert history.undo() is None
    for text in texts[1:]:
        history.redo()
        assert history.text == text
    assert history.redo() is None


def test_the_oldest_steps_go():
    history = History(Text("0", {}, 1))
    for step in range(1, MOST_STEPS + 3):
        history.step(Text(str(step), {}, 1), what="x", page="a")
    while history.undo() is not None:
        pass
    assert history.text.text == "2"
    assert history.change == 1 + MOST_STEPS + 2 + MOST_STEPS


def test_a_drag_is_one_step_and_another_page_is_not():
    history = History(Text("a", {}, 1))
    for text in ("b", "c", "d"):
        history.step(Text(text, {}, 1), what="move hut", page="one", goes_on=True)
    history.step(Text("e", {}, 1), what="move hut", page="two", goes_on=True)
    assert [step.text.text for step in history.done] == ["d", "e"]
    assert history.undo() == "move hut"
    assert history.text.text == "d"


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"[]",
        b"null",
        b"\xff\xfe",
        b'{"page": "a", "base": 1, "edits": [], "more": 1}',
        b'{"page": "a", "base": 1, "edits": [], "extra": 1}',
        b'{"page": "../a", "base": 1, "edits": []}',
        b'{"page": "a", "base": -1, "edits": []}',
        b'{"page": "a", "base": 1, "edits": [], "what": "\\ud800"}',
        b'{"page": "a", "base": 1e400, "edits": []}',
        b'{"page": "a", "base": NaN, "edits": []}',
        b'{"page": "a", "base": ' + b"9" * 5000 + b', "edits": []}',
        b'{"page": "a", "base": 1, "edits": [{"do": "run", "part": "venue"}]}',
        b'{"page": "a", "base": 1, "edits": ' + b"[" * 100_000,
    ],
)
def test_hostile_bodies_are_one_line(raw):
    with pytest.raises(InputError) as error:
        read_body(raw, ChangeBody)
    assert "\n" not in str(error.value)


def test_brackets_inside_of_texts_are_no_nesting():
    words = "[" * 50 + '\\"' + "{" * 50
    body = read_body(
        f'{{"change": 1, "seq": 2, "period": "{words}", "camera": "A", "at": [1, 2.5]}}'.encode(), WorthBody
    )
    assert body.at == (1, 2.5)
