"""`standmark day` with several match files: one answer, one document, one calendar; mistakes in one line."""

import json

import pytest
from click.testing import CliRunner
from icalendar import Calendar

from standmark.cli.main import standmark

MATCH = """
[match]
sport = "football"
title = "TITLE"
start = 2027-05-08TSTART:00
timezone = "Europe/Lisbon"
[venue]
name = "GROUND"
[[venue.allowed]]
name = "by the goal"
side = "+x"
span_m = [11, 13]
offset_m = [4, 6]
"""


def write(folder, name, *, title="Lantern Cup", start="10:00", ground="Kiln Park"):
    path = folder / name
    path.write_text(MATCH.replace("TITLE", title).replace("START", start).replace("GROUND", ground), "utf-8")
    return path


def run(*args):
    return CliRunner().invoke(standmark, ["day", *map(str, args)])


def test_a_folder_makes_one_day(tmp_path):
    write(tmp_path, "b.toml", start="15:00")
    write(tmp_path, "a.toml")
    (tmp_path / "operator.toml").write_text("delay_s = 1\n", "utf-8")  # no match
    ics = tmp_path / "out" / "day.ics"
    text = run(tmp_path, "--ics", ics).output
    assert "8 May 2027, 2 matches. Be there at 08:30." in text
    assert "Eat: midday meal" in text
    events = Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    assert len({str(e["uid"]) for e in events}) == len(events)  # two matches of one title on one ground
    assert sum(str(e["summary"]).startswith("Start: ") for e in events) == 2
    document = json.loads(run(tmp_path, "--json").output)
    assert document["schema"] == "standmark.days/1"
    assert document["changeovers"][0]["way"]["kind"] == "same ground"
    assert document["power"][0]["n_cards"] >= 2
    told = run(tmp_path, "--more").output
    assert "Pack, once for all matches" in told
    assert "minutes needed" in told
    wrong = told[told.index("If something goes wrong") :]
    assert wrong.count("Thunder") == 1  # the same in both matches
    assert "Camera A in match 1: One holds" in " ".join(wrong.split())  # the breaks have their own times


def test_mistakes_are_told_in_one_line(tmp_path):
    a = write(tmp_path, "a.toml")
    other = write(tmp_path, "b.toml", start="15:00")
    other.write_text(other.read_text("utf-8").replace("05-08", "05-09"), "utf-8")
    bare = tmp_path / "c.toml"
    bare.write_text('[match]\nsport = "football"\n', "utf-8")
    empty = tmp_path / "empty"
    empty.mkdir()
    for given, told in [
        ((a, a), "a.toml: given twice"),
        ((a, other), "b.toml: match.start: 2027-05-09 is another day than 2027-05-08 of a.toml"),
        ((a, bare), "c.toml: match.start: missing"),
        ((empty,), "no match file in this folder"),
        ((a, other, "--sport", "football"), "either match files or --sport"),
    ]:
        assert told in str(run(*given).exception)


@pytest.mark.parametrize(
    ("options", "told"), [((), "Kiln Park, Sat 8 May 2027."), (("--sport", "netball"), "Default ground.")]
)
def test_one_match_is_told_as_before(tmp_path, options, told):
    given = options or (write(tmp_path, "a.toml"),)
    text = run(*given).output
    assert text.startswith(told)
    assert "Pack: " in text
