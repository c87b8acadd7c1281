"""One open match: who may change it, what a change brings along, and a file that others change too."""

import os
import re
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner

from standmark.cli.commands.open import command
from standmark.cli.open import disk
from standmark.cli.open import session as sessions
from standmark.cli.open.apart import soon
from standmark.cli.open.document import Edit
from standmark.cli.open.keeper import Places
from standmark.cli.open.refused import DiskError, FaultError, StaleError
from standmark.cli.open.session import Session
from standmark.geometry.errors import InputError, OutputError
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import Stopped
from standmark.sports.toml import file

NETBALL = '# Saturday\n[match]\nsport = "netball"  # at school\n\n[day]\nminors = true\n'


class NoLive:
    """In the place of the thread that plans: remembers what it was asked."""

    def __init__(self, tell, report, limit_s):
        self.told, self.asked = {}, []

    def ask(self, change, match, marks, at_once=False):
        self.asked.append(change)

    def forget(self):
        self.told = {}

    def close(self):
        pass


@pytest.fixture
def opened(tmp_path, monkeypatch):
    monkeypatch.setattr(sessions, "Live", NoLive)

    def open_text(text):
        file = tmp_path / "match.toml"
        if text is not None:
            file.write_bytes(text.encode())
        heard = []
        session = Session(
            Places(file, tmp_path / "plan"),
            lambda event, data, _: heard.append((event, data)),
            lambda *_: lambda out: ["plan.json"],
        )
        session.heard = heard
        return session

    return open_text


def change(session, *edits, page="a", what="change"):
    return session.edit(edits, base=session.change, page=page, what=what)


def put(part, field, value):
    return Edit("put", part, field, value)


def places(session):
    return {place["key"]: place["answer"] for place in session.match_event()["ground"]["places"]}


def test_from_nothing_to_a_match(opened):
    session = opened(None)
    assert session.match_event()["ground"] is None
    change(session, put("match", "sport", "netball"), what="choose netball")
    event = session.match_event()
    assert (event["undo"], event["ground"]["sport"], event["kit"][0]["assumed"]) == ("choose netball", "netball", True)
    assert set(places(session).values()) == {"yes", "ask"}
    assert session.live.asked == [2]
    session.save(base=session.change)
    assert session.places.file.read_text() == '[match]\nsport = "netball"\n'


def test_two_pages_share_steps_and_the_older_one_is_told(opened):
    session = opened(NETBALL)
    session.edit([put("venue", "bearing_deg", 10)], base=1, page="one", what="turn")
    with pytest.raises(StaleError):
        session.edit([put("venue", "bearing_deg", 20)], base=1, page="two", what="turn")
    done = session.undo(base=2, page="two")
    assert (done["did"], done["text"], session.by) == ("turn", NETBALL, "two")


def test_a_change_that_makes_no_match_changes_nothing(opened):
    session = opened(NETBALL)
    with pytest.raises(FaultError) as error:
        change(session, put("venue", "latitude", 152.6), put("venue", "longitude", 1.0))
    fault = error.value.faults[0]
    assert (fault.part, fault.field) == ("venue", "latitude")
    assert (session.change, session.history.text.text) == (1, NETBALL)
    change(session, Edit("add", "camera", value={"name": "A"}))
    with pytest.raises(FaultError) as error:
        change(session, put("camera:1", "lenses", ["24-70", "70-200 f2,8 x"]))
    assert (error.value.faults[0].part, error.value.faults[0].field, error.value.faults[0].index) == (
        "camera:1",
        "lenses",
        1,
    )


def test_a_fault_from_before_stays_and_others_are_refused(opened):
    session = opened(NETBALL + "[venue]\nlatitude = 152.6\nlongitude = 1\n")
    assert session.match_event()["faults"][0]["line"] == 8
    change(session, put("match", "title", "Cup"))
    with pytest.raises(FaultError):
        change(session, put("venue", "bearing_deg", 999))
    change(session, put("venue", "latitude", 52.6))
    assert session.match_event()["faults"] == []
    assert session.match_event()["title"] == "Cup"


