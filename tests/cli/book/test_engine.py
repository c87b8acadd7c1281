"""The crew: every job once, whoever dies is named, nobody is left behind."""

import os
import subprocess
import sys
import time
from pathlib import Path

import book_work
import pytest

from standmark.cli.book.engine import DIED, NO_MEMORY, local_crew, run_jobs
from standmark.geometry.errors import InputError

ROOT = Path(__file__).resolve().parents[3]


def run(jobs, work, n=2):
    done = {}

    def keep(outcome):
        assert outcome.job not in done
        done[outcome.job] = outcome

    with local_crew(n) as crew:
        run_jobs(iter(jobs), work, crew, on_done=keep)
    return done


def test_every_job_once_and_its_result():
    done = run(range(25), book_work.double)
    assert {job: outcome.content for job, outcome in done.items()} == {i: str(2 * i).encode() for i in range(25)}


def test_no_job_no_worker():
    with local_crew(2) as crew:
        run_jobs(iter([]), book_work.double, crew, on_done=pytest.fail)
        assert crew.present is None


def test_a_worker_that_dies_is_named_and_the_rest_goes_on():
    done = run(range(12), book_work.die_on_seven)
    assert done[7].content is None
    assert done[7].reason == DIED
    assert all(done[i].content == str(i).encode() for i in range(12) if i != 7)


def test_a_worker_that_dies_once_is_forgiven(tmp_path):
    job = str(tmp_path / "mark")
    assert run([job], book_work.die_once)[job].content == b"done"


def test_an_unexpected_error_is_told_and_the_rest_goes_on():
    done = run(range(4), book_work.fail_on_odd, n=1)
    assert [done[i].content for i in (0, 2)] == [b"even", b"even"]
    assert "ValueError: odd 3" in done[3].reason
    assert done[1].reason == NO_MEMORY


def test_threads_are_bound_only_while_the_crew_is_there(monkeypatch):
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    with local_crew(1) as crew:
        run_jobs(iter([1]), book_work.double, crew, on_done=lambda outcome: None)
        assert os.environ["OPENBLAS_NUM_THREADS"] == "1"
    assert "OPENBLAS_NUM_THREADS" not in os.environ


ORPHANS = """
import os, sys
sys.path[:0] = {paths!r}
import book_work
from standmark.cli.book.engine import local_crew, run_jobs

if __name__ == "__main__":
    def tell(outcome):
        print(outcome.content.decode(), flush=True)

    with local_crew(2) as crew:
        run_jobs(iter(range(1000)), book_work.process_id, crew, on_done=tell)
"""


def test_workers_do_not_outlive_a_killed_parent(tmp_path):
    script = tmp_path / "orphans.py"
    script.write_text(ORPHANS.format(paths=[str(ROOT / ".import"), str(ROOT / "tests")]))
    parent = subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True)
    workers = {int(parent.stdout.readline()) for _ in range(6)}
    parent.kill()
    parent.wait()
    deadline = time.monotonic() + 10
    while any(is_running(pid) for pid in workers) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert [pid for pid in workers if is_running(pid)] == []


def is_running(pid):
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def test_a_scheduler_that_does_not_answer(monkeypatch):
    from contextlib import ExitStack

    from standmark.cli.book import engine

    monkeypatch.setattr(engine, "ANSWER_S", 0.5)
    with ExitStack() as stack, pytest.raises(InputError, match="no answer"):
        engine.cluster_crew("tcp://127.0.0.1:9", stack)
