"""The largest matches that are accepted, for `hostile.py`: what each plan takes; yields as `hostile_runs.py` does."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from hostile_outputs import folder_of_its_own
from hostile_runs import ROOT

MOST_BYTES = 1500 << 20
LONGEST_S = 90.0  # by the clock, without a time limit; what is held until then counts
LIMIT_S = 1
MOST_S = 3.0  # that the whole command takes with it
COMMAND = "import time; time.monotonic = time.process_time; from standmark.cli.main import main; main()"
FIELD = """[[venue.allowed]]
name = "all round"
polygon = [[-90, -80], [90, -80], [90, 80], [-90, 80]]
lens_height_m = [0.3, 20]
"""
POINTS = ", ".join(f"[{-60 + i * 0.6:.2f}, {-40 - i % 2 * 3}]" for i in range(200))
LINE = f'[[venue.allowed]]\nname = "line"\nline = [{POINTS}]\nlens_height_m = [1, 9]\n'
OBSTACLES = "".join(
    f'[[venue.obstacle]]\nname = "o{i}"\npolygon = [[{x:.2f}, -36], [{x + 0.2:.2f}, -36], [{x + 0.1:.2f}, -35.7]]\n'
    "base_m = 0\ntop_m = 3\n"
    for i, x in enumerate(-60 + 0.39 * i for i in range(300))
)
STRIPS = "".join(
    f'[[venue.allowed]]\nname = "{side} {i}"\nlens_height_m = [1.5, 1.5]\n'
    f"polygon = [[{x}, {low}], [{x + 8}, {low}], [{x + 8}, {low + 44}], [{x}, {low + 44}]]\n"
    for side, low in (("far", 36), ("near", -80))
    for i, x in enumerate(range(-90, 90, 9))
)
RULES = '[rules]\nsame_side = "forbid"\nmust_cover = { goal = 0.3, shot = 0.2 }\n'
HALVES = "wide", "wide", "wide", "wide", "faces", "faces", "faces", "faces"


def large_matches() -> dict[str, str]:
    """Match files by name."""
    return {
        "eight cameras": _match("football", 8, FIELD),
        "eight cameras of one lens": _match("football", 8, FIELD, n_lenses=1),
        "two roles of eight": _match("football", 8, FIELD, roles=("wide", "faces")),
        "eight roles": _match("football", 8, FIELD, roles=HALVES),
        "eight roles, four quarters": _match("american-football", 8, FIELD, roles=HALVES),
        "two roles, ends known": _match("football", 8, FIELD, roles=("wide", "faces"), more='first_attack = "+x"\n'),
        "no moves, five sets": _match("volleyball", 8, FIELD, end='[rules]\nmoves = "never"\n'),
        "a line of 200 points": _match("football", 4, LINE),
        "300 obstacles": _match("football", 4, FIELD + OBSTACLES),
        "forbid and must_cover": _match("football", 8, FIELD, end=RULES),
        "forbid, forty strips": _match("football", 2, STRIPS, n_lenses=1, end=RULES.replace("0.3", "0.1")),
        "a walk, eight lenses": _match("football", 1, FIELD, each="roam = true\n"),
    }


def _match(
    sport: str,
    n_cameras: int,
    places: str,
    *,
    n_lenses: int = 8,
    roles: tuple[str, ...] = (),
    more: str = "",
    each: str = "",
    end: str = "",
) -> str:
    """A match whose cameras all have lenses of their own."""
    cameras = ""
    for i in range(n_cameras):
        lenses = [f"{24 + 7 * k + i}-{70 + 20 * k + i}/{2.8 + 0.1 * i:.1f}" for k in range(n_lenses)]
        role = f'role = "{roles[i]}"\n' if i < len(roles) else ""
        cameras += f'[[camera]]\nname = "{"ABCDEFGH"[i]}"\nlenses = {json.dumps(lenses)}\nlens_height_m = [0.3, 30]\n'
        cameras += role + each
    return f'[match]\nsport = "{sport}"\n{more}[venue]\nname = "Large"\n{places}{cameras}{end}'


def planned_within(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Plan the largest matches, with a time limit and without: none may hold more than it should, or take longer.

    With the limit it is the whole command with its advice and files, by a clock that counts the processor's time, so
    that it ends where it would on a quiet machine.
    """
    del rng
    asked = {"football by default": ""} | large_matches()
    for name, text in list(asked.items())[:n]:
        told = []
        for more in (["--time-limit", str(LIMIT_S)], ["--advice", "none"] if text else None):
            if more is None or time.monotonic() > end:
                break
            code, peak, used_s, said = _planned(text, *more)
            told.append(f"{peak / (1 << 20):.0f} MiB, {used_s:.1f} s of processor time")
            is_late = "--time-limit" in more and used_s > MOST_S
            if peak > MOST_BYTES or is_late or code not in (0, 3, 4, -signal.SIGKILL):
                yield f"{name} {more}: exit {code}, {told[-1]}: {said}"
            else:
                yield ""
        if told:
            bare = f", {told[1]} for the plan alone without a limit" if len(told) > 1 else ""
            yield f"note: {name}: {told[0]} for the command with --time-limit {LIMIT_S}{bare}"


def _planned(text: str, *more: str) -> tuple[int, int, float, str]:
    """Exit code, most memory [bytes], processor time [s] and the first words of the error of one plan.

    Parameters
    ----------
    text : of the match file; "" for football's default ground with eight cameras
    """
    with folder_of_its_own() as folder:
        (folder / "match.toml").write_text(text)
        match = [folder / "match.toml"] if text else ["--sport", "football", "--cameras", "8"]
        words = ["plan", *match, "--out", folder / "plan", "--quiet", *more]
        with Path(folder, "told").open("w+") as told:
            process = subprocess.Popen(
                [sys.executable, "-c", COMMAND, *map(str, words)],
                stderr=told, env=os.environ | {"PYTHONPATH": str(ROOT / ".import")},
            )  # fmt: skip
            begin, done = time.monotonic(), (0, 0, None)
            while not done[0]:
                done = os.wait4(process.pid, os.WNOHANG)
                if not done[0] and time.monotonic() > begin + LONGEST_S:
                    process.kill()
                time.sleep(0.05)
            _, status, used = done
            told.seek(0)
            assert used is not None
            return (
                os.waitstatus_to_exitcode(status), used.ru_maxrss << 10, used.ru_utime + used.ru_stime,
                told.read(200).strip(),
            )  # fmt: skip
