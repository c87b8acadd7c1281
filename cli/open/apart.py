"""Work in threads that keep nobody from ending."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeVar

Result = TypeVar("Result")


def soon(work: Callable[..., Result], *args: Any, **named: Any) -> Future[Result]:
    """Do some work in a thread of its own; the program may end before it is done."""
    future: Future[Result] = Future()
    future.set_running_or_notify_cancel()

    def run() -> None:
        """Fill the future."""
        try:
            future.set_result(work(*args, **named))
        except BaseException as error:
            future.set_exception(error)

    threading.Thread(target=run, name=getattr(work, "__name__", "work"), daemon=True).start()
    return future


async def apart(work: Callable[..., Result], *args: Any, **named: Any) -> Result:
    """Do some work in a thread of its own, and wait for it while others are served."""
    return await asyncio.wrap_future(soon(work, *args, **named))
