"""TOML written by people: read safely, checked against a model, every mistake told with its line."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from standmark.geometry.errors import InputError, shown
from standmark.sports.toml.as_written import decoded, with_seconds
from standmark.sports.toml.lines import line_of
from standmark.sports.toml.regular_file import read_at_most
from standmark.sports.toml.syntax import syntax_mistake

MAX_BYTES = 1 << 20  # no hand-written file comes near; a hostile one is stopped here
MOST_SHORT_TIMES = 10  # times without seconds that are read; a match file has one
MAX_SHOWN = 20  # problems told at once
MOST_TOLD = 100  # problems put into words; a file with more has lost its form
# A key of thousands of dotted parts costs the parser gigabytes, so long runs never reach it.
DOTTED_RUN = re.compile(r"""(?<![A-Za-z0-9_-])(?:(?:[A-Za-z0-9_-]++|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){32}""")

LIMITS = {"greater_than": "above", "greater_than_equal": "at least", "less_than": "below", "less_than_equal": "at most"}
Path_ = tuple[str | int, ...]
Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True, eq=False)
class TomlFile:
    """What a file says and the words it says it in."""

    name: str
    text: str
    data: dict[str, Any]


@dataclass(frozen=True)
class Problem:
    """One thing wrong in a file: where, and what."""

    path: Path_
    message: str


class KeyFaultError(ValueError):
    """What is wrong with one key of a table, found where the whole table is checked.

    Parameters
    ----------
    key : path from that table to the key
    """

    def __init__(self, message: str, *key: str | int) -> None:
        super().__init__(message)
        self.key = key


class ProblemsError(InputError):
    """What is wrong in a file, as one error for people and problem by problem for programs."""

    def __init__(self, message: str, problems: tuple[Problem, ...]) -> None:
        super().__init__(message)
        self.problems = problems


def read_toml(path: Path) -> TomlFile:
    """Read a TOML file that a user may have written.

    Raises
    ------
    InputError
        When the file cannot be read, is over 1 MiB, is neither UTF-8 nor UTF-16 or is not TOML 1.0.
    """
    return parse_toml(read_text(path), name=str(path))


def read_text(path: Path) -> str:
    """Read the text of a file that a user may have written, whatever it says.

    Raises
    ------
    InputError
        When the file cannot be read, is over 1 MiB or is neither UTF-8 nor UTF-16.
    """
    raw = read_at_most(path, most_bytes=MAX_BYTES, size_words="1 MiB; a file for this tool is a few kilobytes")
    return decoded(raw, path)


def parse_toml(text: str, *, name: str) -> TomlFile:
    """Parse TOML text that came from `name`; times may lack their seconds, which the text given back has.

    Raises
    ------
    InputError
        With the line, when the text is not TOML 1.0.
    """
    for number, line in enumerate(text.splitlines(), start=1):
        if DOTTED_RUN.search(line):
            raise InputError(f"{name}:{number}: a key with more than 32 dotted parts; write tables instead")
    for _ in range(MOST_SHORT_TIMES):
        try:
            return TomlFile(name=name, text=text, data=tomllib.loads(text))
        except tomllib.TOMLDecodeError as error:
            at = re.search(r"\(at line (\d+), column", str(error))
            longer = None if at is None else with_seconds(text, int(at[1]))
            if longer is None:
                raise syntax_mistake(name, text, error) from error
            text = longer
        except (ValueError, RecursionError, MemoryError) as error:
            raise InputError(f"{name}: not usable TOML (a number too long, or nested too deep)") from error
    raise InputError(f"{name}: more than {MOST_SHORT_TIMES} times without seconds; write 15:00:00")


def validate(model: type[Model], data: dict[str, Any], *, text: str, file: str) -> Model:
    """Check freshly read TOML against a pydantic model; lists are read as tuples.

    Raises
    ------
    InputError
        One error that lists up to 20 problems, each with file, line, key path and what is allowed.
    """
    checked, problems = check_tables(model, data)
    if checked is None:
        raise problems_error(problems, text=text, file=file)
    return checked


def check_tables(model: type[Model], data: dict[str, Any]) -> tuple[Model | None, list[Problem]]:
    """Check parsed TOML against a pydantic model.

    Returns
    -------
    the checked tables, or None and what is wrong with them
    """
    try:
        return model.model_validate(as_tuples(data)), []
    except ValidationError as error:
        entries = _own_errors(error)
        told = [_problem(model, data, dict(entry)) for entry in entries[:MOST_TOLD]]
        rest = [Problem(_path_in(data, entry["loc"], keep_last=False), "not usable") for entry in entries[MOST_TOLD:]]
        return None, told + rest
    except RecursionError:
        return None, [Problem((), "nested too deep")]


def _own_errors(error: ValidationError) -> list[ErrorDetails]:
    """Leave out lists that are too short only because entries of theirs are wrong."""
    entries = error.errors(include_url=False)
    inner = {entry["loc"][:length] for entry in entries for length in range(len(entry["loc"]))}
    return [entry for entry in entries if entry["type"] != "too_short" or entry["loc"] not in inner]


def problems_error(problems: Sequence[Problem], *, text: str, file: str) -> ProblemsError:
    """Make one error of many problems, a line each, in the order of the file."""
    placed = [(_line_near(text, problem.path), problem) for problem in problems]
    placed = sorted(placed[:MOST_TOLD], key=lambda pair: pair[0] or 0) + placed[MOST_TOLD:]
    shown = [f"{_place(file, line)}: {key_path(entry.path)}{entry.message}" for line, entry in placed[:MAX_SHOWN]]
    if len(placed) > MAX_SHOWN:
        shown.append(f"{file}: and {len(placed) - MAX_SHOWN} more")
    return ProblemsError("\n".join(dict.fromkeys(shown)), tuple(problem for _, problem in placed))


def key_path(path: Path_) -> str:
    """Path as people write it: `moment[2].zone[0].weight: `; empty for the top."""
    words = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{shown(part)}" for part in path)
    return f"{words.lstrip('.')}: " if words else ""


def did_you_mean(word: object, known: Sequence[str]) -> str:
    """Tail of a message that offers the nearest known word, or nothing."""
    near = difflib.get_close_matches(str(word), known, n=1, cutoff=0.6)
    return f'; did you mean "{near[0]}"?' if near else ""


def as_tuples(value: Any) -> Any:
    """Copy of parsed TOML with every list as a tuple, which strict models and frozen types want."""
    if isinstance(value, dict):
        return {key: as_tuples(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return tuple(as_tuples(entry) for entry in value)
    return value


def _line_near(text: str, path: Path_) -> int | None:
    """Line of the path, or of the nearest table above it."""
    for length in range(len(path), 0, -1):
        line = line_of(text, path[:length])
        if line is not None:
            return line
    return None


def _place(file: str, line: int | None) -> str:
    return file if line is None else f"{file}:{line}"


def _problem(model: type[BaseModel], data: Any, entry: dict[str, Any]) -> Problem:
    """Turn one pydantic error into a path through the file and a plain sentence."""
    kind, context = entry["type"], entry.get("ctx", {})
    fault = context.get("error")
    loc = entry["loc"] + (fault.key if isinstance(fault, KeyFaultError) else ())
    path = _path_in(data, loc, keep_last=kind in ("missing", "union_tag_not_found"))
    got = f" (got {_shown(entry.get('input'))})"
    if kind in ("too_short", "too_long"):
        got = f" (got {len(entry['input'])})"
    elif kind == "value_error" and isinstance(entry.get("input"), dict | list | tuple):
        got = ""  # the message says what of it is wrong; "got a table" would say nothing
    if kind == "extra_forbidden":
        known = sorted(_keys_at(model, loc[:-1]))
        hint = did_you_mean(path[-1], known) or _other_table(model, loc)
        return Problem(path, f"unknown key; allowed: {', '.join(known)}{hint}")
    if kind == "tuple_type" and isinstance(entry.get("input"), dict) and path and isinstance(path[-1], str):
        dotted = ".".join(str(part) for part in path)
        return Problem(path, f"there can be several: write [[{dotted}]], two brackets on each side, not [{dotted}]")
    if kind == "missing":
        what = "entry" if isinstance(path[-1], int) else "table" if _is_table(model, loc) else "key"
        return Problem(path, f"missing; this {what} is needed")
    if kind == "literal_error":
        allowed = re.findall(r"'([^']*)'|\b(\d+)\b", str(context.get("expected", "")))
        allowed = [word or number for word, number in allowed]
        return Problem(path, f"not known{got}; allowed: {', '.join(allowed)}{did_you_mean(entry['input'], allowed)}")
    if kind == "union_tag_invalid":
        allowed = re.findall(r"'([^']*)'", str(context["expected_tags"]))
        tag = context["tag"]
        return Problem(
            path, f'kind "{shown(tag)}" not known; allowed: {", ".join(allowed)}{did_you_mean(tag, allowed)}'
        )
    if kind == "union_tag_not_found":
        return Problem(path, f"needs a key {str(context.get('discriminator', 'kind')).strip(chr(39))}")
    what, semicolon, more = _plain(kind, context, str(entry["msg"])).partition("; ")
    return Problem(path, f"{what}{got}{semicolon}{more}")


def _plain(kind: str, context: dict[str, Any], message: str) -> str:
    """Say what a value must be, in words for people who do not program."""
    match kind:
        case "float_type" | "int_type":
            return "must be a number" if kind == "float_type" else "must be a whole number"
        case "string_type":
            return "must be text in quotes"
        case "bool_type":
            return "must be true or false"
        case "tuple_type":
            return "must be a list in [ ]"
        case "model_type" | "model_attributes_type" | "dict_type":
            return "must be a table of keys"
        case "datetime_type" | "datetime_parsing" | "datetime_from_date_parsing":
            return "must be a date and a time without quotes, such as 2027-05-08T15:00:00"
        case "finite_number":
            return "must be a finite number"
        case "greater_than" | "greater_than_equal" | "less_than" | "less_than_equal":
            limit = context.get("gt", context.get("ge", context.get("lt", context.get("le"))))
            return f"out of range; allowed: {LIMITS[kind]} {limit:g}"
        case "too_short":
            return f"too few entries; allowed: at least {context['min_length']}"
        case "too_long":
            return f"too many entries; allowed: at most {context['max_length']}"
        case "value_error":
            return str(context.get("error", message))
        case _:
            return message[:1].lower() + message[1:]


def _path_in(data: Any, loc: Sequence[str | int], *, keep_last: bool) -> Path_:
    """Drop from a pydantic location what is not in the file (names of union members)."""
    path: list[str | int] = []
    for index, part in enumerate(loc):
        is_there = (isinstance(part, int) and isinstance(data, list | tuple) and part < len(data)) or (
            isinstance(data, dict) and part in data
        )
        if is_there:
            data = data[part]
        if is_there or (keep_last and index == len(loc) - 1):
            path.append(part)
    return tuple(path)


def _keys_at(model: type[BaseModel], loc: Sequence[str | int]) -> set[str]:
    """Keys that the model allows at a location, following lists and unions."""
    here: list[Any] = [model]
    for part in loc:
        keys: list[Any] = []
        for candidate in here:
            keys.extend(_step(candidate, part))
        here = keys or [found for found in here if _has_tag(found, part)] or here
    return {field.alias or name for found_model in here for name, field in found_model.model_fields.items()}


def _has_tag(model: Any, part: str | int) -> bool:
    """Whether a model is the member of a union that goes by a word."""
    return isinstance(part, str) and any(part in get_args(field.annotation) for field in model.model_fields.values())


def _is_table(model: type[BaseModel], loc: Sequence[str | int]) -> bool:
    """Whether what stands at a location is a table, or a list of tables."""
    fields = [field for name, field in model.model_fields.items() if len(loc) == 1 and loc[0] in (name, field.alias)]
    return any(True for field in fields for _ in models_in(field.annotation))


def _other_table(model: type[BaseModel], loc: Sequence[str | int]) -> str:
    """Tail of a message that names the one table at the top in which a key has its place, or nothing."""
    tables = {name for name in model.model_fields if loc[-1] in _keys_at(model, (name,)) and name != loc[0]}
    return f"; it goes under [{tables.pop()}]" if len(tables) == 1 else ""


def _step(model: type[BaseModel], part: str | int) -> Iterator[type[BaseModel]]:
    for name, field in model.model_fields.items():
        if part in (name, field.alias):
            yield from models_in(field.annotation)


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """Every model that a field's type holds, within lists, unions and tables."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from models_in(inner)


def _shown(value: Any) -> str:
    if isinstance(value, str):
        return f'"{shown(value)}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict | tuple | list):
        return "a table" if isinstance(value, dict) else "a list"
    return shown(value)
