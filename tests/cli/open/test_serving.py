"""`standmark open` as a whole: from nothing to saved sheets, two pages, and every way in which it ends."""

import signal
import time

import pytest
from running_page import Running

from standmark.cli.exports.advice_json import spots_csv
from standmark.cli.exports.plan_json import plan_bytes
from standmark.optimizer import plan, read_match


def put(part, field, value):
    return {"do": "put", "part": part, "field": field, "value": value}


def change(server, base, *edits, what="change"):
    status, answer = server.post("/change", {"page": "k", "base": base, "what": what, "edits": list(edits)})
    assert status == 200, answer
    return answer


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    running = Running(folder=tmp_path_factory.mktemp("open"))
    running.listen()
    yield running
    running.stop()


def test_from_nothing_to_sheets_that_are_those_of_plan(server, tmp_path_factory):
    folder = tmp_path_factory.getbasetemp() / "open0"
    assert server.heard("match")["ground"] is None
    change(server, 1, put("match", "sport", "netball"), what="choose netball")
    change(server, 2, {"do": "add", "part": "allowed", "value": {"name": "bank", "side": "+y", "offset_m": [3, 4.5]}})
    answer = server.heard("answer", lambda data: data["change"] == 3)
    assert not [data for name, data in server.events if name == "answer" and data["change"] < 3]
    stay = answer["cameras"][0]["stays"][0]
    ask = {"change": 3, "seq": 1, "period": stay["periods"][0], "camera": "A", "at": stay["at"]}
    status, worth = server.post("/worth", ask)
    assert (status, worth["at"], worth["allowed"], worth["seq"]) == (200, stay["at"], True, 1)
    assert abs(worth["worth"] - answer["periods"][0]["worth"]) < 1e-5
    assert abs(worth["seen"] - answer["periods"][0]["seen"]) < 1e-5 < worth["seen"] - worth["worth"]
    assert all(abs(worth["moments"][key] - share) < 1e-3 for key, share in answer["periods"][0]["moments"].items())
    assert len(stay["reach"]) == len(answer["frame"]["moments"])
    assert server.post("/worth", ask | {"change": 2})[0] == 409
    assert server.post("/worth", ask | {"camera": "Z"})[0] == 400
    advice = server.heard("advice", lambda data: "ask" in data)
    assert advice["cameras"][0]["refused"]
    assert server.heard("advice", lambda data: "set_up" in data)["set_up"][0]["dial"]["rows"]

    status, saved = server.post("/save", {"base": 3})
    assert (status, saved["no_plan"]) == (200, "")
    assert {path.name for path in (folder / "plan").iterdir()} == set(saved["files"])
    assert (folder / "match.toml").read_text() == server.text
    by_hand = folder / "by-hand.toml"
    by_hand.write_text(server.text)
    again = plan(read_match(by_hand), advice="quick")
    assert plan_bytes(again) == (folder / "plan" / "plan.json").read_bytes()  # all other files are made of it
    assert spots_csv(again.advice) == (folder / "plan" / "spots.csv").read_bytes()
    for name, policy in (("sheet.html", "sandbox"), ("plan.svg", "sandbox"), ("sheet.pdf", "frame-ancestors 'none'")):
        status, headers, raw = server.ask("GET", f"/files/{name}")
        assert (status, raw) == (200, (folder / "plan" / name).read_bytes())
        assert headers["content-security-policy"].startswith(policy)


def test_several_pages_share_all_and_a_fifth_is_turned_away(server):
    before = len(server.events)
    server.listen()
    server.heard("pages", lambda data: data["n"] == 2)
    server.heard("match", lambda data: server.events[before:] and data["change"] == 3)
    for _ in range(2):
        server.listen()
    server.heard("pages", lambda data: data["n"] == 4)
    assert server.ask("GET", "/events")[0] == 429


def test_a_search_that_fails_says_so_and_the_page_goes_on(server):
    base = server.heard("saved")["change"]
    base = change(server, base, put("must_cover", "goal", 1.0))["change"]
    none = server.heard("none", lambda data: data["change"] == base)
    assert none["words"].startswith("You asked for 100 % of the goals")
    for remedy in none["remedies"]:
        base = change(server, base, *remedy["edits"])["change"]
        server.heard("answer", lambda data, base=base: data["change"] == base)
        base = server.post("/undo", {"page": "k", "base": base})[1]["change"]


def test_ctrl_c_ends_with_130_and_says_where_the_changes_are(server, tmp_path_factory):
    folder = tmp_path_factory.getbasetemp() / "open0"
    text = server.text
    net = folder / "plan" / "unsaved-match.toml"
    for _ in range(200):
        if net.exists() and net.read_text() == text:
            break
        time.sleep(0.1)
    assert net.read_text() == text  # while it runs: a killed server keeps it too
    code, said = server.stop(signal.SIGINT)
    assert code == 130
    assert "plan/unsaved-match.toml" in said
    assert net.read_text() == text
    assert server.heard("bye")["words"]


def test_a_league_is_listed_with_what_each_ground_lacks_and_it_ends_by_itself(tmp_path):
    league = tmp_path / "league"
    league.mkdir()
    corner = '[[venue.allowed]]\nname = "corner"\nside = "+x"\nspan_m = [0, 2]\noffset_m = [3, 4]\n'
    (league / "a.toml").write_text(f'[match]\nsport = "netball"\n[venue]\nname = "Salt Hall"\n{corner}')
    (league / "b.toml").write_text('[match]\nsport = "netball"\n[venue]\nlatitude = 200\nlongitude = 0\n')
    running = Running(league, "--idle", "0.02", folder=tmp_path)
    running.listen()
    grounds = running.heard("grounds", lambda data: all(entry["is_looked_at"] for entry in data))
    assert [(g["id"], g["name"], bool(g["short"]), bool(g["fault"])) for g in grounds] == [
        ("a.toml", "Salt Hall", True, False),
        ("b.toml", "b", False, True),
    ]
    assert running.post("/change", {"page": "k", "base": 1, "edits": []})[0] == 400
    assert running.post("/open", {"ground": "a.toml"})[0] == 200
    assert running.heard("match")["file"]["folder"]
    change(running, 1, put("match", "title", "Cup"))
    assert running.post("/open", {"ground": None})[0] == 422
    assert running.post("/open", {"ground": None, "drop": True})[0] == 200
    running.go()
    code, said = running.process.wait(timeout=30), running.process.stderr.read()
    assert (code, "Nobody had the page open" in said) == (0, True)
    assert "Cup" not in (league / "a.toml").read_text()
    assert {path.name for path in tmp_path.iterdir()} == {"league"}
