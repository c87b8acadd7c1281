"""The way in: `standmark` and `python -m standmark.cli`."""

from __future__ import annotations

from standmark.cli.terminal.interrupt import forget, leave_at_once
from standmark.cli.terminal.streams import fill_closed_streams


def run() -> None:
    """Load the command line and run it."""
    leave_at_once()
    fill_closed_streams()
    from standmark.cli.main import main

    try:
        main()
    finally:
        forget()


if __name__ == "__main__":
    run()
