"""A plan from nothing: `standmark plan`, from the start of Python to the last file, and where the time goes.

    PYTHONPATH=.import python benchmarks/plan.py [--sport football] [--cameras 1 2 4] [--engines compiled numpy]
    PYTHONPATH=.import python benchmarks/plan.py --all-sports --cameras 2

Every plan is made in a process of its own, five times; the best counts. Modules are compiled before the clock starts,
as they are for anyone who has run the program once. The first table has the time and the processor time of the whole
command; the second the processor time of each part, in one process more.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from standmark.geometry.compiled import ENGINE

ROOT = Path(__file__).resolve().parents[1]
TIMES = 5


def run(*command: str, engine: str) -> tuple[float, float, str]:
    """Run Python on something and give seconds, processor seconds and what it printed."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    env |= {"PYTHONPATH": str(ROOT / ".import"), ENGINE: engine}
    before, begin = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run([sys.executable, *command], env=env, capture_output=True, text=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode:
        raise SystemExit(done.stderr)
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - begin, cpu_s, done.stdout


def whole(sport: str, n_cameras: int, *, engine: str, times: int = TIMES) -> tuple[float, float]:
    """Best time and processor time of the command."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for index in range(times):
            out = str(Path(folder) / str(index))
            arguments = ("plan", "--sport", sport, "--cameras", str(n_cameras), "--out", out)
            found.append(run("-m", "standmark.cli", *arguments, engine=engine)[:2])
    wall_s, cpu_s = (min(column) for column in zip(*found, strict=True))
    return wall_s, cpu_s


def parts(sport: str, n_cameras: int) -> list[tuple[str, float]]:
    """Processor time of the parts of a plan, in this process."""
    found: list[tuple[str, float]] = []
    last = time.process_time()

    def mark(name: str) -> None:
        nonlocal last
        now = time.process_time()
        found.append((name, now - last))
        last = now

    found.append(("Python and numpy", last))
    from standmark.cli.commands import results
    from standmark.cli.words.summary import plan_summary
    from standmark.cli.words.usual import usual_place
    from standmark.optimizer.match.read_match import default_match
    from standmark.optimizer.planning import plan

    mark("loading the program")
    match = default_match(sport, cameras=n_cameras)
    mark("the match")
    bare = plan(match, advice="none")
    mark("the plan itself")
    made = plan(match, advice="quick")
    mark("the plan again, with advice")
    del bare
    results.plan_bytes(made)
    results.spots_csv(made.advice)
    stretches = results.plan_stretches(made)
    mark("data files and what each camera does")
    content = results.sheet_content(made, stretches)
    mark("words of the sheets")
    picture = results.plan_picture(made, stretches)
    results.png_bytes(picture)
    mark("plan.png")
    for drawn in (picture, results.maps_picture(made, stretches), results.height_picture(made)):
        if drawn is not None:
            results.svg_document(drawn)
    mark("plan.svg, maps.svg, height.svg")
    results.sheet_html(content)
    mark("sheet.html")
    results.sheet_files(content, paper="a4")
    mark("PDF sheets and cards")
    plan_summary(made, width=100, usual=usual_place(made))
    mark("the answer on the terminal")
    return found


def main(sports: list[str], camera_counts: list[int], engines: list[str]) -> None:
    print(f"{'sport':24}{'cameras':>8}{'engine':>10}{'s':>8}{'cpu s':>8}")
    times = 2 if len(sports) > 1 else TIMES
    run("-c", "import standmark.cli.commands.results", engine="compiled")
    for sport in sports:
        for n_cameras in camera_counts:
            for engine in engines:
                wall_s, cpu_s = whole(sport, n_cameras, engine=engine, times=times)
                print(f"{sport:24}{n_cameras:8}{engine:>10}{wall_s:8.2f}{cpu_s:8.2f}", flush=True)
    if len(sports) == 1:
        for n_cameras in camera_counts:
            task = (__file__, "--task", sports[0], str(n_cameras))
            shares = json.loads(run(*task, engine="compiled")[2])
            print(f"\n{sports[0]}, {n_cameras} camera{'s' * (n_cameras > 1)}: processor time of each part")
            for name, cpu_s in shares:
                print(f"{name:40}{cpu_s:8.2f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sport", default="football")
    parser.add_argument("--all-sports", action="store_true")
    parser.add_argument("--cameras", type=int, nargs="+", default=[1, 2, 4])
    parser.add_argument("--engines", nargs="+", default=["compiled", "numpy"])
    parser.add_argument("--task", nargs=2, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.task:
        print(json.dumps(parts(options.task[0], int(options.task[1]))))
    else:
        from standmark.sports.library import sport_keys

        asked = list(sport_keys()) if options.all_sports else [options.sport]
        main(asked, options.cameras, options.engines if not options.all_sports else ["compiled"])
