"""What is answered to the page: one function for each address."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import Future
from importlib import resources
from typing import Any, TypeVar

from pydantic import BaseModel
from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from standmark.cli.open.apart import apart
from standmark.cli.open.bodies import (
    ChangeBody,
    ImportBody,
    LookBody,
    OpenBody,
    PhotoBody,
    ResolveBody,
    SaveBody,
    SpotBody,
    StepBody,
    WorthBody,
    read_body,
)
from standmark.cli.open.desk import Desk
from standmark.cli.open.hub import MOST_STREAMS
from standmark.cli.open.refused import DiskError, FaultError, StaleError
from standmark.cli.open.safe import MOST_BYTES, MOST_BYTES_BROUGHT, NOTHING, page_policy
from standmark.cli.open.whole_page import whole_page
from standmark.geometry.errors import InputError, StandmarkError

BODY_S = 20.0  # a body that comes more slowly is cut off
KINDS = {".ttf": "font/ttf", ".txt": "text/plain"}
FILE_KINDS = {".html": "text/html", ".pdf": "application/pdf", ".png": "image/png", ".svg": "image/svg+xml"}
SHEET = (  # a sheet carries its own policy, by the digests of its script and look; it may not reach the server
    "sandbox allow-scripts allow-modals allow-popups allow-downloads; frame-ancestors 'none'; "
    "connect-src 'none'; form-action 'none'; base-uri 'none'"
)
PICTURE = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; frame-ancestors 'none'"
)
PAPER = "frame-ancestors 'none'"  # a document has no script, and viewers of browsers need their own
FILE_POLICIES = {"text/html": SHEET, "image/svg+xml": PICTURE, "application/pdf": PAPER}
STALE = "The match has changed meanwhile."
ENDED = "standmark was stopped on your computer."

Body = TypeVar("Body", bound=BaseModel)
Answer = Callable[[Request], Awaitable[Response]]


class RefusedError(Exception):
    """A request that is not answered as asked."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(words)
        self.status, self.words = status, words


def make_app(desk: Desk, *, origin: str, known: Future[dict[str, Any]], over: asyncio.Event) -> Starlette:
    """Make the application.

    Parameters
    ----------
    desk : what is open
    origin : of the page
    known : what can be chosen, when it is worked out
    over : is set when the server ends; nobody is kept waiting then
    """
    parts, whole = page_assets(), whole_page(page_files())
    policy = page_policy(origin, scripts=[whole.script], styles=whole.styles).decode("ascii")

    async def page(request: Request) -> Response:
        """Give the page itself."""
        headers = {"content-security-policy": policy}
        return Response(whole.html, media_type="text/html; charset=utf-8", headers=headers)

    async def asset(request: Request) -> Response:
        """Give a font of the page, or its licence."""
        name = request.path_params["name"]
        kind = KINDS.get(f".{name.rpartition('.')[2]}")
        if name not in parts or kind is None:
            raise RefusedError(404, "no such part of the page")
        return Response(parts[name], media_type=kind)

    async def choices(request: Request) -> Response:
        """Give what can be chosen."""
        return JSONResponse(await asyncio.wrap_future(known))

    async def events(request: Request) -> Response:
        """Open a stream of events."""
        if desk.hub.n_pages >= MOST_STREAMS:
            raise RefusedError(429, f"open in {MOST_STREAMS} pages already; close one")
        return StreamingResponse(desk.hub.listen(desk.greeting), media_type="text/event-stream")

    async def copy(request: Request) -> Response:
        """Give the match file as it is now."""
        headers = {"content-disposition": 'attachment; filename="match.toml"'}
        return Response(desk.session.history.text.text, media_type="text/plain; charset=utf-8", headers=headers)

    async def file(request: Request) -> Response:
        """Give a file of the last save."""
        name = request.path_params["name"]
        if name not in desk.saved_files:
            raise RefusedError(404, "no such file; save first")
        kind = FILE_KINDS.get(f".{name.rpartition('.')[2]}", "application/octet-stream")
        raw = await apart((desk.session.places.out / name).read_bytes)
        policy = FILE_POLICIES.get(kind, NOTHING.decode("ascii"))
        return Response(raw, media_type=kind, headers={"content-security-policy": policy})

    async def change(request: Request) -> Response:
        """Make a change."""
        body = await _body(request, ChangeBody)
        edits = [edit.edit() for edit in body.edits]
        return JSONResponse(desk.session.edit(edits, base=body.base, page=body.page, what=body.what, goes_on=body.more))

    async def undo(request: Request) -> Response:
        """Take a step back."""
        body = await _body(request, StepBody)
        return JSONResponse(desk.session.undo(base=body.base, page=body.page))

    async def redo(request: Request) -> Response:
        """Take a step again."""
        body = await _body(request, StepBody)
        return JSONResponse(desk.session.redo(base=body.base, page=body.page))

    async def worth(request: Request) -> Response:
        """Say what a moved camera is worth."""
        body = await _body(request, WorthBody)
        content = await apart(desk.session.worth, body.change, period=body.period, camera=body.camera, at_m=body.at)
        return JSONResponse({"seq": body.seq} | content)

    async def look(request: Request) -> Response:
        """Keep looking after a search ran out of time."""
        await _body(request, LookBody)
        desk.session.live.keep_looking()
        return JSONResponse({})

    async def save(request: Request) -> Response:
        """Write the match file and the files of its plan."""
        body = await _body(request, SaveBody)
        return JSONResponse(desk.noted(await apart(desk.session.save, base=body.base)))

    async def resolve(request: Request) -> Response:
        """Settle what differs between page and disk."""
        body = await _body(request, ResolveBody)
        settle = desk.session.resolve
        return JSONResponse(desk.noted(await apart(settle, body.keep, base=body.base, page=body.page)))

    async def bring(request: Request) -> Response:
        """Read a file that was chosen or dropped."""
        from standmark.cli.open.bring import brought

        body = await _body(request, ImportBody, most=MOST_BYTES_BROUGHT)
        content = await apart(brought, body.name, body.base64, desk.session.checked.match)
        if isinstance(content, str):
            what = f"open {body.name}"
            return JSONResponse(desk.session.replace(content, base=body.base, page=body.page, what=what))
        return JSONResponse(content)

    async def photo(request: Request) -> Response:
        """Say what the file of a photograph says."""
        from standmark.cli.open.photo import photo_data

        body = await _body(request, PhotoBody, most=MOST_BYTES_BROUGHT)
        return JSONResponse(await apart(photo_data, body.base64))

    async def spot(request: Request) -> Response:
        """Find where a photograph was taken."""
        from standmark.cli.open.photo import spot_data

        body, match = await _body(request, SpotBody), desk.session.checked.match
        content = await apart(spot_data, match, body.marks, size_px=body.size_px, equivalent_mm=body.equivalent_mm)
        return JSONResponse(content)

    async def open_ground(request: Request) -> Response:
        """Open a ground of the folder, or go back to the list."""
        body = await _body(request, OpenBody)
        await apart(desk.open_ground, body.ground, drop=body.drop)
        return JSONResponse({"change": 0 if body.ground is None else desk.session.change})

    gets = {"/": page, "/assets/{name}": asset, "/catalogue": choices, "/events": events, "/copy": copy}
    posts = {
        "/change": change, "/undo": undo, "/redo": redo, "/worth": worth, "/look": look, "/save": save,
        "/resolve": resolve, "/import": bring, "/open": open_ground,
        "/photo": photo, "/spot": spot,
    }  # fmt: skip
    return Starlette(
        routes=[
            *(Route(path, _told(answer, over), methods=["GET"]) for path, answer in gets.items()),
            Route("/files/{name}", _told(file, over), methods=["GET"]),
            *(Route(path, _told(answer, over), methods=["POST"]) for path, answer in posts.items()),
        ],
        exception_handlers={404: _nowhere, 405: _nowhere},
    )


