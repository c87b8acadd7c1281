"""What the page may send: small strict models; anything else is answered with one line."""

from __future__ import annotations

import json
import re
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from standmark.cli.open.document import Edit
from standmark.geometry.errors import InputError
from standmark.sports.toml.file import check_tables, key_path

MOST_EDITS = 500
MOST_DEPTH = 12
MOST_MARKS = 200
TEXT, BRACKET = re.compile(rb'"(?:\\.|[^"\\])*+"', re.DOTALL), re.compile(rb"[\[\]{}]")
Model = TypeVar("Model", bound=BaseModel)
Change = Annotated[int, Field(ge=0, le=1 << 53)]
Page = Annotated[str, Field(pattern=r"^[A-Za-z0-9]{1,20}$")]
Words = Annotated[str, Field(max_length=200)]
Pixels = Annotated[int, Field(ge=16, le=100_000)]
Pixel = Annotated[float, Field(ge=0, le=100_000)]
Metres = Annotated[float, Field(ge=-2000, le=2000)]


class Body(BaseModel):
    """Base of every body: unknown keys are errors, numbers are finite."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)


class EditBody(Body):
    """One edit of a change."""

    do: Literal["put", "add", "drop"]
    part: Annotated[str, Field(max_length=60)]
    field: Annotated[str, Field(max_length=200)] = ""
    value: Any = None

    def edit(self) -> Edit:
        """Return it as the document takes it; lists as lists."""
        return Edit(self.do, self.part, self.field, _lists(self.value))


class ChangeBody(Body):
    """`POST /change`."""

    page: Page
    base: Change
    what: Words = "change"
    more: bool = False
    edits: Annotated[tuple[EditBody, ...], Field(max_length=MOST_EDITS)]


class StepBody(Body):
    """`POST /undo` and `/redo`."""

    page: Page
    base: Change


class WorthBody(Body):
    """`POST /worth`."""

    change: Change
    seq: Change
    period: Words
    camera: Words
    at: Annotated[tuple[Metres, ...], Field(min_length=2, max_length=3)]


class LookBody(Body):
    """`POST /look`: keep looking."""


class SaveBody(Body):
    """`POST /save`."""

    base: Change


class ResolveBody(Body):
    """`POST /resolve`: what to do where page and disk differ."""

    base: Change
    page: Page = "page"
    keep: Literal["mine", "disk", "both"]


class ImportBody(Body):
    """`POST /import`: a file that was chosen or dropped."""

    base: Change
    page: Page
    name: Words
    base64: Annotated[str, Field(max_length=12 << 20)]


class PhotoBody(Body):
    """`POST /photo`: a photograph of the ground, or the start of its file."""

    base64: Annotated[str, Field(max_length=12 << 20)]


class SpotBody(Body):
    """`POST /spot`: points that were marked in a photograph."""

    size_px: tuple[Pixels, Pixels]
    equivalent_mm: Annotated[float, Field(ge=4, le=3000)] | None
    marks: Annotated[tuple[tuple[Words, Pixel, Pixel], ...], Field(max_length=MOST_MARKS)]


class OpenBody(Body):
    """`POST /open`: a ground of the folder, or the list."""

    ground: Words | None
    drop: bool = False


def read_body(raw: bytes, model: type[Model]) -> Model:
    """Read a body.

    Raises
    ------
    InputError : not JSON, or not what this address takes; one line
    """
    if _depth(raw) > MOST_DEPTH:
        raise InputError("nested too deep")
    try:
        data = json.loads(raw.decode("utf-8"), parse_constant=_refuse)
        if b"\\u" in raw:
            json.dumps(data, ensure_ascii=False).encode("utf-8")  # half a letter is no text
    except (UnicodeError, ValueError, RecursionError) as error:
        raise InputError("not JSON") from error
    if not isinstance(data, dict):
        raise InputError("must be one JSON object")
    checked, problems = check_tables(model, data)
    if checked is None:
        raise InputError("; ".join(f"{key_path(p.path)}{p.message}" for p in problems[:3]))
    return checked


def _refuse(constant: str) -> Any:
    raise ValueError(f"{constant} is no JSON")


def _depth(raw: bytes) -> int:
    """Deepest nesting of brackets outside of texts, before anything is parsed."""
    depth = deepest = 0
    for bracket in BRACKET.findall(TEXT.sub(b"", raw)):
        depth += 1 if bracket in b"[{" else -1
        deepest = max(deepest, depth)
    return deepest


def _lists(value: Any) -> Any:
    if isinstance(value, tuple | list):
        return [_lists(entry) for entry in value]
    if isinstance(value, dict):
        return {key: _lists(entry) for key, entry in value.items()}
    return value
