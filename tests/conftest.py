"""What holds for all tests: an interrupt arrives, even where whoever started them in the background ignores it."""

import signal


def pytest_configure():
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
