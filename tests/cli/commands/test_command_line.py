"""The commands as a user types them: what they write, what they refuse, and how they answer."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from standmark.cli.main import COMMANDS, standmark
from standmark.geometry.errors import InputError

ROOT = Path(__file__).resolve().parents[3]


def run(*args, env=None):
    command = [sys.executable, "-m", "standmark.cli", *map(str, args)]
    path = {"PYTHONPATH": str(ROOT / ".import")}
    return subprocess.run(command, capture_output=True, text=True, env=os.environ | path | (env or {}), check=False)


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A two-camera plan made once, as a user would."""
    out = tmp_path_factory.mktemp("plan") / "out"
    done = run("plan", "--sport", "football", "--cameras", 2, "--out", out)
    assert done.returncode == 0, done.stderr
    return done, out


PLANNING = ("standmark.optimizer.advice", "standmark.optimizer.search", "standmark.optimizer.value")


@pytest.mark.parametrize(
    ("asked", "heavy"),
    [
        (["--help"], ("numpy", "scipy", "matplotlib", "shapely", "pydantic")),
        (["check", "examples/heron-lane.toml"], ("scipy", "matplotlib", "reportlab", *PLANNING)),
        (["brief", "netball"], ("scipy", "matplotlib", "reportlab", *PLANNING)),
    ],
    ids=["help", "check", "brief"],
)
def test_quick_commands_load_nothing_heavy(asked, heavy):
    code = (
        "import sys; from standmark.cli.main import main\n"
        f"try: main({asked!r})\n"
        "except SystemExit as end: assert not end.code\n"
        f"heavy = set({heavy!r}) & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT,
        capture_output=True, text=True, env=os.environ | {"PYTHONPATH": str(ROOT / ".import")}, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert ("plan" if asked == ["--help"] else asked[-1].split("/")[-1]) in done.stdout.lower()


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_an_example_and_a_place_in_the_readme(name):
    shown = CliRunner().invoke(standmark, [name, "--help"])
    assert shown.exit_code == 0
    assert f"standmark {name}" in shown.output.split("Options")[0].split("Example")[-1]
    assert f"`standmark {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_no_command_is_told_with_the_nearest():
    done = run("plam")
    assert done.returncode == 2
    assert "did you mean plan" in done.stderr


def test_plan_keeps_its_contract(planned):
    _, out = planned
    document = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert document["schema"] == "standmark.plan/1"
    assert document["sport"] == "football"
    assert document["proven"] is True
    assert 0.3 < document["coverage"] <= document["upper_bound"] + 1e-6 <= 1
    for period in document["periods"]:
        assert {"name", "coverage", "by_moment", "cameras"} <= set(period)
        assert len(period["cameras"]) == 2
        for camera in period["cameras"]:
            assert {"id", "x_m", "y_m", "z_m", "area", "words"} <= set(camera["position"])
            short, long = camera["focal_mm"]
            assert 24 <= short <= long <= 200
            assert camera["pan_deg"][0] < camera["pan_deg"][1]
            assert set(camera["by_moment"]) == set(period["by_moment"])
            assert camera["why"]
            assert camera["coverage"] <= period["coverage"] + 1e-6


def test_plan_says_in_words_where_to_stand(planned):
    done, _ = planned
    for part in ("behind the goal line", "of the goal", "70-200", "Good for", "Weak at", "If refused"):
        assert part in " ".join(done.stdout.split())


def test_plan_draws_pictures(planned):
    _, out = planned
    assert (out / "plan.png").read_bytes().startswith(b"\x89PNG")
    assert (out / "plan.svg").read_text(encoding="utf-8").lstrip().startswith("<?xml")


def test_nothing_is_overwritten_without_force(planned):
    _, out = planned
    before = {path: path.read_bytes() for path in out.iterdir()}
    done = run("plan", "--sport", "football", "--out", out)
    assert done.returncode == 2
    assert "--force" in done.stderr
    assert {path: path.read_bytes() for path in out.iterdir()} == before


def test_starter_file_is_accepted_unchanged(tmp_path):
    for sport in ("football", "basketball", "tennis"):
        path = tmp_path / f"{sport}.toml"
        assert run("new", sport, "-o", path).returncode == 0
        done = run("check", path)
        assert done.returncode == 0, done.stderr
        assert "fine" in done.stdout


def test_check_warns_of_a_camera_fixed_where_nobody_may_stand(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text('[match]\nsport = "football"\n[[camera]]\nname = "A"\nat_m = [0, 0, 1.6]\n', encoding="utf-8")
    done = run("check", path)
    assert done.returncode == 0
    assert done.stderr.startswith(f"{path}:5: camera[1].at_m: warning: ")
    assert "kept clear (playing area" in done.stderr
    path.write_text(path.read_text().replace("[0, 0, 1.6]", "[0, -37.5, 1.6]"), encoding="utf-8")
    assert run("check", path).stderr == ""


def test_check_warns_of_length_and_width_in_each_other_s_place(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text('[match]\nsport = "football"\n[venue]\nlength_m = 64\nwidth_m = 100\n', encoding="utf-8")
    done = run("check", path)
    assert done.returncode == 0
    assert "fine" not in done.stdout
    first, second = done.stderr.splitlines()
    assert first.startswith(f"{path}:4: venue.length_m: warning: 64 m, where the rules of Association football ask for")
    assert second.startswith(f"{path}:5: venue.width_m: warning: 100 m")
    assert first.endswith("length and width look swapped")
    path.write_text(path.read_text().replace("64", "100").replace("width_m = 100", "width_m = 64"), encoding="utf-8")
    assert run("check", path).stderr == ""


def test_unknown_sport_names_the_nearest():
    done = run("plan", "--sport", "fotball", "--out", "nowhere")
    assert done.returncode == 2
    assert "did you mean football" in done.stderr
    assert "Traceback" not in done.stderr
    assert not Path("nowhere").exists()


BASE = '[match]\nsport = "football"\n'
AREA = '[[venue.allowed]]\nname = "end"\nside = "+x"\noffset_m = [5, 7]\n'
WRONG = {
    "unknown key": (BASE + '[venue]\nlenght_m = 100\n', ["venue.lenght_m", "length_m", ":4:"]),
    "unknown sport": ('[match]\nsport = "hokey"\n', ["match.sport", "hokey", ":2:"]),
    "wrong type": (BASE + '[venue]\nlength_m = "100"\n', ["venue.length_m", "number", "100"]),
    "negative size": (BASE + "[venue]\nlength_m = -5\n", ["venue.length_m", "above 0", "-5"]),
    "absurd size": (BASE + "[venue]\nlength_m = 99999\n", ["venue.length_m", "1000", "99999"]),
    "not a number": (BASE + "[venue]\nlength_m = nan\n", ["venue.length_m", "finite", "nan"]),
    "crossing polygon": (
        BASE + '[[venue.allowed]]\nname = "x"\npolygon = [[60, 0], [70, 10], [70, 0], [60, 10]]\n',
        ["venue.allowed[1].polygon", "its edges cross", ":5:"],
    ),
    "lens ends swapped": (BASE + '[[camera]]\nname = "A"\nlenses = ["200-70"]\n', ["camera[1].lenses", "short"]),
    "not a lens": (BASE + '[[camera]]\nname = "A"\nlenses = ["big"]\n', ["camera[1].lenses", "70-200"]),
    "unknown moment": (BASE + "[weights]\ngool = 3\n", ["weights.gool", 'did you mean "goal"?']),
    "unknown area": (BASE + AREA + '[[camera]]\nname = "A"\nareas = ["ent"]\n', ["camera[1].areas", 'mean "end"?']),
    "no time zone": (BASE + "start = 2027-05-08T15:00:00\n", ["match.start", "time zone", "timezone", ":3:"]),
    "unknown time zone": (
        BASE + 'start = 2027-05-08T15:00:00\ntimezone = "Mars/Base"\n', ["match.timezone", "Area/City"]
    ),
    "no such hour": (
        BASE + 'start = 2027-03-28T01:30:00\ntimezone = "Europe/London"\n', ["match.start", "clocks change"]
    ),
    "far away": (
        BASE + '[[venue.allowed]]\nname = "x"\npolygon = [[900, 0], [910, 0], [910, 9]]\n', ["venue.allowed[1]", "500"]
    ),
    "no area left": (
        BASE + '[[venue.allowed]]\nname = "x"\npolygon = [[0, 0], [9, 0], [9, 9]]\n',
        ["venue.allowed", "playing area", ":3:"],
    ),
    "lens too high": (
        BASE + AREA + '[[camera]]\nname = "A"\nlens_height_m = [8, 9]\n',
        ["venue.allowed", "no place", '"end"', "no camera reaches"],
    ),
    "two sizes mixed up": (BASE + "[venue]\nlength_m = 900\nwidth_m = 3\n", ["venue.length_m", "13.1 to 480"]),
    "far fixed camera": (
        BASE + '[[camera]]\nname = "A"\nat_m = [900, 0]\n', ["camera[1].at_m", "at most 500 m", ":5:"]
    ),
    "date in quotes": (BASE + 'start = "tomorrow"\n', ["match.start", "without quotes", ":3:"]),
    "unknown deliverable": (BASE + 'deliverable = "reel"\n', ["match.deliverable", "slow-motion", ":3:"]),
    "no sport at all": ('[match]\ntitle = "x"\n', ["match.sport", "missing"]),
    "no such sport file": ('[match]\nsport_file = "mine.toml"\n', ["match.sport_file", "mine.toml", ":2:"]),
    "not TOML": ("[match\n", [":1:"]),
    "twice the same key": (BASE + 'sport = "tennis"\n', ["given twice", "sport", ":3:"]),
    "no such day": (BASE + "start = 2027-13-08T15:00:00\n", ["2027-13-08", ":3:"]),
    "no year for a match": (BASE + 'start = 9999-12-31T23:59:00Z\n', ["match.start", "1901 to 2099", ":3:"]),
    "long ago": (BASE + 'start = 0001-01-01T00:00:00Z\n', ["match.start", "1901 to 2099", ":3:"]),
    "no such mains": (BASE + "[venue]\nmains_hz = 55\n", ["venue.mains_hz", "allowed: 50, 60", ":4:"]),
    "no camera": ("camera = []\n" + BASE, ["camera", "1 to 8", ":1:"]),
    "lens under the ground": (BASE + '[[camera]]\nname = "A"\nat_m = [0, 40, -3]\n', ["camera[1].at_m", "-3", ":5:"]),
    "no places": (BASE + "[venue]\nusual_places = []\n", ["venue.usual_places", "nowhere to stand", ":4:"]),
    "line break in a name": (BASE + '[venue]\nname = "a\\nb"\n', ["venue.name", "control", ":4:"]),
    "half a place": (BASE + "[venue]\nlatitude = 50.0\n", ["venue", "longitude"]),
}  # fmt: skip


@pytest.mark.parametrize("case", sorted(WRONG))
def test_wrong_input_is_answered_in_one_line(case, tmp_path):
    text, parts = WRONG[case]
    path = tmp_path / "match.toml"
    path.write_text(text, encoding="utf-8")
    out = tmp_path / "out"
    shown = CliRunner().invoke(standmark, ["plan", str(path), "--out", str(out)])
    done = run("plan", path, "--out", out) if case in ("unknown key", "no area left") else None
    message = str(shown.exception)
    assert isinstance(shown.exception, InputError), shown.exception
    assert len(message.splitlines()) == 1, message
    for part in (str(path), *parts):
        assert part in message, message
    assert "(got a " not in message
    assert not out.exists()
    if done is not None:
        assert (done.returncode, "Traceback" in done.stderr, len(done.stderr.splitlines())) == (2, False, 1)


def test_every_mistake_is_told_at_once(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text(BASE + "[venue]\nlength_m = -1\nwidth_m = true\nlux = 0\n", encoding="utf-8")
    done = run("check", path)
    assert done.returncode == 2
    assert [f":{line}:" in text for line, text in zip((4, 5, 6), done.stderr.splitlines(), strict=True)] == [True] * 3


def test_unwritable_folder_is_refused_before_the_work(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    done = run("plan", "--sport", "football", "--out", blocked / "plan")
    assert done.returncode == 2
    assert str(blocked) in done.stderr


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        (["plan"], ["plan: ", "--out", "standmark plan --help"]),
        (["plan", "--sport", "football", "--out", ""], ["empty word"]),
        (["plna"], ['no command "plna"', "did you mean plan"]),
        (
            ["plan", "--sport", "football", "--cameras", "9", "--out", "x"],
            ["plan: ", "--cameras", "9 is not between 1 and 8"],
        ),
    ],
)
def test_command_typed_wrongly_is_answered_in_one_line(typed, parts, capsys):
    from standmark.cli.main import main

    with pytest.raises(SystemExit) as end:
        main(typed)
    assert end.value.code == 2
    message = capsys.readouterr().err
    assert len(message.splitlines()) == 1
    for part in parts:
        assert part in message


def test_looking_at_the_own_feet_is_refused():
    shown = CliRunner().invoke(
        standmark, ["frame", "--sport", "football", "--at", "57,12", "--lens", "70-200", "--look", "57,12"]
    )
    assert "--look: that is where the camera stands" in str(shown.exception)


def test_examples_in_the_help_exist():
    for command in ("plan", "check", "settings", "day"):
        text = CliRunner().invoke(standmark, [command, "--help"]).output
        named = next(word for word in text.split() if word.startswith("examples/"))
        assert (ROOT / named).exists(), named


def test_missing_file_is_named(tmp_path):
    done = run("check", tmp_path / "none.toml")
    assert done.returncode == 2
    assert "none.toml" in done.stderr


def test_full_output_is_told_plainly():
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "standmark.cli", "sports"],
            stdout=full, stderr=subprocess.PIPE, text=True,
            env=os.environ | {"PYTHONPATH": str(ROOT / ".import")}, check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_bug_of_ours_is_one_line_too(monkeypatch, capsys):
    from standmark.cli import main as module

    def fail(**kwargs):
        raise ZeroDivisionError("float division by zero")

    monkeypatch.setattr(module.standmark, "main", fail)
    with pytest.raises(SystemExit) as end:
        module.main(["sports"])
    assert end.value.code == 1
    assert len(capsys.readouterr().err.splitlines()) == 1
    with pytest.raises(ZeroDivisionError):
        module.main(["--debug", "sports"])


def test_a_closed_pipe_is_no_error():
    command = f"{sys.executable} -m standmark.cli new football -o - | head -1"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command],
        capture_output=True, text=True, env=os.environ | {"PYTHONPATH": str(ROOT / ".import")}, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 141)
    assert "Traceback" not in done.stderr


def test_rules_that_leave_no_plan_are_told_with_their_line(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text(BASE + AREA + "[rules]\nmust_cover = { goal = 0.99 }\n", encoding="utf-8")
    done = run("plan", path, "--out", tmp_path / "out")
    assert done.returncode == 3
    assert f"{path}:8: " in done.stderr
    assert "rules.must_cover.goal = 0.99" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "out").exists()