def test_a_first_place_of_ones_own_keeps_the_usual_ones(opened):
    session = opened(NETBALL)
    usual = {key for key, answer in places(session).items() if answer == "yes"}
    added = change(session, Edit("add", "allowed", value={"name": "bank", "side": "+y", "offset_m": [4, 6]}))
    assert {key for key, answer in places(session).items() if answer == "yes"} == usual | {"bank"}
    change(session, put("answers", "bank", "ask"))
    assert places(session)["bank"] == "ask"
    change(session, put("answers", "bank", None), Edit("drop", added["marks"][0]))
    assert {key for key, answer in places(session).items() if answer == "yes"} == usual


def test_nowhere_to_stand_is_said_with_ways_out(opened):
    session = opened(NETBALL)
    usual = [key for key, answer in places(session).items() if answer == "yes"]
    for key in usual:
        change(session, put("answers", key, "no"))
    assert "yes" not in places(session).values()
    none = session.live.told["none"]
    assert none["words"].startswith("There's nowhere to stand.")
    with pytest.raises(FaultError):
        session.save(base=session.change)
    way_out = none["remedies"][0]["edits"][0]
    change(session, Edit(way_out["do"], way_out["part"], way_out["field"], way_out["value"]))
    assert session.live.asked[-1] == session.change


def test_another_sport_takes_out_what_only_the_old_one_knows(opened):
    session = opened(None)
    change(session, put("match", "sport", "football"), put("venue", "length_m", 101))
    change(session, put("answers", "halfway", "no"), put("must_cover", "goal", 0.2), put("venue", "name", "Heron Lane"))
    change(session, Edit("add", "furniture", value={"what": "dugout", "there": False}))
    change(session, put("match", "sport", "basketball"), what="choose basketball")
    assert session.history.text.text == '[match]\nsport = "basketball"\n\n[venue]\nname = "Heron Lane"\n'
    session.undo(base=session.change, page="a")
    assert session.match_event()["ground"]["length_m"] == 101


def test_benches_on_the_other_side_turn_the_ground_and_the_names(opened):
    session = opened('[match]\nsport = "football"\n')
    ground = session.match_event()["ground"]
    assert (ground["benches"], ground["bottom"], ground["sides"]["+x"]["at"]) == ("+y", "+y", "left")
    choice = next(c for c in ground["bench_choices"] if c["side"] == "-y")
    change(session, *(Edit(e["do"], e["part"], e.get("field", ""), e.get("value")) for e in choice["edits"]))
    ground = session.match_event()["ground"]
    assert (ground["benches"], ground["bottom"], ground["sides"]["+x"]["at"]) == ("-y", "-y", "right")
    assert ground["sides"]["-y"]["name"] == "bench side"
    back = next(c for c in ground["bench_choices"] if c["side"] == "+y")
    change(session, *(Edit(e["do"], e["part"], e.get("field", ""), e.get("value")) for e in back["edits"]))
    assert session.match_event()["ground"]["sides"]["+y"]["name"] == "bench side"
    assert "furniture" not in session.history.text.text


OTHER = "# other\n" + NETBALL.replace("true", "false")


def foreign(session, text=OTHER):
    session.places.file.write_text(text)
    session.look_at_disk()
    return session


def test_what_others_wrote_is_never_overwritten(opened):
    session = foreign(opened(NETBALL))
    change(session, put("match", "title", "Cup"))
    _, said = next(h for h in session.heard if h[0] == "disk")
    assert said["differs"] == [["day, minors", "yes", "no"]]
    with pytest.raises(DiskError):
        session.save(base=session.change)
    assert session.places.file.read_text().startswith("# other")


def test_mine_disk_or_both(opened):
    session = foreign(opened(NETBALL))
    change(session, put("match", "title", "Cup"))
    session.resolve("mine", base=session.change, page="a")
    assert session.places.file.read_text() == session.history.text.text
    assert session.keeper.differs is None
    foreign(session)
    done = session.resolve("disk", base=session.change, page="a")
    assert done["text"].startswith("# other")
    session.undo(base=session.change, page="a")
    assert 'title = "Cup"' in session.history.text.text
    foreign(session, "# third\n" + NETBALL)
    session.resolve("both", base=session.change, page="a")
    assert session.places.file.name == "match-2.toml"
    assert 'title = "Cup"' in session.places.file.read_text()
    assert session.places.file.with_name("match.toml").read_text().startswith("# third")


