"""Event files: what is read, and the one line that tells what is wrong and where."""

import csv

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.cli.input import events_file
from standmark.cli.input.events_file import read_events
from standmark.geometry.errors import InputError
from standmark.optimizer.scoring.events import UNKNOWN
from standmark.sports.library import load_sport

FOOTBALL = load_sport("football")


def read(tmp_path, content, *, encoding="utf-8"):
    path = tmp_path / "events.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode(encoding))
    return list(read_events(path, FOOTBALL))


def test_all_columns_in_any_order_with_others_left_alone(tmp_path):
    text = (
        "match_id,y_m,outcome,weight,moment,x_m,period\n"
        "cup,-3.5,1,2,goal,46.25,second-half\nleague,0,0,0.5,,10,1\n\ncup,1,0,1,shot,30,\n"
    )
    (events,) = read(tmp_path, text)
    moments = [m.key for m in FOOTBALL.moments]
    assert events.xy_m.tolist() == [[46.25, -3.5], [10, 0], [30, 1]]
    assert events.moment.tolist() == [moments.index("goal"), UNKNOWN, moments.index("shot")]
    assert events.period.tolist() == [1, 0, UNKNOWN]
    assert events.weight.tolist() == [2, 0.5, 1]
    assert events.match.tolist() == [0, 1, 0]


def test_two_columns_are_enough(tmp_path):
    (events,) = read(tmp_path, "x_m,y_m\r\n1,2\r\n")
    assert (events.weight.tolist(), events.match.tolist(), events.moment.tolist()) == ([1], [UNKNOWN], [UNKNOWN])


def test_a_byte_order_mark_does_no_harm(tmp_path):
    (events,) = read(tmp_path, "x_m,y_m\n1,2\n", encoding="utf-8-sig")
    assert events.xy_m.tolist() == [[1, 2]]


def test_parts_follow_each_other(tmp_path, monkeypatch):
    monkeypatch.setattr(events_file, "PART_ROWS", 3)
    rows = "".join(f"{i},0,m{i % 4}\n" for i in range(10))
    parts = read(tmp_path, "x_m,y_m,match_id\n" + rows)
    assert [len(p.weight) for p in parts] == [3, 3, 3, 1]
    assert np.concatenate([p.xy_m[:, 0] for p in parts]).tolist() == list(range(10))
    assert np.concatenate([p.match for p in parts]).tolist() == [i % 4 for i in range(10)]


HEAD = "x_m,y_m,moment,period,weight,match_id\n"
WRONG = {
    "empty": ("", ["empty", "x_m,y_m"]),
    "empty first row": ("\n1,2\n", ["empty", "x_m,y_m"]),
    "header only": ("x_m,y_m\n", ["no events below the header"]),
    "missing column": ("x_m,moment\n1,goal\n", ["row 1", '"y_m" is missing', "got x_m, moment"]),
    "column twice": ("x_m,y_m,x_m\n1,2,3\n", ["row 1", '"x_m" is there twice']),
    "misspelt column": ("x_m,y_m,momnt\n1,2,goal\n", ["row 1", "momnt", 'did you mean "moment"?']),
    "text": ("x_m,y_m\n1,2\nhere,2\n", ["row 3", "x_m", "not a number", "here"]),
    "empty number": ("x_m,y_m\n1,2\n,2\n", ["row 3", "x_m", "not a number"]),
    "decimal comma": ('x_m,y_m\n1,"2,5"\n', ["row 2", "y_m", "2,5", "decimals with a point"]),
    "not a number": ("x_m,y_m\n1,2\n3,nan\n", ["row 3", "y_m", "finite", "nan"]),
    "infinite": ("x_m,y_m\n1e999,2\n", ["row 2", "x_m", "finite", "1e999"]),
    "far outside": ("x_m,y_m\n0,0\n\n105,34\n", ["row 4", "x_m 105", "far outside", "-83.5 to 83.5", "middle"]),
    "row too short": ("x_m,y_m\n1,2\n1\n", ["row 3", "1 columns; the header has 2"]),
    "row too long": ("x_m,y_m\n1,2,3\n", ["row 2", "3 columns; the header has 2"]),
    "unknown moment": (HEAD + "1,2,gaol,1,1,a\n", ["row 2", "moment", "gaol", 'did you mean "goal"?']),
    "unknown period": (HEAD + "1,2,goal,3,1,a\n", ["row 2", "period", '"3"', "first-half, second-half, or 1 to 2"]),
    "negative weight": (HEAD + "1,2,goal,1,-1,a\n", ["row 2", "weight", "-1", "allowed: 0 to 1,000,000,000"]),
    "no match": (HEAD + "1,2,goal,1,1,\n", ["row 2", "match_id", "empty"]),
    "not text": (b"x_m,y_m\n\xff\xfe,1\n", ["not UTF-8"]),
    "one endless row": ("x_m,y_m\n" + "1" * 70_000, ["row 2", "longer than"]),
    "a field without end": ('x_m,y_m\n1,"2\n' + "3\n" * 80_000, ["row", "CSV"]),
}  # fmt: skip


