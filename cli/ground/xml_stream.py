"""XML from strangers, read in pieces: no document types, no entities of its own, nothing fetched, bounded depth."""

from __future__ import annotations

from collections.abc import Callable
from xml.parsers import expat

from standmark.geometry.errors import InputError

PIECE = 1 << 16  # bytes given to the parser at a time
DEEPEST = 100

Start = Callable[[str, dict[str, str]], None]
End = Callable[[str], None]
Words = Callable[[str], None]


def stream_xml(raw: bytes, *, file: str, start: Start, end: End, words: Words | None = None) -> None:
    """Call `start`, `end` and `words` for what the document holds, element names without their namespace.

    Raises
    ------
    InputError : not well formed, a document type or entity declaration, or nested too deep; with the line
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    depth = 0

    def refuse(*_: object) -> None:
        """Stop at a document type or an entity."""
        raise InputError(
            f"{file}:{parser.CurrentLineNumber}: holds a DOCTYPE, which a map does not need; take that line out"
        )

    def started(tag: str, attributes: dict[str, str]) -> None:
        """Hand on the start of an element, unless it lies too deep."""
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise InputError(f"{file}:{parser.CurrentLineNumber}: elements more than {DEEPEST} deep; not a map")
        start(tag.rpartition(" ")[2], attributes)

    def ended(tag: str) -> None:
        """Hand on the end of an element."""
        nonlocal depth
        depth -= 1
        end(tag.rpartition(" ")[2])

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = started
    parser.EndElementHandler = ended
    if words is not None:
        parser.CharacterDataHandler = words
    try:
        for at in range(0, len(raw), PIECE):
            parser.Parse(raw[at : at + PIECE], False)
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        reason = expat.errors.messages.get(error.code, "broken")
        raise InputError(f"{file}:{error.lineno}: not valid XML ({reason}); save the map again") from error
    except (ValueError, LookupError) as error:
        raise InputError(f"{file}: not readable XML (encoding); save the map again as UTF-8") from error