def test_a_file_that_changes_again_while_one_decides_is_shown_again(opened):
    session = foreign(opened(NETBALL))
    session.places.file.write_text("# once more\n" + NETBALL)
    with pytest.raises(DiskError):
        session.resolve("mine", base=session.change, page="a")
    assert session.places.file.read_text().startswith("# once more")


def test_gone_linked_and_unreadable_files_are_not_overwritten(opened, tmp_path):
    session = opened(NETBALL)
    file = session.places.file
    file.unlink()
    with pytest.raises(DiskError) as error:
        session.save(base=1)
    assert error.value.differs["gone"]
    other = tmp_path / "other.toml"
    other.write_text(NETBALL)
    file.symlink_to(other)
    with pytest.raises(DiskError):
        session.save(base=1)
    file.unlink()
    os.mkfifo(file)
    with pytest.raises(DiskError):
        session.save(base=1)
    file.unlink()
    file.write_text(NETBALL)
    assert session.save(base=1)["file"] == "match.toml"
    assert other.read_text() == NETBALL


def test_a_change_between_reading_and_replacing_wins(opened, monkeypatch):
    session = opened(NETBALL)
    change(session, put("match", "title", "Cup"))
    written = disk.written_part

    def meanwhile(path, raw):
        path.write_text("# editor\n" + NETBALL)
        return written(path, raw)

    monkeypatch.setattr(disk, "written_part", meanwhile)
    with pytest.raises(OutputError, match="nothing was overwritten"):
        session.save(base=session.change)
    assert session.places.file.read_text().startswith("# editor")
    assert not list(session.places.file.parent.glob(".*.part"))


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_the_encoding_of_a_file_stays(opened, tmp_path, encoding):
    session = opened(None)
    session.places.file.write_bytes(NETBALL.encode(encoding))
    session = Session(session.places, lambda *_: None, lambda *_: lambda out: [])
    change(session, put("day", "minors", False))
    session.save(base=session.change)
    assert session.places.file.read_bytes().decode(encoding) == NETBALL.replace("true", "false")


def test_unsaved_changes_are_kept_in_a_net(opened):
    session = opened(NETBALL)
    assert session.close() is None
    change(session, put("match", "title", "Cup"))
    net = session.close()
    assert net == session.places.out / "unsaved-match.toml"
    assert read_match(net).title == "Cup"
    session.save(base=session.change)
    assert not net.exists()


def test_what_a_page_opens_comes_as_one_step(opened):
    session = opened(NETBALL)
    session.replace('[match]\nsport = "futsal"\n', base=1, page="a", what="open hall.toml")
    assert session.match_event()["ground"]["sport"] == "futsal"
    with pytest.raises(FaultError):
        session.replace("[match", base=2, page="a", what="open broken.toml")
    assert session.undo(base=2, page="a")["text"] == NETBALL


def test_a_file_that_is_no_toml_is_an_error_of_the_command(opened):
    with pytest.raises(InputError):
        opened("[match\n")


def test_nothing_is_written_outside(opened, tmp_path):
    session = opened(NETBALL)
    change(session, put("match", "title", "../../x"), put("venue", "name", "/etc/passwd"))
    session.save(base=session.change)
    assert {p.name for p in Path(tmp_path).iterdir()} == {"match.toml", "plan"} & {p.name for p in tmp_path.iterdir()}


def test_a_file_in_no_folder_and_a_folder_without_grounds_are_errors_of_the_command(tmp_path):
    for source in (tmp_path / "nowhere" / "match.toml", tmp_path):
        result = CliRunner().invoke(command, [str(source), "--no-browser"])
        assert isinstance(result.exception, InputError), source


