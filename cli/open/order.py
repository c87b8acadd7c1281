"""Where a new section goes in a match file: in the order of the guide, whatever was said first."""

from __future__ import annotations

from standmark.cli.open.parts import LISTS, TABLES

ORDER = (
    "match", "venue", "side_names", "stand_height_m", "answers", "allowed", "forbidden", "furniture", "obstacle",
    "camera", "rules", "must_cover", "weights", "film", "light", "weather", "day", "crew", "advice",
)  # fmt: skip
HEADERS = {
    f"[[{'.'.join(LISTS[part])}]]" if part in LISTS else f"[{'.'.join(TABLES[part])}]": rank
    for rank, part in enumerate(ORDER)
}


def headers_of(text: str) -> list[str]:
    """Headers of a text that have a place of their own, in its order, each once."""
    return list(dict.fromkeys(header for line in text.splitlines() if (header := _header(line)) in HEADERS))


def put_in_order(text: str, header: str) -> str:
    """Move a section to behind all that come before it in the guide; comments above other sections stay with them.

    Parameters
    ----------
    header : of the section, as "[venue.answers]"; the text holds it
    """
    lines = text.splitlines(keepends=True)
    end = "\r\n" if lines and lines[0].endswith("\r\n") else "\n"
    known = [i for i, line in enumerate(lines) if _header(line) in HEADERS]
    own = next(i for i in known if _header(lines[i]) == header)
    after = next((i for i in known if i > own and _header(lines[i]) != header), len(lines))
    while after < len(lines) and lines[after - 1].lstrip().startswith("#"):
        after -= 1  # what stands above the next header belongs to it
    block, rest = _bare(lines[own:after]), [*_bare(lines[:own]), *([end] if after < len(lines) else []), *lines[after:]]
    ranks = [(i, HEADERS[_header(line)]) for i, line in enumerate(rest) if _header(line) in HEADERS]
    before = [i for i, rank in ranks if rank <= HEADERS[header]]
    place = next((i for i, _ in ranks if not before or i > before[-1]), len(rest))
    while before and place < len(rest) and (not rest[place - 1].strip() or rest[place - 1].lstrip().startswith("#")):
        place -= 1
    first, last = _bare(rest[:place]), rest[place:]
    while last and not last[0].strip():
        last = last[1:]
    if first and not first[-1].endswith("\n"):
        first[-1] += end
    if block and not block[-1].endswith("\n"):
        block[-1] += end
    return "".join([*first, *([end] if first else []), *block, *([end, *last] if last else [])])


def _header(line: str) -> str:
    """Header that a line is, without spaces and comment; other lines are none of the known ones."""
    return line.partition("#")[0].strip() if line.startswith("[") else ""


def _bare(lines: list[str]) -> list[str]:
    """Lines without empty ones at the end."""
    kept = list(lines)
    while kept and not kept[-1].strip():
        kept.pop()
    return kept
