"""A book survives being killed, run twice at once, a read-only place and a full disk: nothing lost, nothing torn."""

import errno
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hostile_operations import refused_by_book

from standmark.cli.book.make import Order, make_book
from standmark.geometry.errors import OutputError

ROOT = Path(__file__).resolve().parents[3]
N_GROUNDS = 3
N_KILLS = 20
SMALL = """[match]
sport = "football"
[venue]
name = "Ground {index}"
length_m = {length}
width_m = 60
usual_places = ["halfway"]
"""
STANDARD = '[[role]]\ncode = "C"\nname = "Close"\naim = "middle"\nfrom_deg = [-20, 20]\noffset_m = [3, 8]\n'


def command(folder, out, *more):
    return [
        sys.executable, "-m", "standmark.cli", "book", str(folder), "--out", str(out), "--jobs", "1",
        "--standard", str(folder.parent / "standard.toml"), *more,
    ]  # fmt: skip


def start(folder, out, *more, **options):
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import")}
    return subprocess.Popen(
        command(folder, out, *more), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env, **options
    )


def finish(process):
    told, complained = process.communicate(timeout=120)
    return process.returncode, told, complained


def files_of(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def resume(folder, out):
    """Go on in this process: the same as giving the command again, without the start of Python."""
    order = Order(folder, out, standard=folder.parent / "standard.toml", jobs=1, quiet=True)
    assert make_book(order).failures == ()


@pytest.fixture(scope="module")
def league(tmp_path_factory):
    """Four small grounds, their book made without trouble, and how long that took."""
    base = tmp_path_factory.mktemp("league")
    folder = base / "in"
    folder.mkdir()
    (base / "standard.toml").write_text(STANDARD)
    for index in range(N_GROUNDS):
        (folder / f"g{index}.toml").write_text(SMALL.format(index=index, length=95 + index))
    begin = time.monotonic()
    code, _, complained = finish(start(folder, base / "undisturbed"))
    assert code == 0, complained
    return folder, files_of(base / "undisturbed"), time.monotonic() - begin


@pytest.mark.usefixtures("in_process")
def test_killed_at_random_times_and_resumed_it_is_the_same_book(league, tmp_path):
    """A share of `benchmarks/hostile.py --kills`: parent and workers, as a power cut would, and then copies of us."""
    folder, undisturbed, took_s = league
    out, rng = tmp_path / "book", random.Random(9)
    process = start(folder, out, start_new_session=True)
    time.sleep(took_s * rng.uniform(0.5, 0.8))
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
    begin = time.monotonic()
    resume(folder, tmp_path / "other")
    took_s, results, n_whole = time.monotonic() - begin, made_of(out), 0
    for _ in range(N_KILLS):
        if killed_copy(folder, out, took_s * rng.uniform(0.0, 1.1)):
            assert files_of(out) == undisturbed
            shutil.rmtree(out)
            results, n_whole = {}, n_whole + 1
        assert made_of(out).items() >= results.items()  # nothing was made twice
        results = made_of(out)
    resume(folder, out)
    assert files_of(out) == undisturbed
    assert made_of(out).items() >= results.items()
    assert n_whole < N_KILLS


def made_of(out):
    """Finished results of a book and when they were written."""
    return {path: path.stat().st_mtime_ns for path in out.rglob("*.zip")}


def killed_copy(folder, out, after_s):
    """Go on with a book in a copy of this process, which is killed after a while; whether it was done before that."""
    child = os.fork()
    if child == 0:
        try:
            resume(folder, out)
        finally:
            os._exit(not (out / "book.json").exists())
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    return os.waitpid(child, 0)[1] == 0


@pytest.mark.parametrize(
    ("there", "number"),
    [
        (None, signal.SIGTERM),
        (".standmark-book/lock", signal.SIGINT),
        ("codes.json", signal.SIGTERM),
        (".standmark-book/results/*/*.zip", signal.SIGINT),
        ("positions.csv", signal.SIGTERM),
    ],
)
def test_stopped_at_any_stage_it_says_one_line_and_leaves_nobody(league, tmp_path, there, number):
    """While libraries load, when the folder is taken, when workers start, when the first ground is done, at the end."""
    folder, _, took_s = league
    out = tmp_path / "book"
    process = start(folder, out, start_new_session=True)
    if there is None:
        time.sleep(0.25 * took_s)  # Python itself is up
    while there is not None and process.poll() is None and not any(out.glob(there)):
        time.sleep(0.002)
    begin = time.monotonic()
    os.killpg(process.pid, number)
    code, _, complained = finish(process)
    assert (code, complained.splitlines()[-1]) == (128 + number, "standmark: stopped")
    assert "Traceback" not in complained
    assert time.monotonic() - begin < 10
    deadline = time.monotonic() + 10
    while workers_of(process.pid) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert workers_of(process.pid) == []
    assert [path.name for path in out.rglob("*.part")] == []


def workers_of(session):
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            rest = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if rest[0] != "Z" and int(rest[3]) == session:
            found.append(stat.parent.name)
    return found


def test_two_runs_into_one_folder(league, tmp_path):
    folder, undisturbed, _ = league
    out = tmp_path / "book"
    both = [finish(p) for p in [start(folder, out), start(folder, out)]]
    codes = sorted(code for code, _, _ in both)
    assert codes in ([0, 2], [0, 0])  # the second is refused, or comes when the first is done
    for code, _, complained in both:
        assert (code == 2) == ("another run is writing this book" in complained)
    assert files_of(out) == undisturbed


def test_a_place_that_cannot_be_written(league):
    folder, _, _ = league
    with pytest.raises(OutputError, match="/proc/standmark-book: cannot be written"):
        make_book(Order(folder, Path("/proc/standmark-book"), quiet=True))


@pytest.mark.skipif(shutil.which("setpriv") is None, reason="setpriv of util-linux is not there")
def test_a_book_that_is_read_only(league, tmp_path):
    """Without the right that lets root write everywhere, an unwritable folder is one for root as well."""
    folder, undisturbed, _ = league
    out = tmp_path / "book"
    for name, content in undisturbed.items():
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_bytes(content)
    (out / ".standmark-book").chmod(0o555)
    (out / ".standmark-book" / "lock").unlink()
    rights = "-dac_override,-dac_read_search"
    drop = ["setpriv", "--bounding-set", rights, "--inh-caps", rights] if os.geteuid() == 0 else []
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import")}
    done = subprocess.run([*drop, *command(folder, out)], capture_output=True, text=True, env=env, check=False)
    assert done.returncode == 2
    assert done.stderr == (f"standmark: {out}: cannot be written (Permission denied); give another one with --out\n")
    (out / ".standmark-book").chmod(0o755)
    assert files_of(out) == {name: undisturbed[name] for name in undisturbed if not name.endswith("lock")}


@pytest.mark.usefixtures("in_process")
def test_a_full_disk_leaves_no_half_file_and_the_next_run_goes_on(league, tmp_path):
    folder, undisturbed, _ = league
    out = tmp_path / "book"

    def limit():
        resource.setrlimit(resource.RLIMIT_FSIZE, (12_000, resource.RLIM_INFINITY))

    code, _, complained = finish(start(folder, out, preexec_fn=limit))
    assert code == 2, complained
    assert "cannot be written" in complained
    assert "Traceback" not in complained
    assert [p for p in out.rglob("*") if p.name.endswith(".part")] == []
    assert not (out / "book.json").exists()
    assert set(files_of(out).items()) <= set(undisturbed.items())
    resume(folder, out)
    assert files_of(out) == undisturbed


def test_file_operations_that_fail_lose_nothing_and_the_same_command_goes_on():
    """A share of `benchmarks/hostile.py --operations`, which lets each of them fail in three ways."""
    told = list(refused_by_book(range(0, 1000, 7), [errno.ENOSPC], time.monotonic() + 100))
    assert told.pop().startswith("note: all")
    assert len(told) > 10
    assert [words for words in told if words] == []
