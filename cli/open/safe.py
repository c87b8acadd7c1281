"""Who may speak to the server: only the page that it has given out itself, in the browser that it was opened in.

Any page that a browser has open can send requests to any port of one's own machine, and a foreign name can be made to
lead there. So every request is held against the exact host, a cookie that only the one-time address sets, and, where
browsers say it, the origin and the site that it comes from. Another program on another port of the same machine counts
as the same site for cookies; the origin tells it apart. A cookie does not know ports either: a program of another user
that the browser visits on this machine is sent it, so where the system says whose a connection is (Linux), those of
other users are refused.
"""

from __future__ import annotations

import os
import secrets
import socket
import sys
from base64 import b64encode
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from hashlib import sha256
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

TOKEN_BYTES = 32
START = "/start/"
CONNECTIONS = "/proc/net/tcp"  # proc(5): local address, remote address and user of every connection
MOST_BYTES = 1 << 20
MOST_BYTES_BROUGHT = 12 << 20

ALWAYS = (
    (b"cache-control", b"no-store"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
)
NOTHING = b"default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
ENTER = b"""<!doctype html><html lang="en"><meta charset="utf-8"><meta http-equiv="refresh" content="0; url=/">
<title>standmark</title><p><a href="/">Go to the page</a></p></html>"""
USED = b"""<!doctype html><html lang="en"><meta charset="utf-8"><title>standmark</title>
<p>This address works once. Stop standmark with Ctrl-C and start it again: it prints a new one.</p></html>"""


def page_policy(origin: str, *, scripts: Iterable[str], styles: Iterable[str]) -> bytes:
    """Content security policy of the page: the script and the styles of these digests run, and nothing else."""
    return (
        f"default-src 'none'; script-src {_sources(scripts)}; style-src {_sources(styles)}; "
        f"font-src {origin}/assets/; img-src blob: data:; connect-src {origin}/; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
        "require-trusted-types-for 'script'; trusted-types 'none'"
    ).encode("ascii")


def _sources(texts: Iterable[str]) -> str:
    """Digests of what stands between the tags, as a policy names them (CSP level 3, section 2.3.1)."""
    return " ".join(f"'sha256-{b64encode(sha256(text.encode('utf-8')).digest()).decode('ascii')}'" for text in texts)


class Guard:
    """Lets through what the page sends, and nothing else."""

    def __init__(self, app: App, *, port: int) -> None:
        self.app, self.port = app, port
        self.origin = f"http://127.0.0.1:{port}"
        self.host = f"127.0.0.1:{port}".encode("ascii")
        self.cookie_name = f"standmark_{port}"
        self.token: str | None = secrets.token_urlsafe(TOKEN_BYTES)
        self._cookie = secrets.token_urlsafe(TOKEN_BYTES)

    @property
    def address(self) -> str:
        """Address that opens the page once."""
        return f"{self.origin}{START}{self.token}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or hand it on."""
        if scope["type"] != "http":
            return  # no websockets; nothing happens at start and end
        headers: list[tuple[bytes, bytes]] = scope["headers"]
        if _all(headers, b"host") != [self.host]:
            await _refuse(send, 421, b"")
        elif scope["method"] not in ("GET", "POST"):
            await _refuse(send, 405, b"")
        elif is_of_another_user(scope.get("client"), self.port):
            await _refuse(send, 403, b"no access for other users of this computer")
        elif scope["method"] == "GET" and scope["path"].startswith(START):
            await self._enter(scope["path"].removeprefix(START), headers, send)
        elif (words := self._objection(scope["method"], headers)) is not None:
            await _refuse(send, 415 if words.startswith("send") else 403, words.encode("ascii"))
        else:
            await self.app(scope, receive, _with_headers(send))

    async def _enter(self, token: str, headers: list[tuple[bytes, bytes]], send: Send) -> None:
        """Exchange the one-time token for the cookie.

        A cookie that is for the same site only is not sent on after a redirect that began elsewhere, such as in the
        file which opens the browser; then a small page leads on.
        """
        if self.token is None or not _same(token, self.token):
            await _refuse(send, 403, USED, kind=b"text/html; charset=utf-8")
            return
        self.token = None
        cookie = f"{self.cookie_name}={self._cookie}; HttpOnly; SameSite=Strict; Path=/".encode("ascii")
        typed = _all(headers, b"sec-fetch-site") in ([], [b"none"])
        more = [(b"set-cookie", cookie), *([(b"location", b"/")] if typed else [])]
        await _refuse(send, 303 if typed else 200, b"" if typed else ENTER, kind=b"text/html; charset=utf-8", more=more)

    def _objection(self, method: str, headers: list[tuple[bytes, bytes]]) -> str | None:
        """Why a request is not answered; None where it is."""
        if not any(_same(value, self._cookie) for value in _cookies(headers, self.cookie_name)):
            return "no access: open the address that standmark printed"
        site = _all(headers, b"sec-fetch-site")
        if method == "GET":
            return None if site in ([], [b"same-origin"], [b"none"]) else "no access from another page"
        if _all(headers, b"origin") != [self.origin.encode("ascii")] or site not in ([], [b"same-origin"]):
            return "no access from another page"
        kinds = [value.split(b";")[0].strip().lower() for value in _all(headers, b"content-type")]
        return None if kinds == [b"application/json"] else "send application/json"


def is_of_another_user(client: tuple[str, int] | None, port: int) -> bool:
    """Does a connection come from another user's program; False where the system does not say."""
    if client is None or not os.path.exists(CONNECTIONS):
        return False
    wanted = both_ends(client, port)
    with open(CONNECTIONS, encoding="ascii") as table:
        owners = [row[7] for line in table if (row := line.split())[1:3] == wanted]
    return bool(owners) and str(os.getuid()) not in owners


def both_ends(client: tuple[str, int], port: int) -> list[str]:
    """Addresses of a connection to our port, the other program's first."""
    return [_address(*client), _address("127.0.0.1", port)]


def _address(host: str, port: int) -> str:
    """Address as the system's table of connections writes it."""
    return f"{int.from_bytes(socket.inet_aton(host), sys.byteorder):08X}:{port:04X}"


def _all(headers: list[tuple[bytes, bytes]], name: bytes) -> list[bytes]:
    return [value for key, value in headers if key == name]


def _cookies(headers: list[tuple[bytes, bytes]], name: str) -> list[str]:
    pairs = [pair.strip().partition(b"=") for value in _all(headers, b"cookie") for pair in value.split(b";")]
    return [value.decode("latin-1") for key, _, value in pairs if key == name.encode("ascii")]


def _same(given: str, known: str) -> bool:
    return secrets.compare_digest(given.encode("utf-8", "replace"), known.encode("ascii"))


def _with_headers(send: Send) -> Send:
    """Add the headers that every answer carries; a policy that the answer brings itself stays."""

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = list(message.get("headers", []))
            has_policy = any(key == b"content-security-policy" for key, _ in given)
            more = ALWAYS if has_policy else (*ALWAYS, (b"content-security-policy", NOTHING))
            message = {**message, "headers": [*given, *more]}
        await send(message)

    return sent


async def _refuse(
    send: Send,
    status: int,
    body: bytes,
    *,
    kind: bytes = b"text/plain; charset=utf-8",
    more: list[tuple[bytes, bytes]] | None = None,
) -> None:
    size = str(len(body)).encode("ascii")
    headers = [(b"content-type", kind), (b"content-length", size), (b"connection", b"close"), *(more or [])]
    answer = _with_headers(send)
    await answer({"type": "http.response.start", "status": status, "headers": headers})
    await answer({"type": "http.response.body", "body": body})
