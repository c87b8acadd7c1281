"""Ctrl-C at any moment: one line, exit code 130, nobody disturbed who should not be."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from standmark.cli.terminal.interrupt import TerminatedError, held_back, leave_at_once, let_it_be_caught, put_off

ROOT = Path(__file__).resolve().parents[3]


def test_an_interrupt_waits_until_the_end_and_is_not_lost():
    passed = []

    def work():
        with held_back():
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(0.05)
            passed.append("inside")
        passed.append("after")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert passed == ["inside"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


def test_processes_started_meanwhile_never_see_one():
    code = "import os, signal; os.kill(os.getpid(), signal.SIGINT); print('alive')"
    with held_back():
        inside = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    outside = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert inside.stdout == "alive\n"
    assert outside.stdout == ""


@pytest.mark.parametrize(("number", "error"), [(signal.SIGINT, KeyboardInterrupt), (signal.SIGTERM, TerminatedError)])
def test_an_interrupt_that_is_put_off_ends_the_work_where_that_does_no_harm(number, error):
    before, passed = [signal.getsignal(n) for n in (signal.SIGINT, signal.SIGTERM)], []

    def work():
        with put_off() as look:
            os.kill(os.getpid(), number)
            passed.append("still at it")
            look()
            passed.append("never")

    leave_at_once()
    let_it_be_caught()
    try:
        with pytest.raises(error):
            work()
    finally:
        for n, handler in zip((signal.SIGINT, signal.SIGTERM), before, strict=True):
            signal.signal(n, handler)
    assert passed == ["still at it"]


def test_a_handler_of_somebody_else_is_left_alone():
    def own(number, frame):
        """Nothing."""

    before = signal.signal(signal.SIGINT, own)
    try:
        let_it_be_caught()
        assert signal.getsignal(signal.SIGINT) is own
    finally:
        signal.signal(signal.SIGINT, before)


# a library that swallows what comes up while it is imported, and one that runs a text, as dataclasses do
SWALLOWS = "import os, signal\ntry:\n    os.kill(os.getpid(), signal.SIGINT)\nexcept BaseException:\n    pass\n"
IN_A_TEXT = "exec('import os, signal; os.kill(os.getpid(), signal.SIGINT)')\n"


@pytest.mark.parametrize("library", [SWALLOWS, IN_A_TEXT])
@pytest.mark.parametrize("is_working", [False, True])
def test_while_libraries_load(tmp_path, library, is_working):
    (tmp_path / "library.py").write_text(library)
    script = (
        "import sys\n"
        "from standmark.cli import __main__, main\n"
        "from standmark.cli.terminal import interrupt\n"
        "def start():\n"
        f"    {'interrupt.let_it_be_caught()' if is_working else 'pass'}\n"
        "    try:\n"
        "        import library\n"
        "    except KeyboardInterrupt:\n"
        "        main._fail('stopped', 130)\n"
        "    sys.exit(0)\n"
        "main.main = start\n"
        "__main__.run()\n"
    )
    path = os.pathsep.join([str(tmp_path), str(ROOT / ".import")])
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, env=os.environ | {"PYTHONPATH": path},
        check=False,
    )  # fmt: skip
    if is_working and library is SWALLOWS:
        return  # nobody can tell that it came
    assert (done.returncode, done.stderr) == (130, "standmark: stopped\n")
