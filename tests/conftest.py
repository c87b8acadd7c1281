"""What holds for all tests: an interrupt arrives, even where whoever started them in the background ignores it."""

import signal

# Begun first, the slowest files do not leave one worker waiting for the other at the end.
SLOWEST = "test_page.py", "test_interruptions.py", "test_checks.py", "test_paper.py", "test_search.py"


def pytest_configure():
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_modifyitems(items):
    items.sort(key=lambda item: item.path.name not in SLOWEST)
