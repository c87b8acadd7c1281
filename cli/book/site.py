"""The book as pages for a browser: each stands alone, asks nothing of any network, and works without its script."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from standmark.cli.book.contents import Contents, IndexLine, RoleCount, code_example, pins, shared_names
from standmark.cli.book.editions import EditionChange
from standmark.cli.book.filmed import PositionLogs, disappointing
from standmark.cli.book.league_map import chart_html, league_chart
from standmark.cli.book.record_types import (
    GroundRecord,
)
from standmark.cli.book.words import CODE_WORDS, DIRECTION_WORDS, FRAME_WORDS, MAIN_SIDE_REASONS, role_wishes
from standmark.cli.sheet.template_cache import TemplateCache
from standmark.cli.words.lines import with_unit
from standmark.cli.words.naming import percent
from standmark.cli.words.shares import about, how_many
from standmark.cli.words.summary import CAUTION
from standmark.cli.words.units import Units, distance_words
from standmark.optimizer.standard.standard import Role, role_codes

TEMPLATES = Path(__file__).parent / "templates"
NO_LOGS: Mapping[str, PositionLogs] = MappingProxyType({})
CHART_MM = 90.0  # its words stay readable on a phone


@dataclass(frozen=True)
class LeagueLogs:
    """All positions that logs speak of, and the logs that could not be used."""

    positions: tuple[PositionLogs, ...]
    faults: tuple[str, ...]


@dataclass(frozen=True)
class RoleRow:
    """A role of the standard with what became of it over the league."""

    codes: str
    name: str
    purpose: str
    needed: bool
    wishes: tuple[str, ...]
    counts: tuple[RoleCount, ...]


def index_page(
    book: Contents, *, volumes: Sequence[str], since: str | None, units: Units, filmed: LeagueLogs | None = None
) -> bytes:
    """Write the page that everything else is found from."""
    placed = list(pins(book.lines))
    chart = Markup(chart_html(league_chart(placed, width_mm=CHART_MM))) if placed else None
    return _page(
        "index.html",
        script=_text("filter.js"),
        book=book,
        roles=role_rows(book, units),
        volumes=volumes,
        since=since,
        chart=chart,
        n_unplaced=len(book.lines) - len(placed),
        shared=shared_names(book.lines),
        code_words=CODE_WORDS,
        example=code_example(book),
        direction_words=DIRECTION_WORDS,
        frame_words=FRAME_WORDS,
        has_logs=filmed is not None,
        disappointing=() if filmed is None else disappointing(filmed.positions),
        log_faults=() if filmed is None else filmed.faults,
    )


def ground_page(
    record: GroundRecord,
    plan: str,
    *,
    before: IndexLine | None,
    after: IndexLine | None,
    changes: Sequence[EditionChange],
    since: str | None,
    units: Units,
    logs: Mapping[str, PositionLogs] = NO_LOGS,
) -> bytes:
    """Write the page of one ground.

    Parameters
    ----------
    plan : its drawing as an SVG element
    before, after : its neighbours in the book
    logs : what was filmed from its positions, by code
    """
    return _page(
        "ground.html",
        ground=record,
        plan=Markup(plan),
        before=before,
        after=after,
        changes=changes,
        since=since,
        side_reason=MAIN_SIDE_REASONS[record["main_side_reason"]],
        distance=partial(distance_words, units=units),
        logs=logs,
    )


def changes_page(changes: Iterable[tuple[EditionChange, str | None]], *, since: str) -> Iterator[bytes]:
    """Write what changed, piece by piece; each change with the name of its ground's page."""
    shown = ({"code": c.code, "words": c.words, "reasons": c.reasons, "file": file} for c, file in changes)
    stream = _environment().get_template("changes.html").generate(changes=shown, since=since, **_frame(""))
    yield from (piece.encode("utf-8") for piece in stream)


def role_rows(book: Contents, units: Units) -> list[RoleRow]:
    """Put the roles of the standard beside their counts."""
    return [
        RoleRow(
            ", ".join(role_codes(r)),
            r.name,
            r.purpose,
            r.needed,
            tuple(role_wishes(r, units)),
            tuple(_counts_of(r, book.roles)),
        )
        for r in book.standard.roles
    ]


def _counts_of(role: Role, counts: Iterable[RoleCount]) -> Iterator[RoleCount]:
    return (count for count in counts if count.code in role_codes(role))


def _page(template: str, *, script: str = "", **values: Any) -> bytes:
    text = _environment().get_template(template).render(**values, **_frame(script))
    return text.encode("utf-8")


def _frame(script: str) -> dict[str, Any]:
    style = _text("style.css")
    return {
        "style": Markup(style),
        "style_hash": _source_hash(style),
        "script": Markup(script),
        "script_hash": _source_hash(script),
        "caution": CAUTION,
        "percent": percent,
        "how_many": how_many,
        "about": about,
    }


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES), bytecode_cache=TemplateCache(TEMPLATES), autoescape=True,
        undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
        finalize=_with_units,
    )  # fmt: skip


def _with_units(value: Any) -> Any:
    """Keep the unit of a figure on its line."""
    return with_unit(value) if type(value) is str else value


@lru_cache(maxsize=8)
def _text(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")


def _source_hash(text: str) -> str:
    """Hash of an inline style or script as a content security policy names it."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