def page_files() -> dict[str, str]:
    """Files that the page is made of, by name."""
    folder = resources.files("standmark.cli").joinpath("open", "page")
    return {entry.name: entry.read_text("utf-8") for entry in folder.iterdir() if entry.is_file()}


def page_assets() -> dict[str, bytes]:
    """Paper font and its licence by name, read once."""
    folder = resources.files("standmark.cli").joinpath("drawing", "fonts")
    return {
        entry.name: entry.read_bytes()
        for entry in folder.iterdir()
        if entry.is_file() and f".{entry.name.rpartition('.')[2]}" in KINDS
    }


async def _nowhere(request: Request, error: Exception) -> Response:
    return JSONResponse({"words": "no such address"}, 404)


def _told(answer: Answer, over: asyncio.Event) -> Answer:
    """Turn what goes wrong, and the end of the server, into an answer with words."""

    async def wrapped(request: Request) -> Response:
        """Answer, or say why not."""
        try:
            return await _unless(over, answer(request))
        except RefusedError as error:
            return JSONResponse({"words": error.words}, error.status)
        except StaleError:
            return JSONResponse({"words": STALE}, 409)
        except DiskError as error:
            return JSONResponse({"disk": error.differs}, 409)
        except FaultError as error:
            return JSONResponse({"faults": [fault.plain() for fault in error.faults]}, 422)
        except InputError as error:
            return JSONResponse({"words": str(error)}, 400)
        except StandmarkError as error:
            return JSONResponse({"words": str(error)}, 507)
        except Exception as error:
            return JSONResponse({"words": f"This went wrong on our side ({type(error).__name__})."}, 500)

    wrapped.__name__ = answer.__name__
    return wrapped


async def _unless(over: asyncio.Event, answer: Awaitable[Response]) -> Response:
    """Wait for an answer, unless the server ends before."""
    answering, ending = asyncio.ensure_future(answer), asyncio.ensure_future(over.wait())
    try:
        await asyncio.wait({answering, ending}, return_when=asyncio.FIRST_COMPLETED)
        if answering.done():
            return answering.result()
        raise RefusedError(503, ENDED)
    finally:
        answering.cancel()
        ending.cancel()


async def _body(request: Request, model: type[Body], *, most: int = MOST_BYTES) -> Body:
    """Body of a request, checked."""
    if int(request.headers.get("content-length") or 0) > most:
        raise RefusedError(413, f"larger than {most >> 20} MiB")
    raw = bytearray()
    try:
        async with asyncio.timeout(BODY_S):
            async for chunk in request.stream():
                raw += chunk
                if len(raw) > most:
                    raise RefusedError(413, f"larger than {most >> 20} MiB")
    except (TimeoutError, ClientDisconnect) as error:
        raise RefusedError(408, "the request did not come to its end") from error
    return read_body(bytes(raw), model)
