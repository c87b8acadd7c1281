"""Advice on its way out: words that say the figures, JSON that holds them, a table of spots that can be read back."""

import csv
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from small_match import EAST, SIDE, WEST, small_match

from standmark.cli.exports.advice_json import spots_csv
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.terminal.live_line import live_line
from standmark.cli.words.advice_words import limit_words
from standmark.cli.words.summary import plan_summary
from standmark.geometry.errors import InputError
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.remedy import Limits, Remedy
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import plan

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="module")
def two():
    hire = (Lens("100-400", (100.0, 400.0)),)
    return plan(small_match(cameras=2, areas=(SIDE, EAST, WEST), cover="ours", hire=hire), advice="full")


def test_document_holds_the_advice(two):
    document = json.loads(plan_bytes(two))
    assert document["second_angle"] == pytest.approx(two.second_angle, abs=1e-6)
    period = document["periods"][0]
    assert {d["primary"] for d in period["duties"]} <= {"A", "B"}
    assert period["next_camera"]["gain"] > 0
    camera = period["cameras"][0]
    assert camera["fallback"]["loss"] >= 0
    assert set(camera["tolerance_m"]["left"]) == {"one_point", "three_points", "edge"}
    assert camera["limits"]["words"] in camera["why"]
    assert document["advice"]["intervals"][0]["before"] == "first-half"
    assert [p["cameras"] for p in document["advice"]["curve"]] == [1, 2, 3, 4]
    assert document["advice"]["kit"][0]["lens"]
    assert {r["area"] for r in document["advice"]["refused_areas"]} == {"south", "east", "west"}


def test_document_without_advice_says_so():
    document = json.loads(plan_bytes(plan(small_match())))
    assert document["advice"] is None
    assert "fallback" not in document["periods"][0]["cameras"][0]


def test_table_of_spots_reads_back(two):
    rows = list(csv.DictReader(io.StringIO(spots_csv(two.advice).decode())))
    first = [r for r in rows if r["period"] == "first-half" and r["camera"] == "B"]
    told = two.advice.stages[0].cameras[1].spots
    assert [float(r["coverage"]) for r in first] == pytest.approx(told.coverage, abs=1e-6)
    assert float(first[0]["coverage"]) == max(float(r["coverage"]) for r in first)


def test_everything_is_told_only_where_asked(two):
    text = plan_summary(two, more=True)
    for words in ("Who takes what", "To decide", "If refused,", "After the first half:", "What one more lens would"):
        assert words in text
    short = plan_summary(two)
    assert "To decide" not in short
    assert "add --more" in short


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_terminal(two, width):
    assert max(map(len, plan_summary(two, width=width, more=True).splitlines())) <= width


def test_limits_say_what_would_help_and_by_how_much():
    cost = {"size": 0.12, "faces": 0.03, "clear": 0.02, "light": 0.0, "held": 0.0}
    longer, higher = Remedy("longer lens", 300.0, 0.04), Remedy("higher", 1.5, 0.002)
    text = limit_words(Limits(cost, "size", (longer, higher)))
    assert text == (
        "Part of the action is too small in the picture, or too wide for the lens. "
        "A 300 mm lens would be worth 4 % more."
    )
    facing = limit_words(Limits(cost | {"faces": 0.2}, "faces", (longer, higher)))
    assert facing == "You'll often see backs. A 300 mm lens would be worth 4 % more."
    nothing = limit_words(Limits(cost, "faces", (Remedy("longer lens", 300.0, 0.001),)))
    assert nothing.endswith("Nothing at this place would help.")


def test_match_file_says_what_to_look_into(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text('[match]\nsport = "football"\n[advice]\nfallback_m = 15\nhire = ["100-400/5.6", "300/2.8"]\n')
    match = read_match(path)
    assert match.rules.fallback_m == 15.0
    assert [lens.name for lens in match.hire] == ["100-400/5.6", "300/2.8"]
    path.write_text('[match]\nsport = "football"\n[advice]\nhire = ["big"]\n')
    with pytest.raises(InputError, match=r"advice\.hire.*not a lens"):
        read_match(path)


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_live_line_shows_on_a_terminal_only_and_is_gone_at_the_end():
    terminal = Terminal()
    with live_line(terminal) as tell:
        tell("searching")
    assert "searching" in terminal.getvalue()
    assert terminal.getvalue().endswith("\r\x1b[K")
    with live_line(io.StringIO()) as tell:
        assert tell is None
    with live_line(Terminal(), quiet=True) as tell:
        assert tell is None


def test_clashing_rules_leave_with_their_own_exit_code_and_the_nearest_plan(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text(
        '[match]\nsport = "tennis"\n[[camera]]\nname = "A"\n[[camera]]\nname = "B"\n[rules]\nseparation_m = 400\n'
    )
    done = subprocess.run(
        [sys.executable, "-m", "standmark.cli", "plan", str(path), "--out", str(tmp_path / "out")],
        capture_output=True, text=True, check=False, env=os.environ | {"PYTHONPATH": str(ROOT / ".import")},
    )  # fmt: skip
    assert done.returncode == 3
    assert len(done.stderr.splitlines()) == 1
    assert "rules.separation_m = 400 cannot be kept; nearest plan: rules.separation_m = " in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_gain_after_the_toss_that_takes_walking_says_so():
    found = plan(small_match(areas=(EAST, WEST), cover="ours", first_attack="unknown"), advice="quick")
    words = " ".join(plan_summary(found, more=True).split())
    told = words.split("If we attack the left end first: ")[1].split("If we attack")[0]
    assert re.search(r"and walking in 1 break is worth \d+ % more than this plan\.", told)


def test_areas_that_nobody_needs_are_named():
    found = plan(small_match(areas=(EAST, WEST, SIDE)), advice="quick")
    words = " ".join(plan_summary(found, more=True).split())
    assert "Behind the goals they can say no: nothing lost" in words
