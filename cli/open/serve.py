"""The server behind the page: it listens on this machine only, opens the browser, and ends when nobody needs it."""

from __future__ import annotations

import asyncio
import html
import os
import socket
import sys
import tempfile
import time
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from standmark.cli.open.apart import apart, soon
from standmark.cli.open.app import ENDED, make_app
from standmark.cli.open.catalogue import catalogue
from standmark.cli.open.desk import Desk
from standmark.cli.open.hub import Hub
from standmark.cli.open.live import LIMIT_S
from standmark.cli.open.safe import Guard
from standmark.cli.open.session import MakePlan
from standmark.geometry.errors import StandmarkError

IDLE_S = 600.0  # without a page, on a clock that stands still while the machine sleeps
TICK_S = 0.1
LOOK_S = 1.0  # between two looks at the disk
SWITCH_S = 0.001  # how long a search may keep an answer to the page waiting
NET_AFTER_S = 2.0  # unsaved changes are kept in a file this long after the last one
MOST_HEADER_BYTES = 16 << 10

Say = Callable[[str], None]


def serve(
    *,
    file: Path | None,
    folder: Path | None,
    out: Path,
    make_plan: MakePlan,
    say: Say,
    show: bool = True,
    idle_s: float = IDLE_S,
    limit_s: float = LIMIT_S,
    port: int = 0,
) -> None:
    """Serve the page until it is stopped, or until nobody has had it open for a while.

    Parameters
    ----------
    file, folder : what to open; one of them
    out : folder for the files of a plan
    say : tells the terminal a line
    show : open the browser
    limit_s : after which a search shows the best so far
    port : 0: any that is free

    Raises
    ------
    InputError : what is opened cannot be read
    """
    sys.setswitchinterval(SWITCH_S)
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
        listener.listen()  # whoever is quick waits, rather than being turned away
        asyncio.run(_serve(listener, file, folder, out, make_plan, say, show=show, idle_s=idle_s, limit_s=limit_s))
    finally:
        listener.close()


async def _serve(
    listener: socket.socket,
    file: Path | None,
    folder: Path | None,
    out: Path,
    make_plan: MakePlan,
    say: Say,
    *,
    show: bool,
    idle_s: float,
    limit_s: float,
) -> None:
    loop = asyncio.get_running_loop()
    hub, over = Hub(loop), asyncio.Event()
    desk = Desk(hub, make_plan, file=file, folder=folder, out=out, limit_s=limit_s)
    guard = Guard(_later_app, port=listener.getsockname()[1])
    guard.app = make_app(desk, origin=guard.origin, known=soon(catalogue), over=over)
    server = uvicorn.Server(
        uvicorn.Config(
            guard,
            http="h11",
            ws="none",
            lifespan="off",
            interface="asgi3",
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            limit_concurrency=64,
            h11_max_incomplete_event_size=MOST_HEADER_BYTES,
            timeout_keep_alive=30,
            timeout_graceful_shutdown=2,
        )
    )
    door = Door(guard.address) if show else None
    say(f"Open this address in a browser on this computer; it works once:\n  {guard.address}")
    say("Stop with Ctrl-C.")
    watch = asyncio.create_task(_watch(server, hub, desk, over, say, idle_s=idle_s))
    try:
        if door is not None:
            soon(door.open)
        await server.serve(sockets=[listener])
    finally:
        watch.cancel()
        if door is not None:
            door.close()
        kept = desk.close()
        if desk.current is not None and desk.current.is_plan_left_out:
            file = desk.current.places.file
            say(f"{file} is saved, its plan is not. Make it with: standmark plan {file} --out {out} --force")
        if kept is not None:
            say(f"What you hadn't saved is in {kept}. Go on with: standmark open {kept}")


async def _watch(server: uvicorn.Server, hub: Hub, desk: Desk, over: asyncio.Event, say: Say, *, idle_s: float) -> None:
    """Look at the disk, keep what is not saved, and end when nobody has had the page open for long."""
    seen, since_s, looked_s = -1, time.monotonic(), time.monotonic()
    while not server.should_exit:
        await asyncio.sleep(TICK_S)
        now_s = time.monotonic()
        if not hub.n_pages and now_s - hub.last_heard_s > idle_s:
            say(f"Nobody had the page open for {_minutes(idle_s)}, so standmark ends.")
            server.should_exit = True
        session = desk.current
        if session is None or now_s - looked_s < LOOK_S:
            continue
        looked_s = now_s
        if session.change != seen:
            seen, since_s = session.change, now_s
        try:
            await apart(session.look_at_disk)
            if now_s - since_s > NET_AFTER_S:
                await apart(session.keep_net)
        except (StandmarkError, OSError) as error:
            say(str(error))
            since_s = now_s + 60.0
    over.set()
    hub.tell("bye", {"words": ENDED}, 0)
    await asyncio.sleep(0)
    hub.close()  # streams would keep the server waiting


def _minutes(seconds: float) -> str:
    n = round(seconds / 60)
    return "a minute" if n == 1 else f"{n} minutes" if n else f"{seconds:.0f} seconds"


async def _later_app(*_: object) -> None:
    raise AssertionError("no application yet")


class Door:
    """A file that only its owner can read and that leads the browser to the one-time address.

    An address on the command line of a browser can be read by everybody who is logged in on the machine.
    """

    def __init__(self, address: str) -> None:
        handle, name = tempfile.mkstemp(prefix="standmark-", suffix=".html")  # mode 0600
        self.path = Path(name)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            link = html.escape(address, quote=True)
            file.write(
                f'<!doctype html><html lang="en"><meta charset="utf-8">'
                f'<meta http-equiv="refresh" content="0; url={link}">'
                f'<title>standmark</title><p><a href="{link}">Go to the page</a></p></html>'
            )

    def open(self) -> None:
        """Open the browser, if there is one."""
        if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
            return
        try:
            webbrowser.open(self.path.as_uri())
        except (webbrowser.Error, OSError):
            return  # the address has been printed

    def close(self) -> None:
        """Take the file away."""
        self.path.unlink(missing_ok=True)
