"""`standmark score --walk`: numbers, a card from a plan, real sequences, mistakes."""

import json

from click.testing import CliRunner

from standmark.cli.main import standmark
from standmark.geometry.errors import InputError

MATCH = """
[match]
sport = "hurling"
[[camera]]
name = "A"
lenses = ["70-200"]
roam = true
"""
EVENTS = """sequence,x_m,y_m,moment,side,from_m,walk_s
1,50,3,point,A,40,5
1,60,5,save,A,55,5
2,-20,10,solo-run,B,-20,25
2,55,0,goal,B,50,5
"""


def run(*words):
    return CliRunner().invoke(standmark, [*map(str, words)])


def test_a_walk_is_judged_with_its_card_and_on_sequences(tmp_path):
    (tmp_path / "match.toml").write_text(MATCH)
    (tmp_path / "plays.csv").write_text(EVENTS)
    planned = run("plan", tmp_path / "match.toml", "--out", tmp_path / "plan", "--quiet")
    assert planned.exit_code == 0, planned.output
    told = run(
        "score", tmp_path / "match.toml", "--walk", "--json", "--plan", tmp_path / "plan" / "plan.json",
        "--events", tmp_path / "plays.csv",
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    verdict = json.loads(told.output)["walks"][0]
    ways = {w["name"]: w["coverage"] for w in verdict["ways"]}
    assert abs(ways["given"] - ways["card"]) < 0.01
    assert ways["policy"] <= verdict["upper_bound"]
    assert verdict["sequences"]["events"] == 4
    played = {w["name"]: w["coverage"] for w in verdict["sequences"]["ways"]}
    assert max(played.values()) == played["free"]
    (tmp_path / "plays.csv").write_text(EVENTS.replace("save", "sav"))
    wrong = run("score", tmp_path / "match.toml", "--walk", "--events", tmp_path / "plays.csv")
    assert isinstance(wrong.exception, InputError)
    assert "row 3: moment: not known" in str(wrong.exception)
    (tmp_path / "match.toml").write_text(MATCH.replace("roam = true", ""))
    assert "no camera has roam" in str(run("score", tmp_path / "match.toml", "--walk").exception)