def test_only_the_page_needs_its_libraries():
    """Everything else starts as fast as before: nothing outside imports what the page needs."""
    root = Path(__file__).resolve().parents[3]
    needs = re.compile(r"^\s*(?:from|import) (?:starlette|uvicorn|tomlrt|standmark\.cli\.open)\b", re.MULTILINE)
    found = {
        path.relative_to(root).as_posix()
        for floor in ("geometry", "sports", "optimizer", "cli")
        for path in (root / floor).rglob("*.py")
        if needs.search(path.read_text(encoding="utf-8"))
    }
    assert {path for path in found if not path.startswith("cli/open/")} == {"cli/commands/open.py"}
    assert len(found) > 5


LANTERN = '[match]\nsport_file = "sports/lantern-ball.toml"  # ours\n'


def test_files_beside_the_match_are_parsed_once_at_most(opened, tmp_path, monkeypatch):
    own = Path(__file__).parents[3] / "examples" / "sports" / "lantern-ball.toml"
    (tmp_path / "lantern.toml").write_bytes(own.read_bytes())
    (tmp_path / "broken.toml").write_text('extends = "nothing"\n')
    (tmp_path / "other.toml").write_text('[match]\nsport = "tennis"  # no moment, no area of its own\n')
    parsed = []
    parse = file.parse_toml
    monkeypatch.setattr(
        file, "parse_toml", lambda text, *, name: parsed.append(Path(name).name) or parse(text, name=name)
    )
    session = opened(NETBALL)
    for title in ("one", "two"):
        change(session, put("match", "title", title))
        assert [sport["file"] for sport in session.match_event()["own_sports"]] == ["lantern.toml"]
    assert parsed.count("lantern.toml") == parsed.count("broken.toml") == 1
    assert "other.toml" not in parsed


def test_a_sport_of_ones_own_is_opened_changed_and_saved_and_another_takes_its_place(opened, tmp_path):
    (tmp_path / "sports").mkdir()
    own = Path(__file__).parents[3] / "examples" / "sports"
    for name in ("lantern-ball.toml", "evening-football.toml"):
        (tmp_path / "sports" / name).write_bytes((own / name).read_bytes())
    (tmp_path / "sports" / "broken.toml").write_text("extends = 3\n")
    session = opened(LANTERN)
    told = session.match_event()
    assert [sport["file"] for sport in told["own_sports"]] == [
        "sports/evening-football.toml",
        "sports/lantern-ball.toml",
    ]
    assert told["own_sports"][1]["presets"][1]["size_m"] == [28, 16]
    assert {moment["key"] for moment in told["own_sports"][1]["moments"]} >= {"goal", "celebration"}
    assert (told["ground"]["sport_name"], told["ground"]["can_walk"]) == ("Lantern ball", False)
    change(session, Edit("put", "match", "preset", "junior"), Edit("put", "venue", "length", "30 yd"))
    session.save(base=session.change)
    assert session.places.file.read_text() == LANTERN + 'preset = "junior"\n\n[venue]\nlength = "30 yd"\n'

    change(session, Edit("put", "match", "sport", "netball"))
    assert session.match_event()["said"]["match"] == {"sport": "netball"}
    change(session, Edit("put", "match", "sport_file", "sports/evening-football.toml"))
    assert session.match_event()["said"]["match"] == {"sport_file": "sports/evening-football.toml"}
    assert session.match_event()["ground"]["sport_name"] == "Evening football"


def test_the_end_does_not_wait_for_a_plan_that_is_being_saved(opened):
    session, looked = opened(NETBALL), threading.Event()

    def plan(match, stopped):
        while not stopped():
            looked.set()
        raise Stopped

    session.make_plan = plan
    saving = soon(session.save, base=session.change)
    assert looked.wait(10)
    session.close()
    assert saving.result(10)["no_plan"] == "standmark was stopped before the plan was made"
    assert session.is_plan_left_out


def test_files_that_are_being_written_at_the_end_are_written(opened):
    session, begun, go_on = opened(NETBALL), threading.Event(), threading.Event()

    def write(out):
        begun.set()
        assert go_on.wait(10)
        return ["plan.json"]

    session.make_plan = lambda match, stopped: write
    saving = soon(session.save, base=session.change)
    assert begun.wait(10)
    closing = soon(session.close)
    assert not closing.done()
    go_on.set()
    closing.result(10)
    assert saving.result(10)["files"] == ["plan.json"]
    assert not session.is_plan_left_out
