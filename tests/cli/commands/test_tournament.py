"""`standmark tournament`: files for everybody, a day planned anew, and mistakes in one line."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from icalendar import Calendar
from pypdf import PdfReader

from standmark.cli.main import standmark
from standmark.geometry.errors import InputError
from standmark.optimizer.day.tournament.read import read_tournament

ROOT = Path(__file__).resolve().parents[3]
FEN = (ROOT / "examples" / "tournament" / "fen-day.toml").read_text("utf-8")


def run(*args):
    return CliRunner().invoke(standmark, ["tournament", *map(str, args)])


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    folder = tmp_path_factory.mktemp("fen")
    (folder / "fen.toml").write_text(FEN, "utf-8")
    done = run(folder / "fen.toml", "--out", folder / "day", "--more")
    assert done.exit_code == 0, done.output
    return folder, done.output


def test_everybody_gets_a_sheet_and_a_calendar(day):
    folder, text = day
    assert "Fen Day, Sat 20 February 2027: 3 people film" in text
    assert "No other choice of people gets more." in " ".join(text.split())
    assert "One more person with two zooms:" in text
    document = json.loads((folder / "day" / "tournament.json").read_text("utf-8"))
    assert "01632" not in json.dumps(document)
    assert document["schema"] == "standmark.tournament/1"
    assert document["proven"]
    by_name = {person["name"]: person for person in document["people"]}
    for name, person in by_name.items():
        films = [duty for duty in person["duties"] if duty["kind"] == "film"]
        events = Calendar.from_ical((folder / "day" / f"times-{name.lower()}.ics").read_bytes()).walk("VEVENT")
        told = {e["dtstart"].dt.isoformat() for e in events if str(e["summary"]).startswith("Film ")}
        assert len(told) == len(films)
        assert len({str(e["uid"]) for e in events}) == len(events)
        sheet = "".join(page.extract_text() for page in PdfReader(folder / "day" / f"sheet-{name.lower()}.pdf").pages)
        assert "Cautions" in sheet
        assert "01632 960001" in sheet  # of whoever leads
        assert all(duty["pitch"] in sheet for duty in films)
    filmed = [match for match in document["matches"] if match["filmed_by"]]
    assert sum(match["worth"] * match["share"] for match in filmed) == pytest.approx(document["value"])
    assert all(sum(match["why_not"].values()) == 3 for match in document["matches"] if not match["filmed_by"])
    assert all(person["filmed_min"] <= person["budget_min"] for person in by_name.values())
    chart = (folder / "day" / "chart.svg").read_text("utf-8")
    assert all(word in chart for word in ("Court 1", "Annexe", "Ash", "Final", "13:00"))


def test_the_rest_of_the_day_is_planned_anew(day):
    folder, _ = day
    first = json.loads((folder / "day" / "tournament.json").read_text("utf-8"))
    changed = folder / "changed.toml"
    birch = FEN.index('name = "Birch"')
    changed.write_text(FEN[:birch] + FEN[birch:].replace('to = "15:30"', 'to = "12:10"', 1), "utf-8")
    shutil.copytree(folder / "day", folder / "again")
    done = run(changed, "--from", "11:15", "--out", folder / "again", "--force", "--json")
    assert done.exit_code == 0, done.output
    again = json.loads(done.stdout)
    behind = {m["title"]: m["filmed_by"] for m in first["matches"] if m["slot"] in ("09:30", "10:25")}
    assert {m["title"]: m["filmed_by"] for m in again["matches"] if m["slot"] in ("09:30", "10:25")} == behind
    assert not any("Birch" in m["filmed_by"] for m in again["matches"] if m["slot"] in ("13:00", "finals"))
    old, new = (
        Calendar.from_ical((folder / name / "times-birch.ics").read_bytes()).walk("VEVENT") for name in ("day", "again")
    )
    assert {int(e["sequence"]) for e in old} == {0}
    assert {int(e["sequence"]) for e in new} == {1}


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('start = "10:25"', 'start = "10:10"', r'fen.toml:\d+: slot\[2\].start: 10:10 to 11:10 overlaps slot "09:30"'),
        ('pitch = "Court 2"', 'pitch = "Cort 2"', r'match\[2\].pitch: not known .*did you mean "Court 2"'),
        ("minutes = 45", "minutes = 55", r'match\[13\].minutes: it takes 55 minutes, slot "finals" has 50'),
        ("minutes = 45", "", r'match\[13\].slot: its sport takes 85 minutes, slot "finals" has 50'),
        ('kit = "two zooms"\n', "", r'fen.toml:\d+: crew\[1\].kit: "Ash" has no kit; name one: two zooms'),
        ('kit = "two zooms"', 'kit = "two zoom"', r'crew\[1\].kit: not known .*did you mean "two zooms"'),
        ('slot = "10:25"', 'slot = "09:30"', r"is on Court 1 at 09:30, where .* is already"),
        ('to = "13:00"', 'to = "10:00"', r"crew\[3\].to: 10:00 is not after from, 10:30"),
        ('start = "09:30"', 'start = "9.30"', r'slot\[1\].start: not a time of day \(got "9.30"\); write "09:30"'),
        ('timezone = "Europe/London"', 'timezone = "London"', r'tournament.timezone: not known \(got "London"\)'),
        ('name = "Birch"', 'name = "Ash"', r'crew\[2\].name: "Ash" is used twice'),
        (
            'meal = ["11:00", "14:00"]',
            'meal = ["11:00", "11:10"]',
            r"people.meal: a meal of 30 minutes doesn't fit",
        ),
        ('sport = "futsal"', 'sport = "futsall"', r"match\[1\].sport: .*futsal"),
        (
            "lead = true",
            'lead = true\n[[crew]]\nname = "Elm"\nkit = "two zooms"\nfrom = "09:00"\nto = "10:00"\nlead = true',
            r"crew\[2\].lead: only one person leads",
        ),
        ('sport = "futsal"\n', "", r"match\[1\].title: needs either file or sport"),
        ('sport = "futsal"', 'file = "none.toml"', r"match\[1\].file: .*none.toml"),
    ],
)
def test_a_mistake_is_told_in_one_line(tmp_path, old, new, message):
    path = tmp_path / "fen.toml"
    assert old in FEN
    path.write_text(FEN.replace(old, new, 1), "utf-8")
    with pytest.raises(InputError, match=message):
        read_tournament(path)


def test_what_an_earlier_answer_says_must_still_be_there(day, tmp_path):
    folder, _ = day
    path = tmp_path / "fen.toml"
    earlier = folder / "day" / "tournament.json"
    bad = tmp_path / "bad.json"
    bad.write_text("{}", "utf-8")
    strange = tmp_path / "strange.json"
    strange.write_text(earlier.read_text("utf-8").replace('"Court 1"', json.dumps("a" * 59 + "\x1b" * 99)), "utf-8")
    for text, given, told in [
        (FEN.replace('"Ash"', '"Alder"'), earlier, '"Ash" has filmed already'),
        (FEN.replace("Court 1", "Court 9"), earlier, 'pitch "Court 1", where somebody has filmed'),
        (FEN, bad, "not a tournament.json"),
        (FEN, strange, f'pitch "{"a" * 59}\N{REPLACEMENT CHARACTER}", where'),
        (FEN, tmp_path / "none.json", "none.json"),
    ]:
        path.write_text(text, "utf-8")
        assert told in str(run(path, "--out", tmp_path / "out", "--from", "12:50", "--plan", given).exception)
    for options, told in [(("--from", "25:00"), "not a time of day"), (("--plan", earlier), "--plan goes with --from")]:
        path.write_text(FEN, "utf-8")
        assert told in str(run(path, "--out", tmp_path / "out", *options).exception)
    assert "--force" in str(run(path, "--out", folder / "day").exception)


def test_the_large_example_is_sound():
    cup = read_tournament(ROOT / "examples" / "tournament" / "reed-cup.toml")
    assert (len(cup.pitches), len(cup.slots), len(cup.members)) == (8, 12, 6)
    assert [slot.start_min for slot in cup.slots] == sorted(slot.start_min for slot in cup.slots)