@pytest.mark.parametrize("case", sorted(WRONG))
def test_wrong_files_are_told_in_one_line_with_the_row(case, tmp_path):
    content, parts = WRONG[case]
    with pytest.raises(InputError) as caught:
        read(tmp_path, content)
    message = str(caught.value)
    assert len(message.splitlines()) == 1, message
    for expected in ["events.csv", *parts]:
        assert expected in message, message


def test_rows_are_counted_across_parts(tmp_path, monkeypatch):
    monkeypatch.setattr(events_file, "PART_ROWS", 4)
    with pytest.raises(InputError, match="row 12: x_m: not a number"):
        read(tmp_path, "x_m,y_m\n" + "1,2\n" * 10 + "oops,2\n")


def test_too_many_matches_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(events_file, "MOST_MATCHES", 2)
    with pytest.raises(InputError, match="row 4: match_id: more than 2"):
        read(tmp_path, "x_m,y_m,match_id\n1,2,a\n1,2,b\n1,2,c\n")


def test_a_folder_and_a_missing_file_are_named(tmp_path):
    for path in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(InputError, match="cannot be read"):
            list(read_events(path, FOOTBALL))


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=300) | st.text(alphabet='x_my,;\n\r"0123456789.-+eNa\x00\ufeff', max_size=200))
def test_any_bytes_are_read_or_refused(tmp_path_factory, content):
    message = ""
    try:
        for events in read(tmp_path_factory.getbasetemp(), content):
            assert np.isfinite(events.xy_m).all()
    except InputError as error:
        message = str(error)
    assert len(message.splitlines()) <= 1
    assert message.isprintable()


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(-60, 60), st.floats(-40, 40), st.sampled_from(["a", 'b"c', "d,e"])), min_size=1))
def test_what_a_csv_writer_writes_is_read_back(tmp_path_factory, rows):
    path = tmp_path_factory.getbasetemp() / "written.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([("x_m", "y_m", "match_id"), *rows])
    (events,) = read_events(path, FOOTBALL)
    assert events.xy_m.tolist() == [[x, y] for x, y, _ in rows]
    assert len(set(events.match.tolist())) == len({m for _, _, m in rows})


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        ("x_m;y_m;moment\n46,25;-3,5;goal\n", "utf-8"),
        ("x_m\ty_m\tmoment\n46.25\t-3.5\tgoal\n", "utf-8"),
        ("X,Y,Moment\n46.25,-3.5,Goal\n", "utf-8"),
        ("X;Y;MOMENT\n46,25;-3,5;goal\n", "utf-16"),
    ],
)
def test_dialects_of_spreadsheets(tmp_path, text, encoding):
    (events,) = read(tmp_path, text, encoding=encoding)
    assert events.xy_m.tolist() == [[46.25, -3.5]]
    assert FOOTBALL.moments[events.moment[0]].key == "goal"


def test_moments_may_be_called_by_their_names(tmp_path):
    for index, moment in enumerate(FOOTBALL.moments):
        name = moment.name.replace('"', '""')
        (events,) = read(tmp_path, f'x,y,moment\n0,0,"{name.upper()}"\n')
        assert events.moment.tolist() == [index]


def test_a_comma_between_commas_is_no_decimal_one(tmp_path):
    with pytest.raises(InputError, match="write decimals with a point"):
        read(tmp_path, 'x_m,y_m\n"46,25",1\n')
