"""Everybody who listens: one stream of events for each page, fed from any thread."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import suppress
from typing import Any

MOST_STREAMS = 4
MOST_WAITING = 200  # events for a page that doesn't read; then it is cut off, and comes back for the newest
BEAT_S = 15.0

Event = tuple[str, Any, int]


class Hub:
    """Streams of events to pages."""

    def __init__(self, loop: asyncio.AbstractEventLoop) -> None:
        self._loop = loop
        self._streams: list[asyncio.Queue[Event | None]] = []
        self.last_heard_s = time.monotonic()  # stands still while the machine sleeps

    @property
    def n_pages(self) -> int:
        """How many pages listen."""
        return len(self._streams)

    def tell(self, event: str, data: Any, change: int) -> None:
        """Send an event to every page; may be called from any thread."""
        with suppress(RuntimeError):  # the server has ended meanwhile
            self._loop.call_soon_threadsafe(self._spread, event, data, change)

    def close(self) -> None:
        """End every stream, after what waits in it."""
        for stream in self._streams:
            stream.put_nowait(None)

    async def listen(self, greeting: Callable[[], tuple[Mapping[str, Any], int]]) -> AsyncIterator[bytes]:
        """Events for one page, as bytes of the stream: first what it missed, then what comes.

        Parameters
        ----------
        greeting : gives the events that a new page needs, and the number of the change
        """
        stream: asyncio.Queue[Event | None] = asyncio.Queue()
        self._streams.append(stream)
        self._count()
        try:
            known, change = greeting()
            yield b"retry: 1000\n\n"
            for name, data in known.items():
                yield _written(name, data, change)
            while True:
                try:
                    event = await asyncio.wait_for(stream.get(), BEAT_S)
                except TimeoutError:
                    yield b": still here\n\n"
                    continue
                if event is None:
                    return
                yield _written(*event)
        finally:
            if stream in self._streams:
                self._streams.remove(stream)
            self.last_heard_s = time.monotonic()
            self._count()

    def _spread(self, event: str, data: Any, change: int) -> None:
        for stream in list(self._streams):
            if stream.qsize() > MOST_WAITING:
                self._streams.remove(stream)
                stream.put_nowait(None)
            else:
                stream.put_nowait((event, data, change))

    def _count(self) -> None:
        self._spread("pages", {"n": self.n_pages}, 0)


def _written(event: str, data: Any, change: int) -> bytes:
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    number = f"id: {change}\n" if change else ""
    return f"event: {event}\n{number}data: {text}\n\n".encode("utf-8", "replace")
