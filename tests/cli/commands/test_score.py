"""The commands score, compare and zones as a user types them."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from shapely.geometry import box

from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.input.given_positions import parse_at
from standmark.cli.input.plan_file import read_plan
from standmark.cli.main import standmark
from standmark.geometry.errors import InputError
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import plan
from standmark.sports.library import load_definition, load_sport

MATCH = """
[match]
sport = "football"
title = "Small match"
cover = "ours"

[[venue.allowed]]
name = "south"
line = [[-40, -38], [40, -38]]
lens_height_m = [1.2, 2.0]

[[venue.allowed]]
name = "east"
line = [[57, -30], [57, -6]]
lens_height_m = [1.2, 1.2]

[[camera]]
name = "A"
lenses = ["24-70", "70-200"]

[[camera]]
name = "B"
lenses = ["70-200"]

[weights]
"""
KEPT = ("goal", "shot")


def run(*args):
    return CliRunner().invoke(standmark, [str(arg) for arg in args])


def message(*args):
    shown = run(*args)
    assert isinstance(shown.exception, InputError), shown.exception or shown.output
    text = str(shown.exception)
    assert len(text.splitlines()) == 1, text
    return text


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    """A match file, its plans for one and two cameras, and some events."""
    folder = tmp_path_factory.mktemp("ground")
    others = [f"{m.key} = 0\n" for m in load_sport("football").moments if m.key not in KEPT]
    (folder / "match.toml").write_text(MATCH + "".join(others))
    for cameras in (1, 2):
        found = plan(read_match(folder / "match.toml", cameras=cameras))
        (folder / f"plan-{cameras}").mkdir()
        (folder / f"plan-{cameras}" / "plan.json").write_bytes(plan_bytes(found))
    rng = np.random.default_rng(20)
    rows = [f"{x:.1f},{y:.1f},{moment},{1 + k % 2},m{k % 12}"
            for k, (x, y, moment) in enumerate(zip(rng.normal(42, 4, 240).clip(20, 52), rng.normal(0, 6, 240),
                                                   ["goal", "shot", "shot", ""] * 60, strict=True))]  # fmt: skip
    (folder / "events.csv").write_text("x_m,y_m,moment,period,match_id\n" + "\n".join(rows) + "\n")
    return folder


def test_a_plan_scores_its_own_coverage_to_the_last_digit(ground):
    path = ground / "plan-2" / "plan.json"
    done = run("score", ground / "match.toml", "--plan", path, "--json")
    assert done.exit_code == 0, done.output
    scored, planned = json.loads(done.stdout), json.loads(path.read_text())
    assert scored["schema"] == "standmark.score/1"
    assert scored["coverage"] == pytest.approx(planned["coverage"], abs=1e-9)
    assert scored["loss"] == pytest.approx(0, abs=1e-9)
    assert scored["optimum"]["upper_bound"] >= scored["coverage"] - 1e-9
    assert scored["not_allowed"] == []
    for mine, theirs in zip(scored["periods"], planned["periods"], strict=True):
        assert mine["coverage"] == pytest.approx(theirs["coverage"], abs=1e-9)
        assert mine["by_moment"] == theirs["by_moment"]


def test_score_tells_loss_factors_change_and_habits_and_writes_a_picture(ground, tmp_path):
    done = run("score", ground / "match.toml", "--at", "A=38,-38,1.6:24-70", "--out", tmp_path / "out")
    assert done.exit_code == 0, done.output
    text = " ".join(done.output.split())
    for part in ("% more.", "best plan under the same rules gets", "what it gets, on average", "faces",
                 "What to change first", "take 70-200", "what people usually do", "level with halfway",
                 "not allowed here", "Ask first"):  # fmt: skip
        assert part in text, part
    document = json.loads((tmp_path / "out" / "score.json").read_text())
    assert document["loss"] > 0
    assert document["changes"][0]["gain"] == max(change["gain"] for change in document["changes"])
    assert {habit["key"] for habit in document["habits"]} >= {"halfway", "halfway-high", "behind-target", "corner"}
    assert (tmp_path / "out" / "score.png").read_bytes().startswith(b"\x89PNG")
    refused = run("score", ground / "match.toml", "--at", "A=38,-38", "--out", tmp_path / "out")
    assert "--force" in str(refused.exception)


def test_the_same_question_gets_the_same_bytes(ground, tmp_path):
    for name in ("one", "two"):
        done = run("score", ground / "match.toml", "--at", "A=38,-38", "--no-optimum", "--out", tmp_path / name)
        assert done.exit_code == 0, done.output
    for name in ("score.json", "score.svg", "score.png"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_lens_of_the_kit_is_found_by_its_focal_lengths_and_another_is_told(ground):
    kit = run("score", ground / "match.toml", "--at", "A=20,-38,1.6:70-200", "--no-optimum", "--json")
    assert "note" not in kit.stderr
    other = run("score", ground / "match.toml", "--at", "A=20,-38,1.6:400/5.6", "--no-optimum", "--json")
    assert "note: 400/5.6 is not among the lenses of camera A" in other.stderr
    assert json.loads(other.stdout)["periods"][0]["cameras"][0]["lens"] == "400/5.6"


def test_a_plan_brings_its_own_sport_and_further_cameras(ground, tmp_path):
    more = tmp_path / "plan.json"
    document = json.loads((ground / "plan-2" / "plan.json").read_text())
    for period in document["periods"]:
        period["cameras"][1]["name"] = "C"  # as planned with more cameras than the file has
    more.write_text(json.dumps(document))
    done = run("score", ground / "match.toml", "--plan", more, "--no-optimum", "--json")
    assert done.exit_code == 0, done.output or done.exception
    assert [c["name"] for c in json.loads(done.stdout)["periods"][0]["cameras"]] == ["A", "C"]
    alone = run("score", "--plan", ground / "plan-1" / "plan.json", "--no-optimum", "--json")
    assert json.loads(alone.stdout)["sport"] == "football"
    document["playing_area"]["length_m"] = 90
    more.write_text(json.dumps(document))
    assert "a plan for a ground of 90 x 68 m" in message("score", ground / "match.toml", "--plan", more)


def test_a_place_for_one_period_and_the_best_lens_when_none_is_named(ground):
    done = run("score", ground / "match.toml", "--at", "A=20,-38", "--at", "A@second-half=-20,-38,1.3:300/4",
               "--no-optimum", "--json")  # fmt: skip
    assert done.exit_code == 0, done.output
    document = json.loads(done.stdout)
    first, second = (period["cameras"][0] for period in document["periods"])
    assert (first["position"]["x_m"], first["position"]["z_m"], first["lens"]) == (20, 1.6, "70-200")
    assert (second["position"]["x_m"], second["position"]["z_m"], second["lens"]) == (-20, 1.3, "300/4")
    assert document["optimum"] is None
    assert document["loss"] is None


def test_events_are_scored_with_an_interval(ground):
    done = run("score", ground / "match.toml", "--at", "A=20,-38", "--no-optimum", "--json",
               "--events", ground / "events.csv")  # fmt: skip
    assert done.exit_code == 0, done.output
    events = json.loads(done.stdout)["events"]["choice"]
    assert (events["events"], events["matches"]) == (240, 12)
    low, high = events["interval_95"]
    assert low < events["captured"] < high
    assert {"goal", "shot"} <= set(events["by_moment"])
    words = run("score", ground / "match.toml", "--at", "A=20,-38", "--no-optimum", "--events", ground / "events.csv")
    assert "Real events: 240 of 12 matches" in words.output


WRONG_AT = {
    "A": "cannot be read",
    "A=1": "cannot be read",
    "=1,2": "cannot be read",
    "A=1,2,3,4": "cannot be read",
    "A=one,2": '"one" is not a number',
    "A=1,nan": '"nan" is not a number',
    "A=9999,2": "out of range",
    "A=1,2,-1": "out of range",
}


@pytest.mark.parametrize("words", sorted(WRONG_AT))
def test_wrong_positions_are_told_with_the_form(words):
    with pytest.raises(InputError) as caught:
        parse_at(words)
    assert WRONG_AT[words] in str(caught.value)
    assert "A=52.5,-8,1.6:70-200" in str(caught.value) or "allowed" in str(caught.value)


def test_wrong_requests_are_told_in_one_line(ground, tmp_path):
    match, plan = ground / "match.toml", ground / "plan-1" / "plan.json"
    assert "give positions with --at" in message("score", match)
    assert "give positions with --at" in message("score", match, "--at", "A=1,2", "--plan", plan)
    assert "either a match file or --sport" in message("score", "--at", "A=1,2")
    assert 'camera "C" not known; the match file has A, B' in message("score", match, "--at", "C=1,2")
    assert 'did you mean "first-half"?' in message("score", match, "--at", "A@first-haf=1,2")
    assert "write one of 24-70, 70-200" in message("score", match, "--at", "A=1,2:big")
    assert "has a place already" in message("score", match, "--at", "A=1,2", "--at", "A=3,4")
    assert "no place given for Second half" in message("score", match, "--at", "A@first-half=1,2")
    assert "a plan for football" in message("score", "--sport", "netball", "--plan", plan)
    bad = tmp_path / "events.csv"
    bad.write_text("x_m,y_m\n1,2\n3,x\n")
    late = message("score", match, "--at", "A=1,-38", "--no-optimum", "--events", bad)
    assert "row 3: y_m: not a number" in late
    nine = [arg for name in "ABCDEFGHJ" for arg in ("--at", f"{name}=1,-38")]
    assert "9 cameras; allowed: up to 8" in message("score", "--sport", "football", *nine)


WRONG_PLANS = {
    "not JSON": ("{", "not JSON, line 1"),
    "a list": ("[]", "not a plan"),
    "another document": ('{"schema": "other/1"}', 'not a plan (schema "other/1")'),
    "empty plan": ('{"schema": "standmark.plan/1"}', "sport"),
    "deep": ("[" * 100_000, "not JSON"),
    "not text": ("\udcff", "not JSON"),
}


@pytest.mark.parametrize("case", sorted(WRONG_PLANS))
def test_wrong_plans_are_told_in_one_line(case, tmp_path):
    text, part = WRONG_PLANS[case]
    path = tmp_path / "plan.json"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(InputError) as caught:
        read_plan(path)
    assert part in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_a_hostile_camera_name_never_reaches_the_terminal(ground, tmp_path):
    document = json.loads((ground / "plan-1" / "plan.json").read_text())
    document["periods"][0]["cameras"][0]["name"] = "\x1b[31mA"
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(document))
    assert message("score", ground / "match.toml", "--plan", path).isprintable()


def test_compare_says_what_differs_and_who_wins(ground, tmp_path):
    paths = [ground / f"plan-{n}" / "plan.json" for n in (1, 2)]
    done = run("compare", *paths, "--out", tmp_path / "out")
    assert done.exit_code == 0, done.output
    assert "The second plan is worth" in done.output
    assert "only in the second plan" in done.output
    document = json.loads((tmp_path / "out" / "compare.json").read_text())
    one, two = (json.loads(path.read_text()) for path in paths)
    assert document["gain"] == pytest.approx(two["coverage"] - one["coverage"])
    assert document["coverage"] == [one["coverage"], two["coverage"]]
    minutes = [period["minutes"] for period in one["periods"]]
    for what in ("by_moment", "seen_by_moment"):
        goals = [period[what]["goal"] for period in one["periods"]]
        by_hand = sum(m * g for m, g in zip(minutes, goals, strict=True)) / sum(minutes)
        assert document[what]["goal"][0] == pytest.approx(by_hand, abs=1e-6)
    got = f"You get {100 * one['seen']:.0f} % of the match, {100 * one['faces']:.0f} % of that with faces"
    assert got in " ".join(done.output.split())
    goals = [round(100 * share) for share in document["seen_by_moment"]["goal"]]
    assert re.search(rf"Goal +{goals[0]} % +{goals[1]} %", done.output)
    assert (tmp_path / "out" / "compare.png").read_bytes().startswith(b"\x89PNG")
    same = run("compare", paths[0], paths[0])
    assert "Both are worth the same." in same.output
    assert "the same" in same.output


def test_compare_counts_metres_and_names_other_questions(ground, tmp_path):
    path = ground / "plan-1" / "plan.json"
    document = json.loads(path.read_text())
    document["deliverable"] = "analysis"
    camera = document["periods"][0]["cameras"][0]
    camera["position"]["x_m"] += 3
    camera["position"]["y_m"] += 4
    camera["position"]["z_m"] += 0.5
    camera["lens"] = "24-70"
    (tmp_path / "moved.json").write_text(json.dumps(document))
    text = run("compare", path, tmp_path / "moved.json").output
    assert "5.0 m apart, lens 0.5 m higher, 24-70 instead of" in text
    assert "not planned for the same: deliverable: highlights and analysis" in text
    document["sport"] = "netball"
    (tmp_path / "other.json").write_text(json.dumps(document))
    assert "give two of a sport" in message("compare", path, tmp_path / "other.json")


def test_zones_make_a_definition_that_loads_and_plans(ground, tmp_path):
    out = tmp_path / "own.toml"
    done = run("zones", ground / "events.csv", "--sport", "football", "-o", out, "--picture", tmp_path / "zones.png",
               "--title", 'A "league" of our own', "--rates")  # fmt: skip
    assert done.exit_code == 0, done.output
    assert "Log-likelihood" in done.output
    assert "Rows without a moment, left out: 60" in done.output
    own, old = load_sport(out), load_sport("football")
    by_key = {moment.key: moment for moment in own.moments}
    assert sum(zone.weight for zone in by_key["shot"].zones) == pytest.approx(1)
    assert by_key["shot"].zone_source == "own-events"
    assert by_key["shot"].rate_per_match == pytest.approx(10)
    assert own.sources["own-events"].title == 'A "league" of our own'
    unchanged = {moment.key: moment for moment in old.moments}
    assert by_key["save"] == unchanged["save"]
    assert by_key["card"] == unchanged["card"]
    assert own.brief == old.brief
    assert (tmp_path / "zones.png").read_bytes().startswith(b"\x89PNG")
    again = tmp_path / "again.toml"
    assert run("zones", ground / "events.csv", "--sport", out, "-o", again).exit_code == 0
    assert load_sport(again).moments
    match = tmp_path / "match.toml"
    match.write_text('[match]\nsport = "football"\nsport_file = "own.toml"\n')
    assert run("check", match).exit_code == 0


def timed_events():
    """Two matches in which a side comes forward by a zone with every play and then loses the ball."""
    rows = ["match_id,time_s,x_m,y_m,side,moment"]
    for match in ("one", "two"):
        for play in range(120):
            x_m, side = (-40, -15, 15, 40)[play % 4], "AB"[play // 4 % 2]
            rows.append(f"{match},{20 * play},{x_m},{play % 7},{side},{'shot' if x_m == 40 else 'duel'}")
    return "\n".join(rows) + "\n"


def test_zones_count_how_play_moves(tmp_path):
    (tmp_path / "timed.csv").write_text(timed_events())
    out = tmp_path / "league.toml"
    done = run(
        "zones", tmp_path / "timed.csv", "--sport", "football", "--flow", "--flow-zones", "4", "--most", "1", "-o", out
    )
    assert done.exit_code == 0, done.output
    assert "240 plays of 2 matches" in done.stdout
    assert "after 24 % the other side has the next" in done.stdout.replace("\n", " ")
    flow = load_sport(out).play_flow
    assert [kind.key for kind in flow.kinds] == ["play"]
    assert flow.plays_per_match == 120
    following = {(s.state, s.after, s.is_turned): (s.chance, s.walk_s) for s in flow.steps if s.chance > 1e-6}
    assert following == {
        (0, 1, False): (pytest.approx(1), 12), (1, 2, False): (pytest.approx(1), 12),
        (2, 3, False): (pytest.approx(1), 12), (3, 0, True): (pytest.approx(1), 12),
    }  # fmt: skip
    again = run("zones", tmp_path / "timed.csv", "--sport", out, "--flow", "-o", tmp_path / "more.toml")
    assert again.exit_code != 0
    assert "has [play_flow] already" in str(again.exception)


def test_zones_name_what_is_wrong_with_times(tmp_path):
    def wrong(text, sport):
        (tmp_path / "timed.csv").write_text(text)
        done = run("zones", tmp_path / "timed.csv", "--sport", sport, "--flow", "-o", tmp_path / "own.toml")
        assert done.exit_code != 0
        return f"{done.output} {done.exception}"

    told = timed_events()
    assert 'row 3: time_s: must be a number from 0 to 36000 (got "soon")' in wrong(
        told.replace("one,20,", "one,soon,", 1), "football"
    )
    assert 'row 2: side: must be A or B (got "C")' in wrong(told.replace(",A,", ",C,", 1), "football")
    assert 'column "time_s" is missing' in wrong(told.replace("time_s", "second", 1), "football")
    assert "--flow: Baseball has no two ends" in wrong(
        told.replace("shot", "infield-play").replace("duel", "infield-play"), "baseball"
    )


@pytest.mark.parametrize("key", ["basketball", "baseball", "australian-football"])
def test_zones_can_be_made_for_any_form_of_ground(key, tmp_path):
    sport = load_sport(key)
    moment = next(m for m in sport.moments if m.is_play)
    low_x, low_y, high_x, high_y = sport.area.outline.bounds
    rng = np.random.default_rng(2)
    x = rng.normal(0.5 * high_x, 0.1 * (high_x - low_x), 300).clip(low_x, high_x)
    y = rng.normal(0, 0.1 * (high_y - low_y), 300).clip(low_y, high_y)
    rows = "".join(f"{a:.2f},{b:.2f}\n" for a, b in zip(x, y, strict=True))
    (tmp_path / "events.csv").write_text("x_m,y_m\n" + rows)
    out = tmp_path / "own.toml"
    done = run("zones", tmp_path / "events.csv", "--sport", key, "--moment", moment.key, "-o", out)
    assert done.exit_code == 0, done.output or done.exception
    own = next(m for m in load_sport(out).moments if m.key == moment.key)
    assert own.zone_source == "own-events"
    assert {m.key for m in load_sport(out).moments} == {m.key for m in sport.moments}


def test_strokes_behind_the_baseline_keep_their_place(tmp_path):
    # Baseline of tennis at 23.77 / 2 = 11.885 m; strokes 2 to 3 m behind it, a few 9 m, as far as no zone or run-off.
    rng = np.random.default_rng(3)
    x = np.concatenate([-rng.uniform(13.9, 14.9, 290), np.full(10, -20.9)])
    rows = "".join(
        f"{a:.2f},{b:.2f},{i % 9}\n" for i, (a, b) in enumerate(zip(x, rng.uniform(-2, 2, 300), strict=True))
    )
    (tmp_path / "events.csv").write_text("x_m,y_m,match_id\n" + rows)
    out = tmp_path / "own.toml"
    done = run("zones", tmp_path / "events.csv", "--sport", "tennis", "--moment", "stroke", "-o", out)
    assert done.exit_code == 0, done.output
    assert "Zones reach beyond the playing area" in done.output
    assert "farther off than the sport's surroundings: Rally stroke from the baseline 10" in " ".join(
        done.output.split()
    )
    assert '"-end - ' in out.read_text()
    zones = next(m for m in load_sport(out).moments if m.key == "stroke").zones
    band = box(-15.2, -2.4, -13.6, 2.4)
    assert sum(z.weight * z.shape.intersection(band).area / z.shape.area for z in zones) > 0.9


def test_events_off_the_playing_area_are_left_out_and_said_so(tmp_path):
    rng = np.random.default_rng(4)
    x = np.concatenate([rng.uniform(40, 52.5, 395), [52.9, 54.6, 54.6, 54.6, 54.6]])
    rows = "".join(
        f"{a:.2f},{b:.2f},{i % 9}\n" for i, (a, b) in enumerate(zip(x, rng.uniform(-9, 9, 400), strict=True))
    )
    (tmp_path / "events.csv").write_text("x_m,y_m,match_id\n" + rows)
    done = run("zones", tmp_path / "events.csv", "--sport", "football", "--moment", "shot", "-o", tmp_path / "own.toml")
    assert done.exit_code == 0, done.output
    assert "Left out because they are off the playing area: Shot 4" in done.output
    shot = next(m for m in load_sport(tmp_path / "own.toml").moments if m.key == "shot")
    assert max(zone.shape.bounds[2] for zone in shot.zones) == pytest.approx(52.5)


def test_rates_that_count_an_event_more_often_raise_its_number(tmp_path):
    rows = "".join(
        f"{45 + i % 7},{i % 11 - 5},shot,{i % 4}\n" for i in range(200)
    )  # 50 a match; 23.6 in the definition
    (tmp_path / "events.csv").write_text("x_m,y_m,moment,match_id\n" + rows)
    for sport, out in (("football", tmp_path / "own.toml"), (tmp_path / "own.toml", tmp_path / "again.toml")):
        done = run("zones", tmp_path / "events.csv", "--sport", sport, "--rates", "-o", out)
        assert done.exit_code == 0, done.output
    definition = load_definition(tmp_path / "own.toml").definition
    others = sum(m.rate_per_match for m in definition.moment if m.event == "shot" and m.key != "shot")
    assert definition.events["shot"].per_match == pytest.approx(50 + others, abs=0.01)
    assert definition.events["corner"].per_match == 9.9


def test_wrong_zone_requests_are_told_in_one_line(ground, tmp_path):
    out, few = tmp_path / "own.toml", tmp_path / "few.csv"
    few.write_text("x_m,y_m,moment\n1,2,goal\n")
    assert "no key moment has the 50 events" in message("zones", few, "--sport", "football", "-o", out)
    few.write_text("x_m,y_m\n1,2\n")
    assert "has no column moment" in message("zones", few, "--sport", "football", "-o", out)
    near = message("zones", few, "--sport", "football", "-o", out, "--moment", "gaol")
    assert 'did you mean "goal"?' in near
    both = message("zones", ground / "events.csv", "--sport", "football", "-o", out, "--moment", "goal")
    assert "has a column moment already" in both
    assert not out.exists()
    assert not Path(f"{out}.part").exists()


def test_indoors_nobody_is_warned_of_the_sun():
    inside, outside = (
        " ".join(run("score", "--sport", sport, "--at", at, "--no-optimum").output.split())
        for sport, at in (("badminton", "A=9,2"), ("football", "A=57,12"))
    )
    assert "keep the lens off the sun" in outside
    assert "sun" not in inside
    assert "Watch the ball" in inside
