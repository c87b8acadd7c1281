"""The way in: `standmark` and `python -m standmark.cli`."""

from __future__ import annotations

import os

from standmark.cli.terminal.interrupt import forget, leave_at_once
from standmark.cli.terminal.streams import fill_closed_streams

# Our own threads share the work; those of the matrix library would wait for the next product in a busy loop, which
# costs a plan for two cameras a fifth of its processor time. numpy reads this when it is loaded.
MATRIX_THREADS = "OPENBLAS_NUM_THREADS"


def run() -> None:
    """Load the command line and run it."""
    os.environ.setdefault(MATRIX_THREADS, "1")
    leave_at_once()
    fill_closed_streams()
    from standmark.cli.main import main

    try:
        main()
    finally:
        forget()


if __name__ == "__main__":
    run()
