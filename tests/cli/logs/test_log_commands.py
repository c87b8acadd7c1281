"""Logs from the terminal: an empty table, one filled in, one that cannot be, and the file that a match reads."""

import csv
import io
import json

import pytest
from click.testing import CliRunner

from standmark.cli.main import standmark
from standmark.geometry.errors import InputError
from standmark.optimizer.match.read_match import read_match


def run(*words):
    done = CliRunner().invoke(standmark, [str(word) for word in words])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.output


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A plan of the default netball court for one camera, and its empty log."""
    folder = tmp_path_factory.mktemp("season")
    run("plan", "--sport", "netball", "--advice", "none", "--out", folder / "plan")
    run("log", "new", folder / "plan" / "plan.json", "-o", folder / "empty.csv")
    return folder


def rows_of(path):
    first, *rest = path.read_text("utf-8").splitlines()
    return first, list(csv.DictReader(rest))


def filled(folder, name, *, change=lambda row: row, dialect="excel"):
    first, rows = rows_of(folder / "empty.csv")
    buffer = io.StringIO()
    writer = csv.DictWriter(buffer, fieldnames=rows[0].keys(), dialect=dialect)
    writer.writeheader()
    for row in rows:
        writer.writerow(change(row | {"happened": 4, "got": 2}))
    path = folder / name
    path.write_text(f"{first}\n{buffer.getvalue()}", encoding="utf-8")
    return path


def test_an_empty_table_speaks_of_what_the_plan_does(folder):
    first, rows = rows_of(folder / "empty.csv")
    plan = json.loads((folder / "plan" / "plan.json").read_text("utf-8"))
    assert first.startswith("# plan ")
    assert {row["camera"] for row in rows} == {"A"}
    assert len({row["moment"] for row in rows}) == len(plan["periods"][0]["seen_by_moment"])
    assert {row["period"] for row in rows} == {period["name"] for period in plan["periods"]}


def test_a_filled_log_is_held_against_the_plan(folder):
    log = filled(folder, "log.csv")
    text = run("log", folder / "plan" / "plan.json", log)
    assert text.startswith("You got ")
    assert "Jeffreys" in text
    assert max(map(len, text.splitlines())) <= 80
    document = json.loads(run("log", folder / "plan" / "plan.json", log, "--json"))
    outcome = document["outcomes"][0]
    assert outcome["interval"][0] <= outcome["got"] / outcome["happened"] <= outcome["interval"][1]


@pytest.mark.parametrize("dialect", ["excel", "excel-tab"])
def test_spreadsheets_of_any_dialect_are_read(folder, dialect):
    log = filled(folder, f"{dialect}.csv", dialect=dialect, change=lambda row: row | {"why": "too late; light"})
    assert "You got" in run("log", folder / "plan" / "plan.json", log)


@pytest.mark.parametrize(
    ("change", "parts"),
    [
        ({"got": 5}, ["row 3, got", "5 of 4 that happened; got can't be more"]),
        ({"happened": "many"}, ["row 3, happened", '"many" is not a count']),
        ({"happened": "-1"}, ["row 3, happened", "not a count"]),
        ({"moment": "gaol"}, ["row 3, moment", '"gaol" is not known']),
        ({"end": "the moon"}, ["row 3, end", "is not an end of this ground"]),
        ({"camera": "Z"}, ["row 3, camera", "not in the plan; allowed: A"]),
        ({"why": "bad luck"}, ["row 3, why", "allowed: too far"]),
        ({"why": "too late 3"}, ["row 3, why", "3 reasons for 2 that were lost"]),
        ({"period": "extra \x1b[31m"}, ["row 3, period", "is not known"]),
    ],
)
def test_a_faulty_log_is_one_line_with_row_and_column(folder, change, parts):
    first = iter([True])
    log = filled(folder, "wrong.csv", change=lambda row: row | (change if next(first, False) else {}))
    with pytest.raises(InputError) as caught:
        run("log", folder / "plan" / "plan.json", log)
    message = str(caught.value)
    assert all(part in message for part in parts), message
    assert len(message.splitlines()) == 1
    assert message.isprintable()


def test_a_log_of_another_plan_is_refused(folder):
    log = filled(folder, "other.csv")
    log.write_text(log.read_text("utf-8").replace("# plan ", "# plan 0123456789abcdef\n#", 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"another plan|column"):
        run("log", folder / "plan" / "plan.json", log)
    log.write_text("moment,happened,got\nGoal,1,1\n", encoding="utf-8")
    with pytest.raises(InputError, match='row 1: must be "# plan"'):
        run("log", folder / "plan" / "plan.json", log)


def test_what_is_learned_goes_into_a_match(folder):
    logs = [filled(folder, f"match-{n}.csv") for n in range(6)]
    text = run("learn", *logs, "-o", folder / "me.toml")
    assert "From the logs of 6 matches" in text
    (folder / "match.toml").write_text(
        '[match]\nsport = "netball"\n[[camera]]\nname = "A"\noperator_file = "me.toml"\n'
    )
    match = read_match(folder / "match.toml")
    written = (folder / "me.toml").read_text("utf-8")
    assert f"delay_s = {match.cameras[0].operator.delay_s:.3g}" in written
    assert match.cameras[0].operator.name == "own logs of 6 matches"
    plain = read_match_of(folder, '[match]\nsport = "netball"\n')
    assert match.deliverable.wanted_share != plain.deliverable.wanted_share
    assert [m.rate_per_match for m in match.sport.moments] != [m.rate_per_match for m in plain.sport.moments]


def read_match_of(folder, text):
    path = folder / "plain.toml"
    path.write_text(text)
    return read_match(path)


def test_an_operator_file_that_is_missing_or_wrong_is_told_with_its_line(folder):
    path = folder / "none.toml"
    path.write_text('[match]\nsport = "netball"\n[[camera]]\nname = "A"\noperator_file = "nobody.toml"\n')
    with pytest.raises(InputError, match=r"none\.toml:5: camera\[1\]\.operator_file: no such file"):
        read_match(path)
    (folder / "odd.toml").write_text("schema_version = 1\nmatches = 3\ndelay_s = -1\n")
    path.write_text('[match]\nsport = "netball"\n[[camera]]\nname = "A"\noperator_file = "odd.toml"\n')
    with pytest.raises(InputError, match=r"odd\.toml:3: delay_s"):
        read_match(path)


def test_learning_needs_the_plans(folder, tmp_path):
    log = filled(folder, "lonely.csv")
    lonely = tmp_path / "lonely.csv"
    lonely.write_bytes(log.read_bytes())
    with pytest.raises(InputError, match="give the folder that holds it with --plans"):
        run("learn", lonely, "-o", tmp_path / "me.toml")
    run("learn", lonely, "--plans", folder, "-o", tmp_path / "me.toml")
    assert (tmp_path / "me.toml").exists()
